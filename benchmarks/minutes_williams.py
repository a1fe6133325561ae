"""Air without friction about the exact pair of Williams, by the minutes tier's solver.

    nice python -m benchmarks.minutes_williams [coarse] [middle] [fine]

Slip on both skins, first cells as thick as such air lets them be, the start from panels. Lift of each body
and pressures beside the table; figures of the last run and its date stand in docs/minutes-tier.md.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.bodies_grid import BodiesGrid, BodiesSize
from slowflight.flow.rans.bodies_gridding import bodies_grid
from slowflight.flow.rans.bodies_heights import FirstCells
from slowflight.flow.rans.bodies_mesh import Numbered, bodies_mesh, skin_faces
from slowflight.flow.rans.mesh import SLIP, Mesh
from slowflight.flow.rans.newton import Flow, solve
from slowflight.flow.solution import FloatArray
from slowflight.wing.elements import arranged
from tests.flow.bodies.cases import williams_pressures
from tests.flow.bodies.test_williams import exact_lift
from tests.flow.bodies.williams_outline import NAMES, circulation, paneled, smooth_element, velocity_at
from tests.verification.slip_flow import face_pressures, slip_marching, without_friction

TIMES = {"coarse": 1.0, "middle": 1.5, "fine": 2.0}  # as many cells along every line as the coarse one has
COARSE = (112, 64, 40, 12, 16, 14, 8, 24)
WING_CELL, WING_NOSE, FLAP_CELL, FLAP_NOSE = 0.006, 0.2, 0.0015, 0.13  # first heights of the coarse one


@dataclass(frozen=True)
class BodyErrors:
    """How far one body is off.

    Parameters
    ----------
    lift, exact_lift : float
        On the main chord.
    typical, worst, worst_at : float
        Root mean square and largest error of pressure over the local exact speed squared, off nose and tail
        by 2 % of the body's chord, and the x of the latter.
    peak, exact_peak : float
        Least pressure coefficient.
    """

    lift: float
    exact_lift: float
    typical: float
    worst: float
    worst_at: float
    peak: float
    exact_peak: float


def slip_grid(times: float) -> BodiesGrid:
    """The coarse grid with cells so many times as fine."""
    size = BodiesSize(*(round(n * times) for n in COARSE))
    first = FirstCells(WING_CELL / times, WING_NOSE), FirstCells(FLAP_CELL / times, FLAP_NOSE)
    pair = arranged(*(smooth_element(name) for name in NAMES))
    return bodies_grid(pair, reynolds=1e6, family=size, wake_angle=0.0, frictionless=first)


def solved(grid: BodiesGrid, *, most_steps: int = 40) -> tuple[Mesh, Flow]:
    """Newton's method from the panels' flow."""
    mesh = bodies_mesh(grid, skin=SLIP)
    system = paneled()
    here = slip_marching(mesh, circulation=circulation(system))
    start = without_friction(velocity_at(system, mesh.center))
    return mesh, solve(here, alpha=0.0, q=start, first_cfl=1000.0, most_steps=most_steps)


def errors(grid: BodiesGrid, mesh: Mesh, q: FloatArray) -> list[BodyErrors]:
    """Beside the table, main body first."""
    numbered = Numbered(grid)
    found = []
    for name, nodes in zip(NAMES, (numbered.wing_skin, numbered.flap_skin), strict=True):
        faces = skin_faces(mesh, nodes)
        pressure = face_pressures(mesh, faces, q)
        lift = float(np.sum(pressure * mesh.edge_normal[faces, 1] * mesh.edge_normal[faces, 2]))
        x, exact = williams_pressures(name)
        at, middle = numbered.points[nodes][:, 0], mesh.edge_middle[faces, 0]
        nose, turn = int(np.argmin(at)), int(np.argmin(x)) + 1
        below = np.interp(x[:turn], middle[:nose][::-1], pressure[:nose][::-1])
        above = np.interp(x[turn:], middle[nose:], pressure[nose:])
        chord = float(np.ptp(x))
        clear = (x > x.min() + 0.02 * chord) & (x < x.max() - 0.02 * chord)
        off = np.abs((np.concatenate((below, above)) - exact) / np.maximum(1.0 - exact, 0.5)) * clear
        k = int(np.argmax(off))
        typical = float(np.sqrt(np.mean(off[clear] ** 2)))
        found.append(
            BodyErrors(
                lift, exact_lift(name), typical, float(off[k]), float(x[k]), float(pressure.min()),
                float(exact.min()),
            )
        )  # fmt: skip
    return found


def main(names: list[str]) -> None:
    """Print a table for each grid."""
    for name in names:
        grid = slip_grid(TIMES[name])
        begun = time.process_time()
        mesh, flow = solved(grid)
        spent = time.process_time() - begun
        print(
            f"{name}: {grid.cells} cells, residual {flow.residual:.1e} in {flow.steps} steps, {spent:.0f} s"
        )
        for body, e in zip(NAMES, errors(grid, mesh, flow.q), strict=True):
            percent = 100.0 * (e.lift / e.exact_lift - 1.0)
            print(f"  {body}: lift {e.lift:.4f}, exact {e.exact_lift:.4f} ({percent:+.2f} %)")
            print(f"    pressure off by {e.typical:.4f} typically, {e.worst:.4f} at x = {e.worst_at:.3f}")
            print(f"    least pressure {e.peak:.2f}, exact {e.exact_peak:.2f}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:] or list(TIMES))
