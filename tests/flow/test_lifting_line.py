"""The wing from its section curves: vanes on part of the span, stall, ends of curves, refusals."""

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flow.lifting_line import SectionCurve, SpanCurve, WingLift, linear_lift, wing_lift
from slowflight.flow.lifting_line.induced import downwash
from slowflight.flow.lifting_line.strip_curves import strip_curves
from slowflight.flow.solution import FloatArray
from slowflight.sources import cite
from slowflight.wing.planform import Wing
from tests.verification.lifting_line_wings import curve_of, everywhere, rounded, tapered

CLEAN = rounded(maximum=1.5)
RECTANGULAR = tapered(aspect_ratio=6.8, taper=1.0, washout=np.radians(2.0))
ANGLES = np.radians(np.linspace(-2.0, 20.0, 45))


def later_stall(clean: SectionCurve, *, degrees: float) -> SectionCurve:
    """Return a curve that is the clean one up to 8 degrees and rounds over later by some degrees."""
    slope = 5.8 * np.pi / 180.0 * 1.0

    def lift(alpha: FloatArray) -> FloatArray:
        d = np.degrees(alpha)
        straight = 8.0 + degrees
        bend = np.clip(d - straight, 0.0, 6.0)
        rise = slope * (np.minimum(d, straight) + 4.0 + bend - bend**2 / 12.0)
        return np.asarray(1.5 / (15.0 * slope) * rise - 1.5 * np.radians(np.maximum(d - straight - 6.0, 0.0)))

    return curve_of(lift)


VANES = later_stall(CLEAN, degrees=2.0)


def solve(wing: Wing, *stretches: SpanCurve, angles: FloatArray = ANGLES, points: int = 64) -> WingLift:
    return wing_lift(wing, curve_at=stretches, angles=angles, points=points)


def stretch(start: float, end: float, curve: SectionCurve, outer: SectionCurve | None = None) -> SpanCurve:
    return SpanCurve(span_from=start, span_to=end, inner=curve, outer=outer or curve)


def test_vanes_change_nothing_where_their_curve_is_the_clean_one() -> None:
    tip = RECTANGULAR.semi_span
    clean = solve(RECTANGULAR, stretch(0.0, tip, CLEAN))
    vanes = solve(RECTANGULAR, stretch(0.0, tip, VANES))
    attached = np.degrees(np.nanmax(clean.effective_angles, axis=1)) < 7.0
    assert np.count_nonzero(attached) > 15
    # different smoothing lengths, the same answer: attached lift is not smoothed
    np.testing.assert_allclose(vanes.cl[attached], clean.cl[attached], atol=2e-4)


def test_row_on_part_of_the_span_lies_between_none_and_all() -> None:
    tip = RECTANGULAR.semi_span
    clean = solve(RECTANGULAR, stretch(0.0, tip, CLEAN))
    outer_half = solve(RECTANGULAR, stretch(0.0, 0.5 * tip, CLEAN), stretch(0.5 * tip, tip, VANES))
    most = solve(RECTANGULAR, stretch(0.0, 0.1 * tip, CLEAN), stretch(0.1 * tip, tip, VANES))
    full = solve(RECTANGULAR, stretch(0.0, tip, VANES))
    tops = [w.cl_max_continued or np.nan for w in (clean, outer_half, most, full)]
    assert np.all(np.diff(tops) > 0.005), tops
    assert most.stalled_share[-1] < clean.stalled_share[-1]
    # the bare middle stalls beyond its curve before the rest is at its maximum, and that is said
    assert any("at maximum lift" in warning and "held" in warning for warning in most.warnings)
    assert not any("held" in warning for warning in clean.warnings)
    # the first strip to stall is where it was, on clean skin, so the cautious rule credits such a row little
    assert clean.cl_max_first_station is not None
    assert outer_half.y_first_station is not None
    assert outer_half.y_first_station < 0.5 * tip
    assert outer_half.cl_max_first_station == pytest.approx(clean.cl_max_first_station, rel=0.01)


