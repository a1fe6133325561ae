"""A wing section with a hung flap, layers and wakes of both together."""

import math
from dataclasses import replace

import numpy as np
import pytest

from slowflight.errors import RangeError
from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.integral.bodies.model import elements_model, outer_flow, solve_bodies
from slowflight.flow.integral.bodies.results import element_forces, element_layer, total
from slowflight.flow.integral.bodies.sweep import sweep_elements
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.solution import LiftCurve
from slowflight.wing.elements import hung_flap, single
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow
from tests.flow.bodies.cases import hung

REYNOLDS = 2e6
SETTINGS = (0.0, 16.0, 31.0)  # of the demo wing
ANGLES = tuple(float(a) for a in range(-4, 21, 2))


@pytest.fixture(scope="module")
def curves() -> dict[float, LiftCurve]:
    return {d: elements_lift_curve(hung(d), reynolds=REYNOLDS, angles_deg=ANGLES) for d in (*SETTINGS, -8.0)}


@pytest.mark.parametrize("setting", SETTINGS)
def test_settings_of_the_demo_are_computed_through_stall(
    curves: dict[float, LiftCurve], setting: float
) -> None:
    curve = curves[setting]
    answered = [p for p in curve.points if p.converged]
    assert len(answered) >= len(ANGLES) - 1
    assert curve.cl_max is not None
    for p in answered:
        assert [e.name for e in p.elements] == ["main", "flap"]
        assert set(p.layers) == {"main", "flap"}
    for p in curve.points:
        assert p.converged or (p.cl is None and p.warnings)


def test_lowering_the_flap_raises_lift_and_brings_the_stall_forward(curves: dict[float, LiftCurve]) -> None:
    """Direction only, as every measured flap shows (of this kind: Noyes, NACA TN 524)."""
    tops = [curves[d].cl_max for d in (-8.0, *SETTINGS)]
    assert all(t is not None for t in tops)
    assert np.all(np.diff(np.array(tops, dtype=float)) > 0.0)
    at = [curves[d].alpha_cl_max_deg for d in SETTINGS]
    assert np.all(np.diff(np.array(at, dtype=float)) < 0.0)
    level = ANGLES.index(0.0)
    lifts = [curves[d].points[level].cl for d in (-8.0, *SETTINGS)]
    assert np.all(np.diff(np.array(lifts, dtype=float)) > 0.0)


def test_pressures_and_wakes_give_one_lift() -> None:
    """Lift from pressures and from circulation are the same in attached flow: Kutta and Joukowski."""
    model = elements_model(
        hung(10.0), reynolds=REYNOLDS, transition=(0.05, 0.05), flap_transition=(0.05, 0.05)
    )
    solved = solve_bodies(model, math.radians(2.0))
    assert solved.converged
    parts = element_forces(model, solved)
    found = total(parts)
    assert found.cl == pytest.approx(found.cl_circulation, rel=4e-3)
    assert found.cl == pytest.approx(parts[0].cl + parts[1].cl, rel=1e-12)


def test_layers_take_lift_away() -> None:
    model = elements_model(hung(10.0), reynolds=REYNOLDS)
    alpha = math.radians(2.0)
    outer = outer_flow(model, alpha)
    inviscid = 0.0
    for k, body in enumerate(model.system.bodies):
        q = outer.q0[outer.starts[k] : outer.starts[k] + body.outline.x.size]
        inviscid += float(np.sum((q[1:] + q[:-1]) * np.diff(body.outline.arc)))
    solved = solve_bodies(model, alpha, coupled=outer)
    assert 0.75 * inviscid < total(element_forces(model, solved)).cl < 0.99 * inviscid


def test_a_far_small_flap_leaves_the_section_as_it_is() -> None:
    """In the limit the main section is alone: a flap of 5 % chord 40 % away changes its lift by little."""
    main = naca_section("4414")
    far = hung_flap(
        main, naca_section("0012"), chord=0.05, axis_aft=0.3, axis_below=0.3, axis_in_flap=0.0, angle=0.0
    )
    model = elements_model(far, reynolds=REYNOLDS, transition=(0.05, 0.05), flap_transition=(0.1, 0.1))
    solved = solve_bodies(model, math.radians(4.0))
    alone = lift_curve(main, reynolds=REYNOLDS, angles_deg=[4.0], transition=(0.05, 0.05)).points[0]
    assert solved.converged
    assert element_forces(model, solved)[0].cl == pytest.approx(alone.cl, rel=0.05)


