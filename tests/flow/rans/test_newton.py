"""Newton's method, lift curve and adjoint on a very small grid: the machinery, not the accuracy."""

import numpy as np
import pytest

from slowflight.errors import Unconverged
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.grid import GridSize, section_grid
from slowflight.flow.rans.newton import Flow, Marching, solve, tangent, uniform_state
from slowflight.flow.rans.sweep import marching, predicted
from slowflight.flow.rans.turbulence import OneEquation
from slowflight.wing.naca import naca_section

SIZE = GridSize(32, 8, 48, 4)
ANGLE = np.radians(4.0)


@pytest.fixture(scope="module")
def solved() -> tuple[Marching, Flow]:
    grid = section_grid(naca_section("naca0012", closed_trailing_edge=True), reynolds=1e6, family=SIZE)
    here = marching(grid, reynolds=1e6)
    flow = solve(
        here, alpha=ANGLE, q=uniform_state(here, alpha=ANGLE), first_cfl=5.0, most_steps=150, tolerance=1e-12
    )
    return here, flow


def lift(here: Marching, flow: Flow) -> float:
    return force(here.at(flow.alpha, flow.circulation), flow.q, alpha=flow.alpha).lift


def test_a_cold_start_reaches_round_off(solved: tuple[Marching, Flow]) -> None:
    here, flow = solved
    assert flow.converged
    assert flow.residual < 1e-12
    assert flow.circulation == pytest.approx(0.5 * lift(here, flow), abs=1e-11)
    assert np.max(flow.q[:, 3]) > 50.0  # turbulent, not stuck laminar


def test_tangent_is_the_slope_of_lift(solved: tuple[Marching, Flow]) -> None:
    here, flow = solved
    here.solver.factorize(here.at(flow.alpha, flow.circulation).jacobian(flow.q))
    _, turn = tangent(here, flow)
    step = np.radians(0.01)
    sides = [
        solve(here, alpha=ANGLE + s, q=flow.q, circulation=flow.circulation, first_cfl=1e6, tolerance=1e-11)
        for s in (-step, step)
    ]
    assert all(side.converged for side in sides)
    slope = (lift(here, sides[1]) - lift(here, sides[0])) / (2.0 * step)
    assert 2.0 * turn == pytest.approx(slope, rel=1e-4)  # a tangent is solved to 1e-3


def test_a_predictor_keeps_the_sign_of_turbulence() -> None:
    # the wake moves by more than its width: unbounded, the tangent asks for -1000 where 600 was
    q = np.array([[0.1, 1.0, 0.2, 600.0], [0.0, 1.0, 0.0, 3.0], [0.0, 1.0, 0.0, -2.0], [0.0, 1.0, 0.0, 10.0]])
    change = np.array(
        [[0.01, -0.3, 0.1, -1600.0], [0.0, 0.0, 0.0, 900.0], [0.0, 0.0, 0.0, 9.0], [0, 0, 0, 2]]
    )
    found = predicted(q, change, OneEquation())
    assert np.array_equal(found[:, :3], (q + change)[:, :3])
    assert found[:, 3].tolist() == [300.0, 6.0, -2.0, 12.0]


def test_a_singular_matrix_is_said() -> None:
    grid = section_grid(naca_section("naca0012"), reynolds=1e6, family=GridSize(22, 8, 12, 4))
    here = marching(grid, reynolds=1e6)
    matrix = here.problem.jacobian(uniform_state(here, alpha=0.0))
    matrix.data[:] = 0.0
    with pytest.raises(Unconverged, match="singular"):
        here.solver.factorize(matrix)