def test_two_like_stretches_are_one() -> None:
    tip = RECTANGULAR.semi_span
    one = solve(RECTANGULAR, stretch(0.0, tip, CLEAN))
    two = solve(RECTANGULAR, stretch(0.0, 0.37 * tip, CLEAN), stretch(0.37 * tip, tip, rounded(maximum=1.5)))
    np.testing.assert_allclose(two.cl, one.cl, atol=1e-9)
    assert two.cl_max_continued == pytest.approx(one.cl_max_continued, abs=1e-9)


def test_curves_blend_in_proportion_between_the_ends_of_a_stretch() -> None:
    wing = tapered(aspect_ratio=7.0, taper=0.6)
    tip = wing.semi_span
    weak, strong = rounded(maximum=1.2), rounded(maximum=1.6)
    mixed = SectionCurve(alpha=weak.alpha, cl=0.5 * (weak.cl + strong.cl), cd=0.5 * (weak.cd + strong.cd))
    whole = solve(wing, stretch(0.0, tip, weak, strong))
    halves = solve(wing, stretch(0.0, 0.5 * tip, weak, mixed), stretch(0.5 * tip, tip, mixed, strong))
    # not to the last digit: each curve's own top is set in by a parabola, the mean of two tops is not the
    # top of the mean, and the smoothing goes by the steepest fall
    attached = np.degrees(np.max(whole.effective_angles, axis=1)) < 12.0
    np.testing.assert_allclose(halves.cl[attached], whole.cl[attached], atol=1e-6)
    assert halves.cl_max_continued == pytest.approx(whole.cl_max_continued, rel=1e-3)


def test_washout_moves_stall_inboard_and_rectangular_wings_stall_at_the_root() -> None:
    straight = tapered(aspect_ratio=7.0, taper=0.4)
    washed = tapered(aspect_ratio=7.0, taper=0.4, washout=np.radians(4.0))
    places = []
    for wing in (straight, washed, RECTANGULAR):
        first = solve(wing, *everywhere(CLEAN, wing.semi_span)).y_first_station
        assert first is not None
        places.append(first / wing.semi_span)
    assert places[0] > 0.5
    assert places[1] < places[0] - 0.2
    assert places[2] == 0.0


def test_stall_spreads_from_where_it_began_and_theory_alone_has_several_answers() -> None:
    found = solve(RECTANGULAR, *everywhere(CLEAN, RECTANGULAR.semi_span))
    assert np.all(found.converged)
    stalled = found.stalled_share
    assert np.all(np.diff(stalled) >= 0.0)
    assert stalled[-1] > 0.3
    angle = found.angle_first_station
    assert angle is not None
    assert np.all(stalled[found.angles < angle - 1e-6] == 0.0)
    assert not np.any(found.several_answers[found.angles < angle])
    assert found.several_answers[-1]
    # no sawtooth: local lift past the top changes direction no more than a few times along the span
    turns = np.count_nonzero(np.diff(np.sign(np.diff(found.local_cl[-1]))))
    assert turns <= 3
    assert found.cl_max_first_station is not None
    assert found.cl_max_continued is not None
    assert found.cl_max_first_station < found.cl_max_continued < 1.5


@pytest.mark.parametrize("fall", [1.0, 3.0])
def test_maximum_does_not_hang_on_the_number_of_strips(fall: float) -> None:
    curve = rounded(fall=fall)
    coarse, fine = (
        solve(RECTANGULAR, *everywhere(curve, RECTANGULAR.semi_span), points=n) for n in (48, 128)
    )
    assert coarse.cl_max_continued == pytest.approx(fine.cl_max_continued, rel=1e-3)
    assert coarse.cl_max_first_station == pytest.approx(fine.cl_max_first_station, rel=1e-3)


