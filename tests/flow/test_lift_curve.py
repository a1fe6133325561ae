"""A sweep as one result: what it promises to those who read it."""

import json
from collections.abc import Callable
from dataclasses import asdict, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight import sources
from slowflight.errors import InputError, RangeError
from slowflight.flow.integral import results
from slowflight.flow.integral.section_flow import section_model, solve
from slowflight.flow.integral.sweep import sweep
from slowflight.flow.lift_curve import NOSE, UNCALIBRATED, lift_curve
from slowflight.flow.maximum_lift import TREND_DEGREES, first_top, first_trough, maximum_lift
from slowflight.flow.solution import FlowPoint, LiftCurve
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow
from tests.flow.sections import TRIPS_4412

ROW = VaneRow(station=0.1, height=5e-3, length=15e-3, pitch=50e-3, gap=12e-3, incidence=np.radians(15.0))


@given(
    top=st.floats(1.0, 2.0), at=st.floats(5.0, 17.0), bend=st.floats(1e-3, 1e-2),
    step=st.sampled_from([0.5, 1.0, 2.0]),
)  # fmt: skip
def test_maximum_of_a_parabola_is_exact(top: float, at: float, bend: float, step: float) -> None:
    angles = np.arange(0.0, 22.0 + step, step)
    found = maximum_lift([(float(a), float(top - bend * (a - at) ** 2)) for a in angles])
    assert found is not None
    assert found[0] == pytest.approx(at, abs=1e-6)
    assert found[1] == pytest.approx(top, abs=1e-9)


def test_maximum_with_uneven_steps_and_in_any_order() -> None:
    angles = (14.0, 11.0, 12.5, 16.0, 13.0)
    found = maximum_lift([(a, 1.6 - 0.01 * (a - 13.2) ** 2) for a in angles])
    assert found == pytest.approx((13.2, 1.6))


@pytest.mark.parametrize(
    "curve",
    [
        [],
        [(1.0, 1.0), (2.0, 1.1)],
        [(1.0, 1.0), (2.0, 1.1), (3.0, 1.2)],
        [(1.0, 1.3), (2.0, 1.2), (3.0, 1.1)],
        [(1.0, 1.0), (2.0, 1.2), (3.0, None)],
        [(1.0, 1.0), (4.0, 1.2), (5.0, 1.1)],
        [(1.0, 1.0), (2.0, 1.2), (3.0, None), (4.0, None), (5.0, 1.1)],
    ],
)
def test_no_maximum_where_it_is_not_bracketed(curve: list[tuple[float, float | None]]) -> None:
    assert maximum_lift(curve) is None


def test_one_missing_angle_beside_the_maximum_still_gives_one() -> None:
    found = maximum_lift([(1.0, 1.0), (2.0, 1.2), (3.0, None), (4.0, 1.0)])
    assert found is not None
    assert found[0] == pytest.approx(2.5, abs=0.5)


def test_lift_that_creeps_up_again_is_no_maximum() -> None:
    """The first peak counts: a made curve dips by 5 % and then passes its peak, as separated lift can."""
    rising = [(float(a), 0.11 * a) for a in range(-4, 9)]
    falling = [(9.0, 0.90), (10.0, 0.86), (11.0, 0.84)]
    creeping = [(float(a), 0.84 + 0.01 * (a - 11)) for a in range(12, 31)]
    found = maximum_lift(rising + falling + creeping)
    assert found is not None
    assert found[0] == pytest.approx(8.5, abs=0.5)
    assert found[1] < 0.93 < creeping[-1][1]


def test_a_dip_of_less_than_a_hundredth_is_passed_over() -> None:
    curve = [(2.0, 0.2), (3.0, 0.3), (4.0, 0.298), (5.0, 0.4), (6.0, 0.5), (7.0, 0.45), (8.0, 0.4)]
    found = maximum_lift(curve)
    assert found is not None
    assert found[0] == pytest.approx(6.0, abs=0.5)


def test_no_parabola_is_laid_across_an_abrupt_drop() -> None:
    """A parabola through 1.4, 1.5 and 0.9 would make 1.52 of it, which no point has."""
    top = first_top([(10.0, 1.3), (11.0, 1.4), (12.0, 1.5), (13.0, 0.9), (14.0, 0.85)])
    assert top is not None
    assert (top.angle, top.lift) == (12.0, 1.5)
    assert top.limit == 12.0  # what lies behind the drop is a trend at once


