"""Both halves of the wing, the ground and ends of flaps, against exact solutions and a published curve."""

import math
from dataclasses import replace

import numpy as np
import pytest

from slowflight.errors import RangeError
from slowflight.flow.lifting_line import SectionCurve, SpanCurve, whole_wing, wing_lift
from slowflight.flow.lifting_line.ground import over_ground
from slowflight.flow.lifting_line.induced import downwash, downwash_both_halves
from slowflight.flow.lifting_line.jumps import (
    Jump,
    corrected,
    jumps_between,
    loading_of_a_jump,
    missed_by_the_points,
)
from slowflight.flow.lifting_line.linear import linear_lift_of_strips
from slowflight.flow.lifting_line.strips import Strips
from slowflight.flow.lifting_line.whole import whole_wing_of_strips
from slowflight.flow.solution import FloatArray
from tests.verification.lifting_line_wings import (
    curve_of,
    elliptic,
    everywhere,
    on_strips,
    rounded,
    tapered,
)

SLOPE = 2.0 * np.pi


def whole_ellipse(*, aspect_ratio: float, points: int, washout: FloatArray | float = 0.0) -> Strips:
    """Return both halves of an elliptic wing of unit root chord."""
    turn = np.arange(1, 2 * points) * np.pi / (2 * points)
    span = 0.25 * np.pi * aspect_ratio
    return Strips(
        span=span,
        area=0.25 * np.pi * span,
        turn=turn,
        y=0.5 * span * np.cos(turn),
        chord=np.sin(turn),
        washout=np.zeros(turn.size) + washout,
        share=np.sin(turn) * np.pi / (4 * points),
        air=downwash_both_halves(points),
        both_halves=True,
    )


def linear_curve(zero_lift: float = 0.0) -> SectionCurve:
    return curve_of(lambda alpha: SLOPE * (alpha - zero_lift))


@pytest.mark.parametrize("at", [0.4, 1.1, 0.5 * np.pi, 2.6])
def test_loading_of_a_jump_is_its_sine_series(at: float) -> None:
    turn = np.linspace(0.05, 3.1, 11)
    n = np.arange(2, 40001)
    terms = (2.0 / (np.pi * n)) * (np.sin((n - 1) * at) / (n - 1) - np.sin((n + 1) * at) / (n + 1))
    series = (4.0 / np.pi) * (0.5 * at - 0.25 * np.sin(2.0 * at)) * np.sin(turn)
    series += np.sin(np.outer(turn, n)) @ terms
    np.testing.assert_allclose(loading_of_a_jump(turn, at), series, atol=2e-8)


def test_the_points_miss_nothing_of_an_angle_that_is_even_over_the_span() -> None:
    np.testing.assert_allclose(missed_by_the_points(24, np.pi), 0.0, atol=1e-12)


def flapped_ellipse(points: int, *, at: float, both: bool, correct: bool) -> tuple[float, float]:
    """Lift and rolling moment of an elliptic wing at no angle, flaps, or the right aileron, down 0.1 rad."""
    strips = whole_ellipse(aspect_ratio=7.0, points=points)
    down = np.where(strips.y > at, 0.1, 0.0)
    jumps = [Jump(at, 0.1)]
    if both:
        down = down + np.where(strips.y < -at, 0.1, 0.0)
        jumps.append(Jump(-at, -0.1))
    strips = replace(strips, washout=-down)
    curves = on_strips(linear_curve(), strips)
    if correct:
        curves = replace(curves, jumped=corrected(strips, jumps))
    found = whole_wing_of_strips(strips, curves, np.array([0.0]))
    return float(found.cl[0]), float(found.rolling[0])


