"""Rows of vanes in the section plane: what is pushed, what it is marched in, and the loop of both."""

from dataclasses import replace

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flow.integral.section_flow import SectionModel, section_model
from slowflight.flow.rans.conditions import Conditions, conditions
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.given_flow import Given, whole_force
from slowflight.flow.rans.grid import FAMILIES, Grid, GridSize, section_grid
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.flow.rans.marched_stress import RowStress
from slowflight.flow.rans.newton import Flow, Marching, solve, uniform_state
from slowflight.flow.rans.skin_columns import section_columns
from slowflight.flow.rans.skin_layers import skin_layers
from slowflight.flow.rans.surface import skin
from slowflight.flow.rans.sweep import marching
from slowflight.flow.rans.transition import FULLY_TURBULENT
from slowflight.flow.rans.vane_push import places, push
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow
from tests.flow.rans.outer_loss import outer_loss

SIZE = GridSize(48, 8, 48, 4)
ANGLE = np.radians(4.0)
SECTION = naca_section("naca0012", closed_trailing_edge=True)
ROW = VaneRow(station=0.2, height=0.006, length=0.015, pitch=0.06, incidence=np.radians(16.0), gap=0.012)
CHORD = 1.2
Solved = tuple[Marching, Grid, Flow, SectionModel]


@pytest.fixture(scope="module")
def solved() -> Solved:
    grid = section_grid(SECTION, reynolds=1e6, family=SIZE)
    here = marching(grid, reynolds=1e6)
    flow = solve(here, alpha=ANGLE, q=uniform_state(here, alpha=ANGLE), first_cfl=5.0, most_steps=150)
    assert flow.converged
    model = section_model(SECTION, reynolds=1e6, vane_rows=(ROW,), chord_m=CHORD)
    return here, grid, flow, model


def rows(solved: Solved) -> Conditions:
    here, grid, _, model = solved
    return conditions(section_columns(grid), here, model, rows=(ROW,))


def test_layers_obey_the_momentum_integral(solved: Solved) -> None:
    """Von Karman's equation along the upper skin, friction and edge speed from the same flow.

    Schlichting, Boundary-Layer Theory: d theta/ds = C_f/2 - (H + 2) theta/u du/ds, C_f on the edge speed.
    """
    here, grid, flow, _ = solved
    problem = here.at(flow.alpha, flow.circulation)
    found = skin_layers(problem, section_columns(grid), flow.q)
    friction = skin(problem, grid, flow.q).friction_coefficient
    part = (found.x > 0.2) & (found.x < 0.9) & (np.arange(found.x.size) > found.stagnation)
    u, theta, s = found.edge_speed[part], found.momentum_thickness[part], found.arc[part]
    rate = friction[part] / (2.0 * u * u)
    rate -= (found.shape_factor[part] + 2.0) * theta * np.gradient(np.log(u), s)
    grown = np.trapezoid(rate, s)
    assert theta[-1] - theta[0] == pytest.approx(grown, rel=0.1)


def test_the_push_is_the_march_s_momentum(solved: Solved) -> None:
    """Up to a distance behind the row: its wake, what the march hands to the span mean, and <u~ u~> there."""
    here, grid, flow, _ = solved
    on_grid = rows(solved)
    given, (stress,) = on_grid.from_flow(here, flow)
    assert stress.status == "ran"
    made = given.made
    force_on_air = made[:, 1:3] * here.problem.mesh.volume[:, None]
    where = on_grid.where
    size = grid.size
    columns = force_on_air[: size.around * size.across].reshape(size.around, size.across, 2).sum(axis=1)
    along = np.sum(columns * where.cell_along, axis=1)
    ratio = where.column_arc[-1] / on_grid.panel_length
    start = np.trapezoid(stress.axial[0], stress.height)
    for end in (0.7, 0.9):
        column = int(np.searchsorted(where.column_arc, where.column_arc[-1] * end))
        given = np.interp(where.column_arc[column] - ratio * stress.rear, stress.distance, stress.handed)
        # the skin turns by some degrees between row and tail, hence not exact
        assert along[:column].sum() == pytest.approx(-stress.sink - start - given, rel=0.05)


def test_vanes_too_tall_to_march_drag_all_the_same(solved: Solved) -> None:
    here, grid, flow, _ = solved
    tall = replace(ROW, station=0.02, height=0.02, length=0.05, pitch=0.2, gap=0.06)
    model = section_model(SECTION, reynolds=1e6, vane_rows=(tall,), chord_m=CHORD)
    given, (stress,) = conditions(section_columns(grid), here, model, rows=(tall,)).from_flow(here, flow)
    assert stress.status == "refused"
    assert stress.drag > 0.0
    total = (given.made[:, 1:3] * here.problem.mesh.volume[:, None]).sum(axis=0)
    # the columns over the vanes' length turn with the nose
    assert 0.8 * stress.drag < np.hypot(*total) <= stress.drag * (1.0 + 1e-9)