def test_the_trough_is_the_peak_of_the_curve_turned_about() -> None:
    curve = [(float(a), 1.2 - 0.01 * (a - 11.3) ** 2) for a in range(17)]
    top = first_top(curve)
    trough = first_trough([(-a, -c) for a, c in curve])
    assert top is not None
    assert top.angle == pytest.approx(11.3)
    assert trough is not None
    assert (trough.angle, trough.limit) == (-top.angle, -top.limit)
    assert trough.lift == pytest.approx(-1.2)


def test_a_section_that_stalls_below_the_start() -> None:
    """A flap far down: lift falls all the way from -4 deg on."""
    found = maximum_lift([(float(a), 2.0 - 0.01 * (a + 4.0) ** 2) for a in range(-10, 9)])
    assert found == pytest.approx((-4.0, 2.0))


@pytest.fixture(scope="module")
def stalled() -> LiftCurve:
    angles = [8.0, -2.0, 20.0, 0.0, *range(10, 20), 2.0, 4.0, 6.0]
    return lift_curve(naca_section("4412"), reynolds=1.52e6, angles_deg=angles, transition=TRIPS_4412)


def test_points_stand_in_the_order_asked_for(stalled: LiftCurve) -> None:
    assert [p.alpha_deg for p in stalled.points][:4] == [8.0, -2.0, 20.0, 0.0]
    assert len(stalled.points) == 17


def test_result_says_what_it_refers_to(stalled: LiftCurve) -> None:
    assert stalled.airfoil == "NACA 4412"
    assert stalled.tier == "integral"
    assert stalled.reference["transition"] == {"upper": 0.025, "lower": 0.103}
    assert stalled.reference["vane_rows"] == 0
    assert set(stalled.sources) <= set(sources.bibliography())
    assert len(stalled.sources) == len(set(stalled.sources)) > 0
    assert UNCALIBRATED not in stalled.warnings


def test_every_point_is_whole(stalled: LiftCurve) -> None:
    for p in stalled.points:
        assert p.converged
        numbers = (p.cl, p.cd, p.cm, p.cd_vanes, p.residual)
        assert all(n is not None and np.isfinite(n) for n in numbers)
        assert p.cd is not None
        assert p.cd > 0.0
        assert p.cd_vanes == 0.0
        (main,) = p.elements
        assert main.name == "main"
        assert main.upper.transition is not None
        for start, end in (*main.upper.separated, *main.lower.separated):
            assert -0.01 < start < end < 1.01
        upper, lower, wake = p.layers["main"]
        assert (upper.side, lower.side, wake.side) == ("upper", "lower", "wake")
        assert np.allclose(upper.pressure_coefficient, 1.0 - upper.edge_speed**2)
        assert np.all(np.diff(upper.arc) > 0.0)
        assert np.all(wake.friction_coefficient == 0.0)


def test_separation_moves_forward_with_the_angle(stalled: LiftCurve) -> None:
    by_angle = sorted(stalled.points, key=lambda p: p.alpha_deg)
    assert by_angle[0].separation_upper is None
    places = [p.separation_upper for p in by_angle if p.alpha_deg >= 10.0]
    assert all(place is not None for place in places)
    assert places == sorted(places, reverse=True, key=lambda place: place or 0.0)
    # and it is the first of the stretches that reaches the trailing edge
    for p in by_angle:
        if p.separation_upper is not None:
            assert p.elements[0].upper.separated[-1][0] == p.separation_upper


def test_beyond_three_degrees_past_the_maximum_is_marked(stalled: LiftCurve) -> None:
    assert stalled.alpha_cl_max_deg is not None
    limit = stalled.alpha_cl_max_deg + TREND_DEGREES
    for p in stalled.points:
        assert p.extrapolated == (p.alpha_deg > limit)
        assert p.extrapolated == any("a trend, not a value" in w for w in p.warnings)
    assert any(p.extrapolated for p in stalled.points)


def whole(digits: str, reynolds: float, angles: list[float], upper: float | None = None) -> LiftCurve:
    return lift_curve(naca_section(digits), reynolds=reynolds, angles_deg=angles, transition=(upper, None))


def test_separated_lift_that_passes_the_peak_again_is_marked() -> None:
    """NACA 1606: lift has its peak near 8 deg, dips, and at 30 deg is above that peak, all separated."""
    curve = whole("1606", 3e5, [float(a) for a in range(-4, 31)], 0.27)
    assert curve.cl_max is not None
    assert curve.alpha_cl_max_deg is not None
    assert 7.0 < curve.alpha_cl_max_deg < 10.0
    lift = {p.alpha_deg: p.cl for p in curve.points}
    assert (lift[30.0] or 0.0) > curve.cl_max
    assert all(p.extrapolated for p in curve.points if p.alpha_deg > curve.alpha_cl_max_deg + TREND_DEGREES)