def exact_flapped_ellipse(at: float, *, both: bool) -> tuple[float, float]:
    """Exact, Glauert's series: ``alpha sin(turn) = sum e_n sin(n turn)``, ``A_n (1 + n k / 2) = k e_n``."""
    aspect_ratio, here = 7.0, np.arccos(at / (0.5 * 0.25 * np.pi * 7.0))

    def term(n: int) -> float:
        # 2 / pi times the integral of sin t sin(n t) from the tip to the flap's end
        def integral(to: float) -> float:
            if n == 1:
                return 0.5 * to - 0.25 * math.sin(2.0 * to)
            return 0.5 * (math.sin((n - 1) * to) / (n - 1) - math.sin((n + 1) * to) / (n + 1))

        right = integral(float(here))
        left = integral(np.pi) - integral(np.pi - float(here))
        return 0.1 * (2.0 / np.pi) * (right + (left if both else 0.0))

    k = 2.0 * SLOPE / (np.pi * aspect_ratio)
    first = k * term(1) / (1.0 + 0.5 * k)
    second = k * term(2) / (1.0 + k)
    return 0.5 * np.pi * aspect_ratio * first, -np.pi * aspect_ratio * second / 8.0


@pytest.mark.parametrize("both", [True, False])
@pytest.mark.parametrize("share", [0.35, 0.6, 0.8])
def test_part_span_flap_of_an_elliptic_wing(share: float, both: bool) -> None:
    """Exact lift and rolling moment; the correction at the flap's end takes most of the error away."""
    at = share * 0.5 * 0.25 * np.pi * 7.0
    exact = np.array(exact_flapped_ellipse(at, both=both))
    wanted = exact if not both else exact[:1]
    errors = {}
    for correct in (False, True):
        worst = []
        for points in (20, 21, 23, 40):
            found = np.array(flapped_ellipse(points, at=at, both=both, correct=correct))
            worst.append(np.max(np.abs(found[: wanted.size] / wanted - 1.0)))
        errors[correct] = max(worst)
    # 4 to 11 % without it
    assert errors[True] < 0.003
    assert errors[True] < 0.03 * errors[False]


def test_flaps_alike_on_both_halves_by_the_half_and_by_the_whole() -> None:
    wing = tapered(aspect_ratio=7.0, taper=0.6, washout=np.radians(2.0))
    flapped = curve_of(lambda alpha: 5.8 * (alpha + np.radians(10.0)), start=-20.0)
    bare = curve_of(lambda alpha: 5.8 * (alpha + np.radians(4.0)), start=-20.0)
    tip = wing.semi_span
    spans = [
        SpanCurve(span_from=0.0, span_to=0.6 * tip, inner=flapped, outer=flapped),
        SpanCurve(span_from=0.6 * tip, span_to=tip, inner=bare, outer=bare),
    ]
    angles = np.radians([0.0, 5.0])
    half = wing_lift(wing, curve_at=spans, angles=angles, points=40, smoothing=0.2)
    both = whole_wing(wing, right=spans, angles=angles, points=40)
    np.testing.assert_allclose(both.cl, half.cl, rtol=1e-10)
    np.testing.assert_allclose(both.rolling, 0.0, atol=1e-13)
    assert "SivellsWestrick1952" in half.sources
    # flap inboard: the induced angle falls past its end by what the sections differ
    (jump, mirrored) = jumps_between(spans)
    assert jump.rise == pytest.approx(np.radians(-6.0), abs=1e-9)
    assert mirrored.rise == pytest.approx(np.radians(6.0), abs=1e-9)
    finer = wing_lift(wing, curve_at=spans, angles=angles, points=200, smoothing=0.2)
    np.testing.assert_allclose(half.cl, finer.cl, rtol=3e-4)


def test_whole_wing_alike_on_both_halves_is_twice_the_half_through_stall() -> None:
    wing = tapered(aspect_ratio=6.8, taper=1.0, washout=np.radians(2.0))
    angles = np.radians(np.arange(0.0, 20.1, 1.0))
    spans = everywhere(rounded(), wing.semi_span)
    half = wing_lift(wing, curve_at=spans, angles=angles, points=40, smoothing=0.2)
    both = whole_wing(wing, right=spans, angles=angles, points=40)
    np.testing.assert_allclose(both.cl, half.cl, atol=1e-9)
    np.testing.assert_allclose(both.rolling, 0.0, atol=1e-9)
    assert both.cl_max == pytest.approx(half.cl_max_continued, abs=1e-9)
    np.testing.assert_allclose(both.stalled_right, both.stalled_left)