def test_answers_do_not_depend_on_which_other_angles_are_asked() -> None:
    where = everywhere(CLEAN, RECTANGULAR.semi_span)
    together = solve(RECTANGULAR, *where)
    backward = solve(RECTANGULAR, *where, angles=ANGLES[::-1])
    np.testing.assert_allclose(backward.cl[::-1], together.cl, atol=1e-8)
    for k in (0, 20, 40, 44):
        alone = solve(RECTANGULAR, *where, angles=ANGLES[k : k + 1])
        assert alone.cl[0] == pytest.approx(together.cl[k], abs=1e-8)
        assert alone.cl_max_first_station == together.cl_max_first_station
        # the steps fall elsewhere, so the parabola does
        assert alone.cl_max_continued == pytest.approx(together.cl_max_continued, abs=2e-4)


def test_curve_that_ends_before_its_maximum_gives_no_maximum_and_says_so() -> None:
    short = curve_of(lambda alpha: 5.8 * alpha, end=10.0)
    found = solve(RECTANGULAR, *everywhere(short, RECTANGULAR.semi_span))
    assert found.cl_max_first_station is None
    assert found.angle_first_station is None
    assert found.cl_max_continued is None
    assert np.any(found.beyond_curves)
    assert np.all(np.isnan(found.cl[found.beyond_curves]))
    assert np.array_equal(found.converged, ~found.beyond_curves)
    assert np.all(found.angles[found.beyond_curves] > np.radians(10.0))
    assert sum("not yet predicted" in warning for warning in found.warnings) == 2
    assert any("beyond the ends of its section curves" in warning for warning in found.warnings)


def test_curve_drawn_on_straight_next_to_the_tip_is_said_and_small() -> None:
    late = curve_of(lambda alpha: rounded().lift()(alpha), start=-1.0)
    found = solve(RECTANGULAR, *everywhere(late, RECTANGULAR.semi_span), angles=np.radians([6.0, 12.0]))
    whole = solve(RECTANGULAR, *everywhere(rounded(), RECTANGULAR.semi_span), angles=np.radians([6.0, 12.0]))
    assert np.all(found.converged)
    assert 0.0 < found.extended_share[0] < 0.05
    assert any("drawn on straight" in warning for warning in found.warnings)
    assert np.all(whole.extended_share == 0.0)
    np.testing.assert_allclose(found.cl, whole.cl, atol=1e-3)


def test_answer_below_the_curves_is_refused_where_it_is_more_than_the_tip() -> None:
    found = solve(RECTANGULAR, *everywhere(CLEAN, RECTANGULAR.semi_span), angles=np.radians([-30.0, 5.0]))
    assert list(found.beyond_curves) == [True, False]
    assert np.isnan(found.cl[0])


@pytest.mark.parametrize(("stalled", "followed"), [(0.7, True), (0.4, False)])
def test_steep_stall_is_marked_or_has_no_maximum(stalled: float, followed: bool) -> None:
    """Lift drops at once behind 12 degrees; up to there linear theory says when the first strip stalls."""

    def lift(alpha: FloatArray) -> FloatArray:
        return np.where(np.degrees(alpha) < 12.5, 5.8 * alpha, stalled)

    wing = tapered(aspect_ratio=6.8, taper=1.0)
    found = solve(wing, *everywhere(curve_of(lift), wing.semi_span))
    linear = linear_lift(wing, section_slope=5.8)
    # the highest point is the peak: no round top is made up across a drop
    assert found.cl_max_first_station == pytest.approx(
        5.8 * np.radians(12.0) / linear.largest_local, rel=0.01
    )
    assert any("stall so abrupt" in warning for warning in found.warnings)
    assert (found.cl_max_continued is not None) == followed
    assert any("maximum lift of the whole wing is not yet predicted" in w for w in found.warnings) != followed
    lost = ~found.converged & ~found.beyond_curves
    assert np.any(lost)
    assert np.all(np.isnan(found.cl[lost]))
    assert any("do not settle" in warning for warning in found.warnings)


