"""Newton's method on the grid about two bodies, a very coarse one: the machinery, not the accuracy."""

import math

import numpy as np
import pytest

from slowflight.flow.rans.bodies_flow import bodies_start
from slowflight.flow.rans.bodies_gridding import bodies_grid
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.mesh import FAR
from tests.flow.bodies.cases import hung


def test_two_bodies_are_solved_to_round_off_as_one() -> None:
    grid = bodies_grid(hung(16.0), reynolds=1.5e6, family="preview").coarsened()
    alpha = math.radians(4.0)
    here, flow = bodies_start(grid, alpha=alpha, reynolds=1.5e6, most_halvings=0)
    assert flow.converged
    problem = here.at(flow.alpha, flow.circulation)
    now = force(problem, flow.q, alpha=alpha)
    assert flow.circulation == pytest.approx(0.5 * now.lift, abs=1e-8)
    assert np.max(flow.q[:, 3]) > 50.0  # turbulent, not stuck laminar
    # what both skins feel together is what the outer boundary loses: pressure and momentum carried out
    far = problem.mesh.edge_kind == FAR
    normal = problem.mesh.edge_normal[far]
    inner, outer = flow.q[problem.mesh.edge_cells[far, 0]], problem.setting.outer[far]
    middle = 0.5 * (inner + outer)
    carried = np.sum(middle[:, 1:3] * normal[:, :2], axis=1)
    out = (middle[:, :1] * normal[:, :2] + carried[:, None] * middle[:, 1:3]) * normal[:, 2:]
    lift = -2.0 * float(np.sum(out, axis=0) @ np.array([-math.sin(alpha), math.cos(alpha)]))
    assert lift == pytest.approx(now.lift, rel=0.02)
