"""Adjoints on a very small grid against solving again: sources, angle, flap, and a row of vanes."""

from dataclasses import replace

import numpy as np
import pytest

from slowflight.flow.integral.section_flow import section_model
from slowflight.flow.rans.adjoint import Adjoint, adjoints, by_angle, by_difference, by_push
from slowflight.flow.rans.conditions import conditions
from slowflight.flow.rans.far_field import outer_slopes
from slowflight.flow.rans.given_flow import vane_force
from slowflight.flow.rans.grid import GridSize, section_grid
from slowflight.flow.rans.jacobian import outer_change
from slowflight.flow.rans.newton import Flow, Marching, solve, uniform_state
from slowflight.flow.rans.objectives import DRAG, LIFT, Objective, backflow_area
from slowflight.flow.rans.skin_columns import section_columns
from slowflight.flow.rans.skin_layers import skin_layers
from slowflight.flow.rans.sweep import marching
from slowflight.flow.solution import FloatArray
from slowflight.wing.flap import PlainFlap, deflect
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

SIZE = GridSize(32, 8, 48, 4)
ANGLE = np.radians(4.0)
FLAP = PlainFlap(chord=0.3)
PLAIN = naca_section("naca0012", closed_trailing_edge=True)
SECTION = deflect(PLAIN, flap=FLAP, angle=np.radians(5.0))
Solved = tuple[Marching, Flow, tuple[Adjoint, ...]]


@pytest.fixture(scope="module")
def solved() -> Solved:
    grid = section_grid(SECTION, reynolds=1e6, family=SIZE)
    here = marching(grid, reynolds=1e6)
    flow = solve(
        here, alpha=ANGLE, q=uniform_state(here, alpha=ANGLE), first_cfl=5.0, most_steps=150, tolerance=1e-12
    )
    assert flow.converged
    columns = section_columns(grid)
    area = backflow_area(columns, skin_layers(here.at(flow.alpha, flow.circulation), columns, flow.q))
    return here, flow, adjoints(here, flow, (LIFT, DRAG, area))


def again(here: Marching, flow: Flow, objective: Objective, *, alpha: float = ANGLE) -> float:
    found = solve(here, alpha=alpha, q=flow.q, circulation=flow.circulation, first_cfl=1e8, tolerance=2e-13)
    assert found.residual < 1e-11
    return objective.value(here.at(found.alpha, found.circulation), found.q, alpha)


def pushed(here: Marching, made: FloatArray) -> Marching:
    return replace(here, problem=replace(here.problem, setting=here.problem.setting._replace(made=made)))


@pytest.mark.parametrize("which", [0, 1, 2])
def test_sources_at_ten_places_by_complex_step(solved: Solved, which: int) -> None:
    """The state's answer to a source is found forward, and complex steps of the residual say that it is one.

    Martins et al. 2003. Nothing is subtracted: the Jacobian's own code is not trusted here.
    """
    here, flow, found = solved
    adjoint, problem = found[which], here.at(flow.alpha, flow.circulation)
    slope = adjoint.objective.slope(problem, flow.q, ANGLE)
    half = 0.5 * LIFT.slope(problem, flow.q, ANGLE)
    turned, _ = outer_slopes(problem.mesh, alpha=ANGLE, circulation=flow.circulation, unknowns=4)
    border = outer_change(flow.q, problem.mesh, problem.setting, turned)
    here.solver.factorize(problem.jacobian(flow.q))
    bordered = here.solver.solve(border.ravel()).reshape(flow.q.shape)
    rng = np.random.default_rng(2)
    near = np.flatnonzero(problem.mesh.distance < 0.2)
    for cell in rng.choice(near, 10, replace=False):
        made = np.zeros_like(flow.q)
        made[cell, 1:3] = rng.normal(size=2)
        right = made * problem.mesh.volume[:, None]
        alone = here.solver.solve(right.ravel()).reshape(flow.q.shape)
        turn = float(np.sum(half * alone)) / (1.0 + float(np.sum(half * bordered)))
        change = alone - turn * bordered
        stepped = problem.residual(flow.q + 1e-30j * change).imag / 1e-30 + turn * border
        assert np.linalg.norm(stepped - right) < 1e-8 * np.linalg.norm(right)
        assert by_push(adjoint, here, made) == pytest.approx(float(np.sum(slope * change)), rel=1e-6)


