"""The two-equation model brought to rest on a very small grid: the machinery, not the accuracy."""

from dataclasses import replace

import numpy as np
import pytest

from slowflight.flow.rans.adjoint import adjoints, by_angle, by_push
from slowflight.flow.rans.grid import GridSize, section_grid
from slowflight.flow.rans.newton import Flow, Marching, uniform_state
from slowflight.flow.rans.objectives import DRAG, LIFT, Objective
from slowflight.flow.rans.steady import solve
from slowflight.flow.rans.sweep import cold_start, marching, step_to
from slowflight.flow.rans.turbulence import TwoEquation
from slowflight.flow.rans.two_equation_newton import _rearranged, from_one_equation, turbulence_alone
from slowflight.flow.solution import FloatArray
from slowflight.wing.naca import naca_section

ANGLE = float(np.radians(4.0))
GRID = section_grid(
    naca_section("naca0012", closed_trailing_edge=True), reynolds=1e6, family=GridSize(32, 8, 48, 4)
)


@pytest.fixture(scope="module")
def solved() -> tuple[Marching, Flow]:
    here = marching(GRID, reynolds=1e6, model=TwoEquation())
    flow = cold_start([GRID], here, alpha=ANGLE, reynolds=1e6)
    assert flow.converged
    return here, polished(here, flow)


def polished(here: Marching, flow: Flow, *, alpha: float = ANGLE) -> Flow:
    found = solve(here, alpha=alpha, q=flow.q, circulation=flow.circulation, first_cfl=1e8, tolerance=1e-12)
    assert found.residual < 1e-11
    return found


def test_k_and_omega_stay_above_zero(solved: tuple[Marching, Flow]) -> None:
    _, flow = solved
    assert np.min(flow.q[:, 3]) > 0.0
    assert np.max(flow.q[:, 3]) > 1000.0  # turbulent, not stuck laminar
    assert np.all(np.isfinite(flow.q[:, 4]))


def test_another_start_ends_at_the_same_flow(solved: tuple[Marching, Flow]) -> None:
    """From nothing, without the one-equation model, as goes on a grid as small as this."""
    here, flow = solved
    found = solve(
        here, alpha=ANGLE, q=uniform_state(here, alpha=ANGLE), first_cfl=5.0, most_steps=150, tolerance=1e-11
    )
    assert found.converged
    assert found.circulation == pytest.approx(flow.circulation, abs=1e-9)
    assert np.max(np.abs(found.q - flow.q) / (1.0 + np.abs(flow.q))) < 1e-6


def test_next_angles_follow_by_the_tangent(solved: tuple[Marching, Flow]) -> None:
    here, flow = solved
    there = step_to(here, flow, alpha=ANGLE + float(np.radians(2.0)))
    assert there.converged
    assert there.circulation > flow.circulation + 0.05
    back = step_to(here, there, alpha=ANGLE)
    assert back.circulation == pytest.approx(flow.circulation, abs=1e-7)


def test_turbulence_comes_to_rest_at_a_held_flow() -> None:
    here = marching(GRID, reynolds=1e6, model=TwoEquation())
    one = cold_start([GRID], marching(GRID, reynolds=1e6), alpha=ANGLE, reynolds=1e6)
    problem = here.at(ANGLE, one.circulation)
    begun = from_one_equation(problem, one.q)
    found = turbulence_alone(problem, here, begun)
    assert np.array_equal(found[:, :3], one.q[:, :3])
    before, after = (np.linalg.norm(problem.residual(q)[:, 3:] * [1e-4, 1.0]) for q in (begun, found))
    assert after < 1e-4 * before


def test_rows_by_shares_of_omega_are_the_derivative(solved: tuple[Marching, Flow]) -> None:
    """Against complex steps (Martins et al. 2003), at a state out of balance.

    omega R is the residual of omega, and a share s of it changes ln omega by s, to first order.
    """
    here, flow = solved
    problem = here.at(ANGLE, flow.circulation)
    rng = np.random.default_rng(4)
    q = flow.q * (1.0 + 0.05 * rng.normal(size=flow.q.shape))
    d = rng.normal(size=q.shape) * (1.0 + np.abs(q))
    matrix = problem.jacobian(q)
    rows = _rearranged(problem, q, problem.residual(q), matrix)

    def of_omega(state: FloatArray) -> FloatArray:
        r = problem.residual(state)
        left = problem.setting.left
        r[:, 3] -= state[:, 3] * r[:, 0]
        r[:, 4] = (r[:, 4] - (state[:, 4] + left) * r[:, 0]) * np.exp(state[:, 4] - q[:, 4])
        return np.asarray(r)

    assert np.max(np.abs(of_omega(q) - rows)) < 1e-12 * np.max(np.abs(rows))
    exact = of_omega(q + 1e-30j * d).imag / 1e-30
    scale = (abs(matrix) @ np.abs(d.ravel())).reshape(q.shape)
    assert np.max(np.abs((matrix @ d.ravel()).reshape(q.shape) - exact) / scale) < 1e-12
    assert np.max(np.abs(rows[:, 4])) > 1e-3  # or the share's own term would not have been seen


def value(here: Marching, flow: Flow, objective: Objective) -> float:
    return objective.value(here.at(flow.alpha, flow.circulation), flow.q, flow.alpha)


def test_adjoint_says_what_solving_again_gives(solved: tuple[Marching, Flow]) -> None:
    here, flow = solved
    lift, drag = adjoints(here, flow, (LIFT, DRAG))
    rng = np.random.default_rng(2)
    near = np.flatnonzero(here.problem.mesh.distance < 0.2)
    for cell in rng.choice(near, 5, replace=False):
        made = np.zeros_like(flow.q)
        made[cell, 1:3] = lift.by_source[cell, 1:3] / np.linalg.norm(lift.by_source[cell, 1:3])
        expected = by_push(lift, here, made)
        strength = 1e-6 / expected  # moves lift by a millionth
        sides = []
        for sign in (-1.0, 1.0):
            setting = here.problem.setting._replace(made=sign * strength * made)
            pushed = replace(here, problem=replace(here.problem, setting=setting))
            sides.append(value(pushed, polished(pushed, flow), LIFT))
        assert (sides[1] - sides[0]) / (2.0 * strength) == pytest.approx(expected, rel=1e-4)
    step = float(np.radians(0.0005))
    for adjoint in (lift, drag):
        low, high = (
            value(here, polished(here, flow, alpha=ANGLE + s), adjoint.objective) for s in (-step, step)
        )
        assert by_angle(adjoint, here, flow) == pytest.approx((high - low) / (2.0 * step), rel=1e-4)
