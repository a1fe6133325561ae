"""Rows on a wing ahead of its flap, on a very coarse grid: what is pushed and what is refused."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flow.integral.section_flow import SectionModel, section_model
from slowflight.flow.rans import bodies_flow
from slowflight.flow.rans.adjoint import adjoints, by_push
from slowflight.flow.rans.bodies_flow import gridded_bodies
from slowflight.flow.rans.bodies_grid import BODIES_FAMILIES, BodiesSize
from slowflight.flow.rans.bodies_gridding import bodies_grid
from slowflight.flow.rans.bodies_lift_curve import ENDS_AT_EDGE, bodies_lift_curve
from slowflight.flow.rans.conditions import Conditions, conditions
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.given_flow import Given, GivenFlow, vane_force, whole_force
from slowflight.flow.rans.gridded import Gridded
from slowflight.flow.rans.newton import Flow, Marching, solve, uniform_state
from slowflight.flow.rans.objectives import LIFT
from slowflight.flow.rans.section_picture import laid_out
from slowflight.flow.rans.sweep import step_to
from slowflight.flow.rans.transition import FULLY_TURBULENT
from slowflight.flow.rans.vane_push import push
from slowflight.flow.solution import FloatArray
from slowflight.wing.vane_row import VaneRow
from tests.flow.bodies.cases import hung
from tests.flow.rans.outer_loss import outer_loss

COARSE = BodiesSize(40, 12, 8, 8, 4, 20, 10, 14)
ANGLE = np.radians(4.0)
ROW = VaneRow(station=0.2, height=0.006, length=0.015, pitch=0.06, incidence=np.radians(16.0), gap=0.012)
CHORD = 1.2
Solved = tuple[Gridded, Flow, SectionModel]


@pytest.fixture(scope="module")
def solved() -> Solved:
    patch = pytest.MonkeyPatch()
    patch.setitem(BODIES_FAMILIES, "preview", COARSE)
    elements = hung(16.0)
    body = gridded_bodies(bodies_grid(elements, reynolds=1.5e6, family="preview"), reynolds=1.5e6)
    patch.undo()
    here = body.turbulent
    flow = solve(here, alpha=ANGLE, q=uniform_state(here, alpha=ANGLE), first_cfl=5.0, most_steps=150)
    assert flow.converged
    model = section_model(elements.bodies[0].section, reynolds=1.5e6, vane_rows=(ROW,), chord_m=CHORD)
    return body, flow, model


def rows(solved: Solved) -> Conditions:
    body, _, model = solved
    return conditions(body.columns, body.turbulent, model, rows=(ROW,))


def test_columns_hold_each_cell_once_and_rise_from_the_skin(solved: Solved) -> None:
    columns = solved[0].columns
    cells = columns.cells[columns.real]
    assert np.unique(cells).size == cells.size
    assert np.all(np.diff(columns.face_height, axis=1)[columns.real] > 0.0)
    assert np.all(np.diff(columns.face_height, axis=1)[~columns.real] == 0.0)
    mesh = solved[0].turbulent.problem.mesh
    first = mesh.distance[columns.cells[:, 0]]
    np.testing.assert_allclose(0.5 * columns.face_height[:, 1], first, rtol=0.1)
    # above the flap's ring they end on it, on the upper side nowhere
    assert columns.deep[0] == 20
    assert np.all(columns.deep[columns.around // 2 :] == 20 + 4 + 14)
    np.testing.assert_array_equal(mesh.edge_cells[columns.faces, 0], columns.cells[:, 0])


def test_the_push_is_the_march_s_momentum(solved: Solved) -> None:
    """Up to a distance behind the row: its wake, what the march hands to the span mean, and <u~ u~> there."""
    body, flow, _ = solved
    on_grid = rows(solved)
    given, (stress,) = on_grid.from_flow(body.turbulent, flow)
    assert stress.status == "ran"
    force_on_air = given.made[:, 1:3] * body.turbulent.problem.mesh.volume[:, None]
    where, columns = on_grid.where, body.columns
    by_column = np.where(columns.real[..., None], force_on_air[columns.cells], 0.0).sum(axis=1)
    np.testing.assert_allclose(by_column.sum(axis=0), force_on_air.sum(axis=0), atol=1e-15)
    along = np.sum(by_column * where.cell_along, axis=1)
    ratio = where.column_arc[-1] / on_grid.panel_length
    start = np.trapezoid(stress.axial[0], stress.height)
    for end in (0.7, 0.85, 0.95):
        column = int(np.searchsorted(where.column_arc, where.column_arc[-1] * end))
        behind = where.column_arc[column] - ratio * stress.rear
        handed = np.interp(behind, stress.distance, stress.handed)
        # the skin turns by some degrees between row and tail, and cells are coarse, hence not exact
        assert along[:column].sum() == pytest.approx(-stress.sink - start - handed, rel=0.06)


def test_stresses_alone_push_nothing_in_all(solved: Solved) -> None:
    body, flow, _ = solved
    on_grid = rows(solved)
    _, (stress,) = on_grid.from_flow(body.turbulent, flow)
    quiet = replace(stress, sink=0.0, swirl=0.0 * stress.swirl)
    mesh = body.turbulent.problem.mesh
    made = push(mesh, on_grid.where, (quiet,), panel_length=on_grid.panel_length) * mesh.volume[:, None]
    assert np.max(np.abs(made)) > 1e-7
    np.testing.assert_allclose(made.sum(axis=0), 0.0, atol=1e-15)


def test_flow_and_march_agree_and_all_momentum_is_accounted_for(solved: Solved) -> None:
    """What leaves through the outer boundary is what both skins and the vanes took."""
    body, flow, _ = solved
    here = body.turbulent
    clean = force(here.at(flow.alpha, flow.circulation), flow.q, alpha=ANGLE)
    vaned = rows(solved).settle(here, flow, Given(np.zeros_like(flow.q), FULLY_TURBULENT), passes=5)
    assert vaned.flow.converged
    assert vaned.change < 2e-3  # of a lift of 2: on so coarse a grid the layer's edge jumps from cell to cell
    lift, drag, _, vane_drag = whole_force(here, vaned)
    (stress,) = vaned.rows
    assert 0.4 * 2.0 * stress.drag < vane_drag < 1.5 * 2.0 * stress.drag
    assert drag > clean.drag
    lost_lift, lost_drag = outer_loss(here, vaned.flow)
    assert lost_drag == pytest.approx(drag, abs=1e-7)
    assert lost_lift == pytest.approx(lift, abs=1e-7)


def test_the_map_of_both_bodies_is_what_solving_again_gives(solved: Solved) -> None:
    """Pushes beside the wing, in the slot and beside the flap; cut-offs of the model bend the differences."""
    body, flow, _ = solved
    here = body.turbulent
    (adjoint,) = adjoints(here, flow, (LIFT,))
    rng = np.random.default_rng(4)
    for skin in body.skins:
        for cell in rng.choice(skin.cells[:, 3], 3, replace=False):
            made = np.zeros_like(flow.q)
            made[cell, 1:3] = adjoint.by_source[cell, 1:3] / np.linalg.norm(adjoint.by_source[cell, 1:3])
            expected = by_push(adjoint, here, made)
            strength = 1e-5 / expected
            sides = [lift_with(here, flow, s * strength * made) for s in (-1.0, 1.0)]
            assert (sides[1] - sides[0]) / (2.0 * strength) == pytest.approx(expected, rel=2e-3)


def lift_with(here: Marching, flow: Flow, made: FloatArray) -> float:
    """Lift of the skins once the flow is solved again with sources."""
    pushed = replace(here, problem=replace(here.problem, setting=here.problem.setting._replace(made=made)))
    found = solve(pushed, alpha=ANGLE, q=flow.q, circulation=flow.circulation, first_cfl=1e8, tolerance=1e-11)
    return force(here.at(ANGLE, found.circulation), found.q, alpha=ANGLE).lift


def test_slope_with_a_row_s_station_ahead_of_a_flap(solved: Solved) -> None:
    """Its march made to both sides in the same flow; the whole lift has the push on the vanes in it."""
    body, flow, _ = solved
    here = body.turbulent
    (adjoint,) = adjoints(here, flow, (LIFT,))
    made = []
    for by in (-1e-3, 1e-3):
        moved = replace(ROW, station=ROW.station + by)
        model = section_model(hung(16.0).bodies[0].section, reynolds=1.5e6, vane_rows=(moved,), chord_m=CHORD)
        how = conditions(body.columns, here, model, rows=(moved,))
        made.append(1e-2 * how.from_flow(here, flow)[0].made)  # weak: the flow is the clean one
    lifts = [lift_with(here, flow, m) + vane_force(here, m, alpha=ANGLE)[0] for m in made]
    difference = made[1] - made[0]
    slope = by_push(adjoint, here, difference) + vane_force(here, difference, alpha=ANGLE)[0]
    assert slope == pytest.approx(lifts[1] - lifts[0], rel=2e-2)


def test_a_picture_holds_both_bodies_and_the_air_between_them(solved: Solved) -> None:
    body, flow, _ = solved
    outlines = [element.outline for element in hung(16.0).bodies]
    found = GivenFlow(flow, Given(np.zeros_like(flow.q), FULLY_TURBULENT))
    # inside the wing, in the slot, inside the flap
    slot = (0.985, -0.014)
    x, y = np.array([0.5, slot[0], 1.05, 2.0]), np.array([-1.0, slot[1], -0.06, 0.01])
    drawn = laid_out(body, body.turbulent, found, outlines, x=x, y=y)
    assert np.isnan(drawn["u"][3, 0])
    assert np.isnan(drawn["u"][2, 2])
    assert np.isfinite(drawn["u"][0]).all()
    assert drawn["u"][1, 1] > 0.0
    cell = int(body.skins[1].cells[3, 4])  # off the flap's lower side
    center = body.turbulent.problem.mesh.center[cell]
    beside = np.array([0.0, 1.0])
    near = laid_out(body, body.turbulent, found, outlines, x=center[:1] + beside, y=center[1:] + beside)
    assert near["u"][0, 0] == pytest.approx(flow.q[cell, 1], abs=2e-3)


def test_a_curve_with_vanes_says_what_they_rest_on_and_none_change_nothing(
    solved: Solved, monkeypatch: pytest.MonkeyPatch
) -> None:
    body, flow, _ = solved
    monkeypatch.setitem(BODIES_FAMILIES, "preview", COARSE)
    monkeypatch.setattr(bodies_flow, "bodies_start", lambda *_, **__: (body.turbulent, flow))
    common: dict[str, Any] = {"reynolds": 1.5e6, "chord_m": CHORD, "grid": "preview"}
    curve = bodies_lift_curve(hung(16.0), angles_deg=(4.0,), vane_rows=(ROW,), **common)
    (point,) = curve.points
    assert point.converged
    assert point.extrapolated
    assert point.cd_vanes is not None
    assert point.cd_vanes > 1e-4
    assert point.vane_effects[0].circulation > 0.0
    assert any("uncalibrated" in w for w in curve.warnings)
    assert ENDS_AT_EDGE in curve.warnings
    assert "Wendt2001" in curve.sources
    flat = replace(ROW, height=0.0)
    none = bodies_lift_curve(hung(16.0), angles_deg=(4.0, 5.0), vane_rows=(flat,), **common)
    assert ENDS_AT_EDGE not in none.warnings
    # the clean sweep is the first flow and steps of its own problem, nothing else
    stepped = step_to(body.turbulent, flow, alpha=np.radians(5.0))
    for found, by_hand in zip(none.points, (flow, stepped), strict=True):
        problem = body.turbulent.at(by_hand.alpha, by_hand.circulation)
        assert found.cl == pytest.approx(force(problem, by_hand.q, alpha=by_hand.alpha).lift, rel=1e-8)
        assert found.cd_vanes == 0.0


@pytest.mark.parametrize(
    ("row", "why"),
    [
        (replace(ROW, element="flap"), "no vanes on moving surfaces"),
        (replace(ROW, surface="lower"), "into the slot"),
    ],
)
def test_rows_elsewhere_are_refused(row: VaneRow, why: str) -> None:
    with pytest.raises(InputError, match=why):
        bodies_lift_curve(
            hung(16.0), reynolds=1.5e6, angles_deg=(4.0,), vane_rows=(row,), chord_m=CHORD, grid="preview"
        )


def test_vanes_need_a_chord() -> None:
    with pytest.raises(InputError, match="chord in meters"):
        bodies_lift_curve(hung(16.0), reynolds=1.5e6, angles_deg=(4.0,), vane_rows=(ROW,), grid="preview")
