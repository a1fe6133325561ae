"""A flow laid on an even grid: the free stream far off, rest on the skin, nothing inside."""

import numpy as np
import pytest

from slowflight.flow.rans.given_flow import Given, GivenFlow
from slowflight.flow.rans.grid import GridSize, section_grid
from slowflight.flow.rans.gridded import gridded_section
from slowflight.flow.rans.newton import solve, uniform_state
from slowflight.flow.rans.section_picture import laid_out
from slowflight.wing.naca import naca_section


def test_a_picture_is_the_flow() -> None:
    section = naca_section("naca0012", closed_trailing_edge=True)
    grid = section_grid(section, reynolds=1e6, family=GridSize(32, 8, 48, 4))
    body, alpha = gridded_section(grid, reynolds=1e6), np.radians(4.0)
    here = body.turbulent
    flow = solve(here, alpha=alpha, q=uniform_state(here, alpha=alpha), first_cfl=5.0, most_steps=150)
    assert flow.converged
    found = GivenFlow(flow, Given(np.zeros_like(flow.q), (0.0, 0.0)))
    x, y = np.linspace(-0.5, 1.5, 41), np.linspace(-0.5, 0.5, 21)
    drawn = laid_out(body, here, found, [(section.x, section.y)], x=x, y=y)
    inside = np.isnan(drawn["u"])
    assert 0 < inside.sum() < 60
    assert np.all(np.abs(y[np.nonzero(inside)[0]]) < 0.07)
    # at cell centers it gives back what the solver has
    cell = here.problem.mesh.center[12 * 48 + 30]
    beside = np.array([0.0, 1.0])
    near = laid_out(body, here, found, [(section.x, section.y)], x=cell[:1] + beside, y=cell[1:] + beside)
    assert near["u"][0, 0] == pytest.approx(flow.q[12 * 48 + 30, 1], abs=1e-3)
    assert near["pressure"][0, 0] == pytest.approx(2.0 * flow.q[12 * 48 + 30, 0], abs=2e-3)
    # a push along the air in the layer of the upper side raises lift
    just_above = drawn["push"][np.argmin(np.abs(y - 0.1)), np.argmin(np.abs(x - 0.3))]
    assert just_above > 0.0