def test_smoothing_is_the_least_that_settles_and_moves_the_maximum_little() -> None:
    where = everywhere(CLEAN, RECTANGULAR.semi_span)
    found = solve(RECTANGULAR, *where)
    assert found.smoothing == 0.1
    twice = wing_lift(RECTANGULAR, curve_at=where, angles=ANGLES, smoothing=0.2)
    assert twice.smoothing == 0.2
    assert twice.cl_max_continued == pytest.approx(found.cl_max_continued, rel=0.01)
    assert twice.cl_max_first_station == found.cl_max_first_station
    for wrong in (-0.1, 1.5, float("nan")):
        with pytest.raises(InputError, match="smoothing"):
            wing_lift(RECTANGULAR, curve_at=where, angles=ANGLES, smoothing=wrong)


def test_curves_that_begin_too_high_for_more_than_the_tip_give_no_answer() -> None:
    late = curve_of(lambda alpha: rounded().lift()(alpha), start=1.0)
    found = solve(RECTANGULAR, *everywhere(late, RECTANGULAR.semi_span), angles=np.radians([5.0, 12.0]))
    assert list(found.converged) == [False, True]
    assert list(found.beyond_curves) == [True, False]


def test_each_strip_sees_the_wing_angle_less_washout_and_induced_angle() -> None:
    """The definition, recomputed from the loading, in attached flow and in the stall."""
    found = solve(RECTANGULAR, *everywhere(CLEAN, RECTANGULAR.semi_span))
    per_lift = 1.0 / (2.0 * RECTANGULAR.span)  # unit chord
    for k in (5, 30, 44):
        induced = downwash(64) @ (per_lift * found.local_cl[k])
        washout = np.array([RECTANGULAR.washout_at(float(y)) for y in found.y])
        np.testing.assert_allclose(found.effective_angles[k], found.angles[k] - washout - induced, atol=1e-9)
    # attached lift is the section's at that angle
    np.testing.assert_allclose(found.local_cl[5], CLEAN.lift()(found.effective_angles[5]), atol=1e-9)


def test_linear_theory_and_straight_section_curves_agree_on_washout() -> None:
    wing = tapered(aspect_ratio=7.0, taper=0.6, washout=np.radians(3.0))
    linear = linear_lift(wing, section_slope=5.8)
    straight = curve_of(lambda alpha: 5.8 * alpha)
    found = solve(wing, *everywhere(straight, wing.semi_span), angles=np.radians([0.0, 6.0]))
    assert linear.lift_at_zero < 0.0
    assert found.cl[0] == pytest.approx(linear.lift_at_zero, abs=1e-9)
    assert found.cl[1] == pytest.approx(linear.lift_at_zero + linear.slope * np.radians(6.0), abs=1e-9)


def test_table_of_strips_is_the_curves_mixed_and_ends_as_said() -> None:
    weak, strong = rounded(maximum=1.2), rounded(maximum=1.6)
    piece = stretch(0.0, 1.0, weak, strong)
    table = strip_curves([(piece, 0.0), (piece, 0.25), (piece, 1.0)])
    seen = np.radians(np.linspace(-12.0, 24.0, 77))
    for angle in seen[:-1]:
        lift, slope = table.lift.at(np.full(3, angle))
        parts = [float(curve.lift()(angle)) for curve in (weak, strong)]
        np.testing.assert_allclose(lift, [parts[0], 0.75 * parts[0] + 0.25 * parts[1], parts[1]], atol=1e-12)
        step = 1e-6
        ahead = table.lift.at(np.full(3, angle + step))[0]
        np.testing.assert_allclose(slope, (ahead - lift) / step, atol=1e-3)
    low, high = np.full(3, np.radians(-14.0)), np.full(3, np.radians(30.0))
    ends = [float(weak.lift()(weak.alpha[k])) for k in (0, -1)]
    first_slope = float(weak.lift()(weak.alpha[0], 1))
    assert table.lift.at(low)[0][0] == pytest.approx(ends[0] - first_slope * np.radians(2.0))
    assert table.lift.at(high)[0][0] == pytest.approx(ends[1])
    assert table.drag.at(low)[0][0] == pytest.approx(weak.cd[0])
    assert table.drag.at(high)[0][2] == pytest.approx(strong.cd[-1])