def test_sources_do_what_solving_again_gives() -> None:
    """Cut-offs of the turbulence model far away bend the answer: differences agree no closer than this."""
    grid = section_grid(PLAIN, reynolds=1e6, family=SIZE)
    here = marching(grid, reynolds=1e6)
    flow = solve(
        here, alpha=ANGLE, q=uniform_state(here, alpha=ANGLE), first_cfl=5.0, most_steps=150, tolerance=1e-12
    )
    (adjoint,) = adjoints(here, flow, (LIFT,))
    rng = np.random.default_rng(2)
    near = np.flatnonzero(here.problem.mesh.distance < 0.2)
    for cell in rng.choice(near, 10, replace=False):
        made = np.zeros_like(flow.q)
        made[cell, 1:3] = adjoint.by_source[cell, 1:3] / np.linalg.norm(adjoint.by_source[cell, 1:3])
        expected = by_push(adjoint, here, made)
        strength = 1e-6 / expected  # moves lift by a millionth
        sides = [again(pushed(here, s * strength * made), flow, LIFT) for s in (-1.0, 1.0)]
        assert (sides[1] - sides[0]) / (2.0 * strength) == pytest.approx(expected, rel=2e-5)


def test_area_of_backflow_has_its_slope(solved: Solved) -> None:
    here, flow, found = solved
    area = found[2].objective
    change = np.random.default_rng(3).normal(size=flow.q.shape)
    sides = [area.value(here.problem, flow.q + s * 1e-6 * change, ANGLE) for s in (-1.0, 1.0)]
    slope = float(np.sum(area.slope(here.problem, flow.q, ANGLE) * change))
    assert (sides[1] - sides[0]) / 2e-6 == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize("which", [0, 1, 2])
def test_slope_with_angle(solved: Solved, which: int) -> None:
    here, flow, found = solved
    step = np.radians(0.0005)
    sides = [again(here, flow, found[which].objective, alpha=ANGLE + s) for s in (-step, step)]
    expected = (sides[1] - sides[0]) / (2.0 * step)
    assert by_angle(found[which], here, flow) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("which", [0, 1])
def test_slope_with_the_flap_s_angle(solved: Solved, which: int) -> None:
    """The grid is built anew to both sides; one cell keeps its place in the order."""
    _, flow, found = solved
    step = np.radians(0.001)
    sides = []
    for sign in (-1.0, 1.0):
        section = deflect(PLAIN, flap=FLAP, angle=np.radians(5.0) + sign * step)
        sides.append(marching(section_grid(section, reynolds=1e6, family=SIZE), reynolds=1e6))
    low, high = (again(side, flow, found[which].objective) for side in sides)
    found_slope = by_difference(found[which], flow, (sides[0], sides[1]), apart=2.0 * step)
    assert found_slope == pytest.approx((high - low) / (2.0 * step), rel=1e-3)


def test_slope_with_a_row_s_station_and_height(solved: Solved) -> None:
    """Its march made to both sides in the same flow; the whole lift has the push on the vanes in it."""
    here, flow, found = solved
    grid = section_grid(SECTION, reynolds=1e6, family=SIZE)
    row = VaneRow(station=0.2, height=0.006, length=0.015, pitch=0.06, incidence=0.28, gap=0.012)
    for change in ({"station": 1e-3}, {"height": 6e-6}):
        (name, step) = next(iter(change.items()))
        mades = []
        for sign in (-1.0, 1.0):
            moved = replace(row, **{name: getattr(row, name) + sign * step})
            model = section_model(SECTION, reynolds=1e6, vane_rows=(moved,), chord_m=1.2)
            how = conditions(section_columns(grid), here, model, rows=(moved,))
            mades.append(1e-3 * how.from_flow(here, flow)[0].made)  # weak: the flow is the clean one
        lifts = [
            again(pushed(here, made), flow, LIFT) + vane_force(here, made, alpha=ANGLE)[0] for made in mades
        ]
        expected = (lifts[1] - lifts[0]) / (2.0 * step)
        slope = by_push(found[0], here, (mades[1] - mades[0]) / (2.0 * step))
        slope += vane_force(here, (mades[1] - mades[0]) / (2.0 * step), alpha=ANGLE)[0]
        assert slope == pytest.approx(expected, rel=2e-2)