def test_a_fall_within_too_wide_a_step_is_marked() -> None:
    curve = whole("4412", 2e6, [0.0, 5.0, 10.0, 15.0, 20.0, 24.0])
    assert curve.cl_max is None
    assert [p.extrapolated for p in curve.points] == [False] * 4 + [True] * 2


def test_air_off_the_skin_from_the_nose_is_marked_on_either_side() -> None:
    """NACA 1303: lift never falls, and it never is a maximum either; the plate-like section stalls early."""
    curve = whole("1303", 3.5e6, [float(a) for a in range(-20, 31, 2)])
    assert curve.cl_max is None
    assert NOSE in curve.warnings
    marked = {p.alpha_deg for p in curve.points if p.extrapolated}
    assert marked >= {a for a in map(float, range(-20, 31, 2)) if a <= -8.0 or a >= 10.0}
    assert not marked & {-4.0, -2.0, 0.0, 4.0}
    for p in curve.points:
        if p.converged and not p.extrapolated:
            worst = max(float(np.max(s.displacement_thickness)) for s in p.layers["main"][:2])
            assert worst < 0.1, p.alpha_deg


def test_nose_stall_is_warned_of_where_attached_answers_end() -> None:
    """NACA 0006 at Re 3e6: attached answers end at about 9 deg, with a bubble before."""
    angles = [float(a) for a in range(-4, 21)]
    curve = whole("0006", 3e6, angles)
    assert curve.cl_max == pytest.approx(0.95, abs=0.03)
    assert curve.stall is not None
    assert curve.stall.kind == "from the nose"
    assert all(p.extrapolated for p in curve.points if p.alpha_deg > (curve.alpha_cl_max_deg or 0.0))
    assert NOSE in curve.warnings


def test_nose_stall_is_not_warned_of_where_the_nose_is_well() -> None:
    """A tripped nose of 15 % thickness has no laminar layer to separate; nor has a sweep of attached angles.

    The layer of the first is laminar, and has a short bubble, only behind its trip at 30 % of the lower side.
    """
    angles = [float(a) for a in range(21)]
    tripped = lift_curve(naca_section("4415"), reynolds=3e6, angles_deg=angles, transition=(0.01, 0.3))
    assert tripped.cl_max is not None
    assert NOSE not in tripped.warnings
    # mid-chord bubbles of a small Reynolds number are not the nose's
    bubbly = lift_curve(naca_section("4415"), reynolds=5e5, angles_deg=[-1.0, 0.0, 1.0, 2.0, 3.0, 4.0])
    assert any(p.elements[0].upper.separated for p in bubbly.points)
    assert NOSE not in bubbly.warnings


def test_the_nose_is_the_first_twentieth_of_chord() -> None:
    """A laminar stretch of reversed air counts at 3 % of chord, not at 7 %, and not where turbulent."""
    (point,) = lift_curve(naca_section("0012"), reynolds=3e6, angles_deg=[2.0]).points
    upper = point.layers["main"][0]

    def bubble_at(middle: float, share: float) -> bool:
        friction = np.where(np.abs(upper.x - middle) < 0.015, -1e-3, 1e-3)
        assert np.any(friction < 0.0)
        turbulent = np.full_like(upper.x, share)
        return results.nose_bubble(replace(upper, friction_coefficient=friction, turbulent_share=turbulent))

    assert bubble_at(0.03, 0.0)
    assert not bubble_at(0.07, 0.0)
    assert not bubble_at(0.03, 1.0)


@pytest.mark.parametrize(
    ("digits", "reynolds", "alpha_deg"), [("2415", 230055.0, 8.0), ("1511", 347668.0, 10.0)]
)
def test_a_bubble_ahead_is_not_taken_for_separation_at_the_trailing_edge(
    digits: str, reynolds: float, alpha_deg: float
) -> None:
    """Friction at the trailing edge is only just negative, over a stretch hardly long enough to be named."""
    (point,) = lift_curve(naca_section(digits), reynolds=reynolds, angles_deg=[alpha_deg]).points
    upper = point.layers["main"][0]
    bubble = point.elements[0].upper.separated[0]
    assert bubble[1] < 0.9
    assert point.separation_upper is None or point.separation_upper > 0.9
    # the rule itself, on a layer made for it
    friction = np.where(upper.x < 0.999, 1e-3, -1e-6)
    friction[(upper.x > 0.1) & (upper.x < 0.2)] = -1e-3
    made = replace(upper, friction_coefficient=friction)
    assert len(results.reversed_stretches(made)) == 1
    assert results.trailing_separation(made) is None