def test_sources_are_in_the_bibliography() -> None:
    found = solve(RECTANGULAR, *everywhere(CLEAN, RECTANGULAR.semi_span), angles=np.radians([5.0]))
    assert "SivellsNeely1947" in cite(*found.sources)


def test_peak_of_a_section_is_that_of_the_parabola_through_its_highest_points() -> None:
    alpha = np.radians(np.array([-2.0, 3.0, 8.0, 10.0, 11.5, 13.0, 15.0]))
    top = np.radians(12.1)
    curve = SectionCurve(alpha=alpha, cl=1.4 - 9.0 * (alpha - top) ** 2, cd=np.full(7, 0.01))
    assert curve.peak is not None
    assert curve.peak[0] == pytest.approx(top)
    assert curve.peak[1] == pytest.approx(1.4)
    assert float(curve.lift()(top)) == pytest.approx(1.4)
    np.testing.assert_allclose(curve.lift()(alpha), curve.cl)
    # a parabola across 5 degrees means nothing: there the highest point is the peak
    coarse = SectionCurve(
        alpha=np.radians([-2.0, 3.0, 8.0, 13.0]), cl=np.array([0.2, 0.8, 1.3, 1.2]), cd=np.ones(4)
    )
    assert coarse.peak == (np.radians(8.0), 1.3)


@pytest.mark.parametrize(
    ("cl", "alpha", "problem"),
    [
        ([0.1, 0.2, 0.3], [0.0, 0.1, 0.2], "at least 4"),
        ([0.1, 0.2, 0.3, 0.4], [0.0, 0.1, 0.1, 0.2], "out of order"),
        ([0.1, np.nan, 0.3, 0.4], [0.0, 0.1, 0.2, 0.3], "not finite"),
        ([0.1, 0.2, 0.3, 0.4], [0.0, 0.1, 0.2, 0.3, 0.4], "one length"),
    ],
)
def test_section_curves_that_are_none_are_refused(cl: list[float], alpha: list[float], problem: str) -> None:
    with pytest.raises(InputError, match=problem):
        SectionCurve(alpha=np.array(alpha), cl=np.array(cl), cd=np.full(len(cl), 0.01))


@pytest.mark.parametrize(
    "places",
    [
        (),
        ((0.0, 2.0),),
        ((0.5, 3.4),),
        ((0.0, 1.0), (1.5, 3.4)),
        ((0.0, 2.0), (1.0, 3.4)),
        ((0.0, 0.0), (0.0, 3.4)),
    ],
)
def test_stretches_that_do_not_cover_the_half_span_are_refused(
    places: tuple[tuple[float, float], ...],
) -> None:
    with pytest.raises(InputError, match="stretches of the span"):
        solve(RECTANGULAR, *(stretch(a, b, CLEAN) for a, b in places))


def test_other_refusals() -> None:
    where = everywhere(CLEAN, RECTANGULAR.semi_span)
    with pytest.raises(InputError, match="wing angles"):
        solve(RECTANGULAR, *where, angles=np.array([8.0]))  # degrees for radians
    with pytest.raises(InputError, match="strips"):
        solve(RECTANGULAR, *where, points=4)
    falling = curve_of(lambda alpha: -alpha)
    with pytest.raises(InputError, match="attached"):
        solve(RECTANGULAR, *everywhere(falling, RECTANGULAR.semi_span))
