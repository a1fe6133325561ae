"""Total pressure outside layers and wake: none lost in a free stream, and more the coarser the grid."""

import numpy as np
import pytest

from slowflight.flow.rans.grid import GridSize, section_grid
from slowflight.flow.rans.newton import solve, uniform_state
from slowflight.flow.rans.sweep import marching
from slowflight.flow.rans.total_pressure import LARGE, TotalPressure, total_pressure
from slowflight.wing.naca import naca_section

SECTION = naca_section("naca0012", closed_trailing_edge=True)
SIZE = GridSize(32, 8, 48, 4)


def test_a_free_stream_keeps_it_and_a_known_loss_is_found() -> None:
    here = marching(section_grid(SECTION, reynolds=1e6, family=SIZE), reynolds=1e6)
    problem = here.at(0.1, 0.0)
    q = np.tile([0.0, np.cos(0.1), np.sin(0.1), *here.turbulence], (len(problem.mesh.volume), 1))
    assert total_pressure(problem, q).mean < 1e-14
    q[:, 0] -= 0.01  # 2 % of the dynamic pressure everywhere
    found = total_pressure(problem, q)
    assert found.mean == pytest.approx(0.02)
    assert found.worst == pytest.approx(-0.02)
    q[:, 3] = 100.0  # all of it layer or wake
    assert total_pressure(problem, q).mean == 0.0


def test_a_very_coarse_grid_says_so() -> None:
    here = marching(section_grid(SECTION, reynolds=1e6, family=SIZE), reynolds=1e6)
    alpha = np.radians(8.0)
    flow = solve(here, alpha=alpha, q=uniform_state(here, alpha=alpha), first_cfl=5.0, most_steps=150)
    assert flow.converged
    found = total_pressure(here.at(alpha, flow.circulation), flow.q)
    assert found.mean > LARGE
    assert "too coarse" in (found.remark() or "")
    assert TotalPressure(0.5 * LARGE, 0.0).remark() is None