def test_record_is_json_without_nan(stalled: LiftCurve) -> None:
    record = asdict(replace(stalled, points=tuple(replace(p, layers={}) for p in stalled.points)))
    json.dumps(record, allow_nan=False)


def test_maximum_that_is_not_bracketed_is_null_and_said() -> None:
    curve = lift_curve(naca_section("4412"), reynolds=2e6, angles_deg=[0.0, 2.0, 4.0])
    assert curve.cl_max is None
    assert curve.alpha_cl_max_deg is None
    assert any("not bracketed" in w for w in curve.warnings)
    assert "Mack1977" in curve.sources  # free transition rests on linear theory


def test_on_point_hears_each_angle_once() -> None:
    heard: list[FlowPoint] = []
    lift_curve(naca_section("0012"), reynolds=2e6, angles_deg=[4.0, 0.0, -2.0], on_point=heard.append)
    assert sorted(round(p.alpha_deg, 9) for p in heard) == [-2.0, 0.0, 4.0]


@pytest.mark.parametrize("reynolds", [1e5, 2e7])
def test_reynolds_numbers_outside_the_range_are_marked(reynolds: float) -> None:
    curve = lift_curve(naca_section("0012"), reynolds=reynolds, angles_deg=[2.0], transition=(0.05, 0.05))
    assert all(p.extrapolated for p in curve.points)
    assert any("Reynolds number outside" in w for w in curve.warnings)


def test_failed_angles_are_null_and_give_a_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    """Newton's method is cut off above 5 deg; nothing may then look like an answer."""

    def failing(model, alpha, **rest):  # type: ignore[no-untyped-def]
        most = 2 if alpha > np.radians(5.0) else 50
        return solve(model, alpha, **{**rest, "most_iterations": most})

    monkeypatch.setattr("slowflight.flow.integral.sweep.solve", failing)
    angles = [2.0, 4.0, 6.0, 7.0, 8.0, 9.0, 10.0]
    curve = lift_curve(naca_section("4412"), reynolds=2e6, angles_deg=angles)
    good, failed = curve.points[:2], curve.points[2:]
    assert all(p.converged for p in good)
    for p in failed:
        assert not p.converged
        assert (p.cl, p.cd, p.cm, p.cd_vanes, p.separation_upper) == (None,) * 5
        assert p.elements == ()
        assert p.layers == {}
        assert p.warnings
        assert p.residual is None or np.isfinite(p.residual)
    assert any("no answer: layers and outer flow did not agree" in w for w in failed[0].warnings)
    assert any("not tried: no answer over 3 degrees" in w for w in failed[-1].warnings)
    assert [any("not tried" in w for w in p.warnings) for p in failed] == [False, False, True, True, True]
    for p in failed[:2]:
        (why,) = p.warnings
        assert "within 2 iterations" in why  # as many as were made
        # nothing beyond them had an answer, so nothing was tried from there
        assert "also not in smaller steps" in why
        assert why.endswith("or afresh")
    assert curve.cl_max is None
    assert any(w.startswith("no answer at 6, 7, 8, 9, 10") for w in curve.warnings)


def _cut(allowed: Callable[[float, bool], bool], monkeypatch: pytest.MonkeyPatch) -> None:
    """Let Newton's method end only where allowed, by angle [deg] and whether it starts afresh."""

    def cut(model, alpha, **rest):  # type: ignore[no-untyped-def]
        fine = allowed(float(np.degrees(alpha)), rest.get("near") is None)
        return solve(model, alpha, **{**rest, "most_iterations": 50 if fine else 2})

    monkeypatch.setattr("slowflight.flow.integral.sweep.solve", cut)


def _hows(angles: list[float]) -> list[str]:
    model = section_model(naca_section("4412"), reynolds=2e6)
    return [p.how for p in sweep(model, [float(a) for a in np.radians(angles)])]


