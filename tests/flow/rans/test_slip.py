"""Air without friction by the minutes tier's solver, beside exact flows."""

import math

import numpy as np

from slowflight.flow.rans.grid import GridSize, section_grid
from slowflight.flow.rans.mesh import FAR, SLIP
from slowflight.flow.rans.newton import solve
from slowflight.wing.section import Section
from tests.verification.exact_bodies import mapped_section
from tests.verification.slip_flow import face_pressures, slip_marching, without_friction

ALPHA = math.radians(4.0)
# shared/evidence/exact_karman_trefftz.csv, KT20 at 4 degrees
CENTER, POWER, LIFT = -0.08 + 0.08j, 2.0 - 20.0 / 180.0, 1.0245217
THICK_CELLS = 4e3  # the Reynolds number for which first cells are 0.9 % of chord high, 0.3 % at the nose


def lift_and_error(size: GridSize) -> tuple[float, float]:
    """Lift, and root mean square error of pressure off nose and tail by 2 % of chord."""
    drawn = mapped_section(center=CENTER, power=POWER, points=321)
    section = Section(name="Karman-Trefftz", x=drawn.x, y=drawn.y)
    grid = section_grid(section, reynolds=THICK_CELLS, family=size, wake_angle=ALPHA)
    mesh = grid.mesh(skin=SLIP)
    assert set(mesh.edge_kind) == {SLIP, FAR}
    along = np.tile([math.cos(ALPHA), math.sin(ALPHA)], (len(mesh.volume), 1))
    here = slip_marching(mesh, circulation=0.5 * LIFT)
    flow = solve(here, alpha=ALPHA, q=without_friction(along), first_cfl=5.0, most_steps=60)
    assert flow.converged
    faces = np.flatnonzero(mesh.edge_kind == SLIP)
    pressure = face_pressures(mesh, faces, flow.q)
    force = pressure @ (mesh.edge_normal[faces, :2] * mesh.edge_normal[faces, 2:])
    fine = mapped_section(center=CENTER, power=POWER, points=8001)
    exact = 1.0 - fine.speed(ALPHA) ** 2
    middle = mesh.edge_middle[faces]
    gaps = np.hypot(fine.x[1:-1] - middle[:, :1], fine.y[1:-1] - middle[:, 1:])
    clear = (middle[:, 0] > 0.02) & (middle[:, 0] < 0.98)
    off = (pressure - exact[np.argmin(gaps, axis=1)])[clear]
    return float(force @ [-math.sin(ALPHA), math.cos(ALPHA)]), float(np.sqrt(np.mean(off**2)))


def test_lift_and_pressures_of_a_mapped_section() -> None:
    """Second order at least: a grid twice as fine leaves less than a quarter of the error."""
    coarse_lift, coarse = lift_and_error(GridSize(32, 8, 16, 4))
    lift, fine = lift_and_error(GridSize(64, 16, 32, 8))
    assert abs(lift / LIFT - 1.0) < 0.01
    assert fine < 0.012
    assert fine < 0.25 * coarse
    assert abs(lift - LIFT) < 0.25 * abs(coarse_lift - LIFT)
