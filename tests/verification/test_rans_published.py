"""The minutes tier beside published numbers of the same turbulence model, on grids small enough for a test.

Larger grids, with every figure printed: benchmarks/minutes_checks.py. Source of all: NASA Turbulence Modeling
Resource, cases of the flat plate (friction of the two incompressible codes at the finest grid 0.00272909 and
0.00272937; 0.002706 is at Mach 0.2) and of NACA 0012 at 10 degrees.
"""

import math

import numpy as np
import pytest

from slowflight.flow.rans.forces import force
from slowflight.flow.rans.grid import section_grid
from slowflight.flow.rans.sweep import cold_start, levels, marching
from slowflight.wing.naca import naca_section
from tests.verification.rans_plate import friction, plate_mesh, resampled, solve_plate

PLATE_FRICTION = 0.0027291
SIZES = ((48, 32), (72, 48), (108, 72))
LIFT_0012 = 1.0909  # grid limit at Mach 0.15
INCOMPRESSIBLE = math.sqrt(1.0 - 0.15**2)  # Prandtl and Glauert


def test_plate_friction_in_the_grid_limit() -> None:
    found, q = [], None
    for k, size in enumerate(SIZES):
        mesh, _ = plate_mesh(*size)
        flow = solve_plate(mesh, None if q is None else resampled(q, SIZES[k - 1], size))
        assert flow.converged
        found.append(friction(mesh, flow))
        q = flow.q
    coarse, middle, fine = found
    order = math.log((middle - coarse) / (fine - middle)) / math.log(1.5)
    assert 0.9 < order < 2.3
    limit = fine + (fine - middle) / (1.5**order - 1.0)
    assert limit == pytest.approx(PLATE_FRICTION, rel=0.003)
    assert fine == pytest.approx(PLATE_FRICTION, rel=0.005)


def test_lift_of_naca_0012_at_10_degrees_on_the_preview_grid() -> None:
    """Drag is not compared here: on this grid it is a quarter low."""
    section = naca_section("naca0012", points=401, extended_trailing_edge=True)
    grid = section_grid(section, reynolds=6e6, family="preview")
    here = marching(grid, reynolds=6e6)
    alpha = float(np.radians(10.0))
    flow = cold_start(levels(grid), here, alpha=alpha, reynolds=6e6)
    assert flow.converged
    found = force(here.at(alpha, flow.circulation), flow.q, alpha=alpha)
    assert found.lift == pytest.approx(LIFT_0012 * INCOMPRESSIBLE, rel=0.01)