def test_what_follows_from_a_new_guess_is_not_called_followed(monkeypatch: pytest.MonkeyPatch) -> None:
    _cut(lambda a, afresh: afresh or not 5.5 < a < 6.5, monkeypatch)
    assert _hows([2.0, 4.0, 5.0, 6.0, 7.0, 8.0]) == ["followed"] * 3 + ["afresh"] * 3


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_what_failed_is_tried_from_the_side_of_the_stall(way: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Upward from larger angles, downward from smaller ones; the attached side has been tried already.

    Here the step out to 8 deg from 2 deg (or to -4) fails, and the one back from 9 deg (-5) does not.
    """
    outward = [True]
    near, far = 2.0 + way * 6.0, 2.0 + way * 7.0

    def allowed(a: float, afresh: bool) -> bool:
        if abs(a - far) < 0.01 and afresh:
            outward[0] = False
            return True
        return not outward[0] or not 1.0 < way * (a - 2.0) < 6.5

    _cut(allowed, monkeypatch)
    assert _hows([2.0, near, far]) == ["followed", "from beyond", "afresh"]


def test_a_sweep_gives_up_by_degrees_not_by_angles(monkeypatch: pytest.MonkeyPatch) -> None:
    """Small steps go on over three degrees: eight angles without an answer do not end a sweep of tenths."""
    _cut(lambda a, afresh: not 5.05 < a < 5.85, monkeypatch)
    angles = [2.0, 4.0, 5.0, *np.round(np.arange(5.1, 6.05, 0.1), 1)]
    hows = dict(zip(angles, _hows([float(a) for a in angles]), strict=True))
    assert "not tried" not in hows.values()
    assert hows[5.5] == "failed"
    assert hows[6.0] == "followed"  # over the gap in one step


def test_no_common_speed_is_said_as_such(monkeypatch: pytest.MonkeyPatch) -> None:
    """Layers and outer flow agree in each round; only the speed of steady flight is never met."""
    monkeypatch.setattr("slowflight.flow.integral.coupling.SAME_SPEED", -1.0)
    monkeypatch.setattr("slowflight.flow.integral.sweep._first", lambda runner, ordered, begin: runner.start)
    module = "slowflight.flow.integral.sweep._Sweeper"
    model = section_model(naca_section("4412"), reynolds=2e6)
    monkeypatch.setattr(f"{module}.start", solve(model, np.radians(2.0)), raising=False)
    (point,) = lift_curve(
        naca_section("4412"), reynolds=2e6, angles_deg=[3.0], speed_follows_lift=True
    ).points
    assert not point.converged
    assert point.warnings[0].startswith("no answer: lift and speed did not agree within 8 rounds")


def test_separation_on_the_lower_side_is_said() -> None:
    """NACA 0012, smooth, Re 1e6: from 4 to 7 deg the laminar layer of the lower side lets go at its end.

    Lift per degree rises by up to a third there, and is as before when that side is tripped.
    """
    angles = [float(a) for a in range(1, 10)]
    curve = lift_curve(naca_section("0012"), reynolds=1e6, angles_deg=angles)
    (said,) = [w for w in curve.warnings if "on the lower side" in w]
    assert "lets go ahead of the trailing edge" in said
    slopes = np.diff([p.cl for p in curve.points if p.cl is not None])
    assert slopes.max() > 1.1 * slopes[0]
    tripped = lift_curve(naca_section("0012"), reynolds=1e6, angles_deg=angles, transition=(None, 0.05))
    assert not any("lower side" in w for w in tripped.warnings)


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"reynolds": float("nan")}, "reynolds"),
        ({"reynolds": 5e3}, "reynolds"),
        ({"angles_deg": []}, "angles_deg"),
        ({"angles_deg": [0.0, 60.0]}, "angles_deg"),
        ({"angles_deg": [float("inf")]}, "angles_deg"),
        ({"transition": (0.0, None)}, "upper transition"),
        ({"transition": (None, 1.5)}, "lower transition"),
        ({"critical_amplification": 0.0}, "critical_amplification"),
        ({"vane_rows": (ROW,)}, "chord_m"),
    ],
)
def test_refusals_name_the_field(change: dict[str, object], where: str) -> None:
    given_arguments: dict[str, object] = {"reynolds": 2e6, "angles_deg": [0.0], **change}
    with pytest.raises(InputError, match=f"^{where}: found") as caught:
        lift_curve(naca_section("4412"), **given_arguments)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)
    if where != "chord_m":
        assert isinstance(caught.value, RangeError)


def test_nose_stall_is_warned_of_on_a_thin_section() -> None:
    """NACA 0012 without trips has a laminar bubble at the nose near maximum lift."""
    curve = lift_curve(naca_section("0012"), reynolds=3e6, angles_deg=[float(a) for a in range(21)])
    assert curve.cl_max is not None
    assert NOSE in curve.warnings