def test_answer_does_not_depend_on_the_way_there() -> None:
    """Reached from 4 deg and from a new guess: one answer, to the tolerance of Newton's method."""
    model = elements_model(
        hung(10.0), reynolds=REYNOLDS, transition=(0.05, 0.05), flap_transition=(0.05, 0.05)
    )
    (point,) = sweep_elements(model, [math.radians(6.0)])
    afresh = solve_bodies(model, math.radians(6.0))
    assert point.solved is not None
    assert point.solved.converged
    assert afresh.converged
    by_sweep, by_guess = (total(element_forces(model, s)) for s in (point.solved, afresh))
    assert by_sweep.cl == pytest.approx(by_guess.cl, abs=1e-5)
    assert by_sweep.cd == pytest.approx(by_guess.cd, abs=1e-6)


def test_wake_of_the_wing_runs_over_the_flap() -> None:
    """It passes above the flap's skin and never through it."""
    for setting in (0.0, 16.0, 31.0):
        model = elements_model(hung(setting), reynolds=REYNOLDS)
        path = outer_flow(model, math.radians(4.0)).paths[0]
        flap = model.system.bodies[1].outline
        nose = model.system.bodies[1].nose
        beside = (path.x > flap.x[nose:].min()) & (path.x < flap.x.max())
        above = path.y[beside] - np.interp(path.x[beside], flap.x[nose:], flap.y[nose:])
        assert beside.sum() > 10
        assert above.min() > 0.0


def test_separation_of_the_flap_is_told_in_its_own_chord() -> None:
    model = elements_model(hung(20.0), reynolds=REYNOLDS)
    (point,) = sweep_elements(model, [0.0])
    assert point.solved is not None
    layer = element_layer(model, point.solved, 1, "upper")
    assert layer.x.max() > 1.1  # distributions stay in the frame
    curve = elements_lift_curve(hung(20.0), reynolds=REYNOLDS, angles_deg=[0.0])
    (flow,) = curve.points
    for start, end in flow.elements[1].upper.separated:
        assert 0.0 <= start <= end <= 1.001


ROW = VaneRow(
    station=0.1, height=0.006, length=0.016, pitch=0.06, gap=0.016, incidence=math.radians(17.0),
    arrangement="counter-rotating", opening="downstream", surface="upper", shape="rectangular",
)  # fmt: skip


def test_vanes_of_no_height_do_nothing_and_real_ones_raise_the_most_lift() -> None:
    clean, none, with_row = (
        elements_lift_curve(
            hung(16.0), reynolds=REYNOLDS, angles_deg=range(4, 19), chord_m=1.4, vane_rows=rows
        )
        for rows in ((), (replace(ROW, height=0.0),), (ROW,))
    )
    assert none.cl_max == clean.cl_max
    assert clean.cl_max is not None
    # with the row lift still rises at 18 deg: no maximum is bracketed there
    assert max(p.cl for p in with_row.points if p.converged and p.cl is not None) > clean.cl_max
    assert any("uncalibrated" in w for w in with_row.warnings)
    assert with_row.points[2].vane_effects[0].circulation > 0.0


def test_cautions_of_two_bodies_are_said(curves: dict[float, LiftCurve]) -> None:
    curve = curves[31.0]
    assert any("no measured section" in w for w in curve.warnings)
    assert any("kept apart" in w for w in curve.warnings)
    assert any("comes to a stand" in w for w in curve.warnings)
    stands = [p for p in curve.points if any("stands or runs back" in w for w in p.warnings)]
    assert stands
    assert all(p.extrapolated for p in stands)
    assert curve.reference["slot_gap"] == hung(31.0).gap


def test_one_body_gives_the_section_curve() -> None:
    section = naca_section("4412")
    angles = [0.0, 4.0, 8.0, 12.0, 14.0, 16.0, 18.0]
    one = lift_curve(section, reynolds=2e6, angles_deg=angles)
    same = elements_lift_curve(single(section), reynolds=2e6, angles_deg=angles)
    for p, q in zip(one.points, same.points, strict=True):
        assert q.cl == pytest.approx(p.cl, abs=1e-5)
        assert q.cd == pytest.approx(p.cd, abs=1e-5)
    assert same.cl_max == pytest.approx(one.cl_max, abs=1e-5)


def test_bad_input_is_refused() -> None:
    with pytest.raises(RangeError, match="reynolds"):
        elements_lift_curve(hung(0.0), reynolds=1.0, angles_deg=[0.0])
    with pytest.raises(RangeError, match="upper transition"):
        elements_lift_curve(hung(0.0), reynolds=2e6, angles_deg=[0.0], flap_transition=(2.0, None))