@pytest.mark.parametrize("aspect_ratio", [6.0, 10.0])
def test_damping_in_roll_of_an_elliptic_wing(aspect_ratio: float) -> None:
    """Exact lifting line: ``-(a0 / 8) / (1 + 2 a0 / (pi AR))``; surface theory has 13 % less at AR 6."""
    rate = 0.05
    strips = whole_ellipse(aspect_ratio=aspect_ratio, points=20)
    strips = replace(strips, washout=-rate * np.cos(strips.turn))
    found = whole_wing_of_strips(strips, on_strips(linear_curve(), strips), np.array([0.02]))
    exact = -(SLOPE / 8.0) / (1.0 + 2.0 * SLOPE / (np.pi * aspect_ratio))
    assert found.rolling[0] / rate == pytest.approx(exact, rel=1e-9)


def test_dihedral_and_roll_rate_have_the_signs_a_pilot_knows() -> None:
    wing = tapered(aspect_ratio=7.0, taper=1.0)
    spans = everywhere(rounded(), wing.semi_span)
    level = np.radians([4.0])
    slipping = whole_wing(wing, right=spans, angles=level, sideslip=np.radians(5.0), dihedral=np.radians(3.0))
    assert slipping.rolling[0] < -1e-4  # air from the right lifts the right wing
    rolling = whole_wing(wing, right=spans, angles=level, roll_rate=0.05)
    assert rolling.rolling[0] < -1e-3  # and a roll to the right is damped


def wieselsberger(height_over_span: float) -> float:
    """Share of the induced drag that the ground takes away, NACA TM 77 (the formula from memory)."""
    return (1.0 - 1.32 * height_over_span) / (1.05 + 7.4 * height_over_span)


@pytest.mark.parametrize("height_over_span", [0.05, 0.1, 0.15, 0.2, 0.25])
def test_ground_takes_away_induced_drag_as_published(height_over_span: float) -> None:
    """Wieselsberger's formula is an approximation to Prandtl's elliptic biplane, for 0.033 to 0.25."""
    strips = elliptic(aspect_ratio=7.0, points=64)
    near = replace(strips, air=over_ground(strips, height=height_over_span * strips.span))
    # of the same elliptic loading
    loading = np.sin(strips.turn)
    weight = strips.share * loading
    free = float(weight @ (downwash(64) @ loading))
    assert near.air is not None
    share = 1.0 - float(weight @ (near.air @ loading)) / free
    published = wieselsberger(height_over_span)
    assert share == pytest.approx(published, abs=0.002)


@pytest.mark.parametrize(("height_over_span", "percent"), [(0.1, 47.6), (0.25, 23.5)])
def test_ground_effect_as_pilots_are_taught_it(height_over_span: float, percent: float) -> None:
    """FAA, Pilot's Handbook of Aeronautical Knowledge, chapter on aerodynamics of flight, FROM MEMORY."""
    strips = elliptic(aspect_ratio=7.0, points=64)
    air = over_ground(strips, height=height_over_span * strips.span)
    loading = np.sin(strips.turn)
    weight = strips.share * loading
    share = 1.0 - float(weight @ (air @ loading)) / float(weight @ (downwash(64) @ loading))
    assert 100.0 * share == pytest.approx(percent, abs=1.5)


def test_ground_raises_the_slope_and_is_the_same_for_half_and_whole() -> None:
    half, whole = elliptic(aspect_ratio=7.0, points=30), whole_ellipse(aspect_ratio=7.0, points=30)
    height = 0.15 * half.span
    near = replace(half, air=over_ground(half, height=height))
    both = replace(whole, air=over_ground(whole, height=height))
    slopes = [linear_lift_of_strips(s, section_slope=SLOPE).slope for s in (half, near, both)]
    assert slopes[1] > 1.04 * slopes[0]
    assert slopes[2] == pytest.approx(slopes[1], rel=1e-12)
    far = replace(half, air=over_ground(half, height=200.0 * half.span))
    assert linear_lift_of_strips(far, section_slope=SLOPE).slope == pytest.approx(slopes[0], rel=1e-5)
    # tips that stand higher feel less of it
    risen = replace(half, air=over_ground(half, height=height, dihedral=np.radians(5.0)))
    slope = linear_lift_of_strips(risen, section_slope=SLOPE).slope
    assert slopes[0] < slope < slopes[1]
    with pytest.raises(RangeError, match="of the span"):
        over_ground(half, height=0.02 * half.span)