def test_stresses_alone_push_nothing_in_all(solved: Solved) -> None:
    here, _, flow, _ = solved
    on_grid = rows(solved)
    _, (stress,) = on_grid.from_flow(here, flow)
    quiet = replace(stress, sink=0.0, swirl=0.0 * stress.swirl)
    mesh = here.problem.mesh
    made = push(mesh, on_grid.where, (quiet,), panel_length=on_grid.panel_length) * mesh.volume[:, None]
    assert np.max(np.abs(made)) > 1e-7
    np.testing.assert_allclose(made.sum(axis=0), 0.0, atol=1e-15)


def test_push_of_a_known_stress_is_its_divergence(solved: Solved) -> None:
    """A shear stress that falls evenly with height pushes evenly; a normal one that grows along slows."""
    here, grid, _, _ = solved
    where = places(section_columns(grid), here.problem.mesh)
    middle = 0.5 * where.column_arc[-1]
    distance, height = np.linspace(0.0, 0.6, 40), np.linspace(1e-4, 0.02, 60)
    d, y = np.meshgrid(distance, height, indexing="ij")
    two = np.zeros(40)
    row = RowStress(
        upper=True, front=middle + 0.1, rear=middle + 0.11, tall=0.005, distance=distance, height=height,
        shear=0.02 - y, axial=0.5 * d, swirl=two, core=two + 0.005, sink=0.0, drag=0.0, handed=two,
        valid_to=0.6, status="ran", reason="", over_layer=1.0, thickness=0.005, speed=1.0, circulation=0.0,
        tripped=False,
    )  # fmt: skip
    made = push(here.problem.mesh, where, (row,), panel_length=where.column_arc[-1])
    size = grid.size
    block = made[: size.around * size.across].reshape(size.around, size.across, 4)
    levels = 0.5 * (where.cell_height[:, 1:] + where.cell_height[:, :-1])
    arc = 0.5 * (where.column_arc[1:] + where.column_arc[:-1])
    i = int(np.argmin(np.abs(arc - middle - 0.4)))
    inside = (levels[i] > 0.002) & (levels[i] < 0.015)
    assert np.count_nonzero(inside) > 5
    along = block[i][:, 1:3] @ where.cell_along[i]
    np.testing.assert_allclose(along[inside], -1.5, rtol=0.03)


def test_flow_and_march_agree_and_all_momentum_is_accounted_for(solved: Solved) -> None:
    """What leaves through the outer boundary is what skin and vanes took: lift and drag have both."""
    here, _, flow, _ = solved
    clean = force(here.at(flow.alpha, flow.circulation), flow.q, alpha=ANGLE)
    vaned = rows(solved).settle(here, flow, Given(np.zeros_like(flow.q), FULLY_TURBULENT), passes=5)
    assert vaned.settled
    assert vaned.flow.converged
    lift, drag, _, vane_drag = whole_force(here, vaned)
    (stress,) = vaned.rows
    assert 0.4 * 2.0 * stress.drag < vane_drag < 1.5 * 2.0 * stress.drag
    assert drag > clean.drag
    lost_lift, lost_drag = outer_loss(here, vaned.flow)
    assert lost_drag == pytest.approx(drag, abs=1e-7)
    assert lost_lift == pytest.approx(lift, abs=1e-7)


def test_a_curve_with_vanes_says_what_they_rest_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(FAMILIES, "preview", GridSize(32, 8, 48, 4))
    with pytest.raises(InputError, match="chord in meters"):
        rans_lift_curve(SECTION, reynolds=1e6, angles_deg=(4.0,), vane_rows=(ROW,), grid="preview")
    common = {"reynolds": 1e6, "angles_deg": (4.0,), "chord_m": CHORD, "grid": "preview"}
    curve = rans_lift_curve(SECTION, vane_rows=(ROW,), **common)  # type: ignore[arg-type]
    (point,) = curve.points
    assert point.converged
    assert point.cd_vanes is not None
    assert point.cd_vanes > 1e-4
    assert any("uncalibrated" in w for w in curve.warnings)
    assert "Wendt2001" in curve.sources
    assert point.vane_effects[0].circulation > 0.0
    none = rans_lift_curve(SECTION, vane_rows=(replace(ROW, height=0.0),), **common)  # type: ignore[arg-type]
    assert none.points[0].cd_vanes == 0.0
    assert not any("uncalibrated" in w for w in none.warnings)
