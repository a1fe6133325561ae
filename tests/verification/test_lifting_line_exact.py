"""Lifting line against exact solutions: elliptic wings, Glauert's series, and curves that bend and fall."""

from pathlib import Path

import numpy as np
import pytest

from slowflight.flow.lifting_line import linear_lift, wing_lift
from slowflight.flow.lifting_line.agreement import agree, has_rivals, plain
from slowflight.flow.lifting_line.induced import downwash
from slowflight.flow.lifting_line.linear import linear_lift_of_strips
from slowflight.flow.lifting_line.strips import multhopp_turn
from slowflight.flow.lifting_line.wing_lift import wing_lift_of_strips
from tests.verification.case_files import case_rows
from tests.verification.lifting_line_wings import (
    curve_of,
    elliptic,
    everywhere,
    on_strips,
    rounded,
    tapered,
)

CASES = case_rows(Path(__file__).parent / "cases" / "lifting_line.csv")


def number(row: dict[str, str], name: str) -> float:
    return float(row[name])


def wing_name(row: dict[str, str]) -> str:
    return f"aspect ratio {row['aspect_ratio']}, taper {row['taper']}"


@pytest.mark.parametrize("term", [1, 3, 5, 11])
def test_each_term_of_a_sine_series_turns_the_air_down_exactly(term: int) -> None:
    """Glauert, chapter XI: circulation ``sin(n turn)`` induces ``n sin(n turn) / (2 sin(turn))``."""
    turn = multhopp_turn(20)
    induced = downwash(20) @ (0.3 * np.sin(term * turn))
    np.testing.assert_allclose(
        induced, 0.15 * term * np.sin(term * turn) / np.sin(turn), atol=1e-13 * term**2
    )


@pytest.mark.parametrize("points", [8, 31, 64])
@pytest.mark.parametrize("aspect_ratio", [5.0, 12.0])
def test_elliptic_wing_by_the_linear_theory(points: int, aspect_ratio: float) -> None:
    """Exact: the induced angle is even, CL = a0 alpha / (1 + a0 / (pi AR)) and CDi = CL^2 / (pi AR)."""
    found = linear_lift_of_strips(elliptic(aspect_ratio=aspect_ratio, points=points), section_slope=5.9)
    slope = 5.9 / (1.0 + 5.9 / (np.pi * aspect_ratio))
    # sum of squared sines over Multhopp's points has no error, so neither has the wing's lift
    assert found.slope == pytest.approx(slope, rel=1e-12)
    np.testing.assert_allclose(found.induced_angle, slope / (np.pi * aspect_ratio), rtol=1e-11)
    assert found.span_efficiency == pytest.approx(1.0, rel=1e-11)
    assert found.largest_local == pytest.approx(1.0, rel=1e-11)


def test_washout_of_an_elliptic_wing() -> None:
    """Exact: washout ``w sin(3 turn) / sin(turn)`` adds no lift and takes ``w / (1 + 3 a0 / (pi AR))``."""
    turn, aspect_ratio, a0, w = multhopp_turn(40), 7.0, 6.0, np.radians(2.0)
    shape = np.sin(3.0 * turn) / np.sin(turn)
    strips = elliptic(aspect_ratio=aspect_ratio, points=40, washout=w * shape)
    curve = curve_of(lambda alpha: a0 * alpha)
    alpha = np.radians(5.0)
    found = wing_lift_of_strips(strips, on_strips(curve, strips), np.array([alpha]))
    untwisted = 1.0 / (1.0 + a0 / (np.pi * aspect_ratio))
    np.testing.assert_allclose(
        found.effective_angles[0],
        alpha * untwisted - w * shape / (1.0 + 3.0 * a0 / (np.pi * aspect_ratio)),
        atol=1e-9,
    )
    assert found.cl[0] == pytest.approx(a0 * alpha * untwisted, abs=1e-9)
    # both terms make induced drag: pi AR sum of n A_n^2
    first, third = found.cl[0] / (np.pi * aspect_ratio), -a0 * w / (np.pi * aspect_ratio + 3.0 * a0)
    assert found.cd_induced[0] == pytest.approx(np.pi * aspect_ratio * (first**2 + 3.0 * third**2), abs=1e-9)


@pytest.mark.parametrize("row", CASES, ids=wing_name)
def test_straight_tapered_wing_against_glauerts_series(row: dict[str, str]) -> None:
    wing = tapered(aspect_ratio=number(row, "aspect_ratio"), taper=number(row, "taper"))
    found = linear_lift(wing)
    assert wing.aspect_ratio == pytest.approx(number(row, "aspect_ratio"), rel=1e-12)
    assert found.slope == pytest.approx(number(row, "slope"), rel=3e-5)
    assert found.span_efficiency == pytest.approx(number(row, "efficiency"), rel=5e-6)
    assert found.largest_local == pytest.approx(number(row, "peak"), rel=1e-4)
    # the top is flat: between the places of two neighboring strips lift differs by less than 1e-4
    assert found.largest_at / wing.semi_span == pytest.approx(number(row, "place"), abs=0.025)


@pytest.mark.parametrize(("taper", "order"), [(1.0, 3.5), (0.5, 1.8)])
def test_order_of_convergence_in_the_number_of_points(taper: float, order: float) -> None:
    """The chord's kink at the centerline of a tapered wing leaves second order; without it, fourth."""
    (row,) = (r for r in CASES if r["aspect_ratio"] == "7" and float(r["taper"]) == taper)
    wing = tapered(aspect_ratio=7.0, taper=taper)
    exact = linear_lift(wing, points=512).slope
    # the series of the table is itself cut off after 200 terms
    assert exact == pytest.approx(number(row, "slope"), rel=5e-6)
    errors = np.array([abs(linear_lift(wing, points=n).slope - exact) for n in (8, 16, 32, 64)])
    orders = np.log2(errors[:-1] / errors[1:])
    assert np.all(orders > order), orders


@pytest.mark.parametrize("row", CASES, ids=wing_name)
def test_maximum_lift_by_the_first_station(row: dict[str, str]) -> None:
    """Sections straight up to their maximum: the wing's is that share of it which linear theory gives."""
    wing = tapered(aspect_ratio=number(row, "aspect_ratio"), taper=number(row, "taper"))
    top = np.radians(14.0)
    slope = 2.0 * np.pi
    curve = curve_of(lambda alpha: slope * (alpha - 2.0 * np.maximum(alpha - top, 0.0)), step=0.02)
    found = wing_lift(wing, curve_at=everywhere(curve, wing.semi_span), angles=np.radians([4.0]))
    assert found.cl_max_first_station is not None
    assert found.angle_first_station is not None
    assert found.y_first_station is not None
    assert found.cl_max_first_station / (slope * top) == pytest.approx(number(row, "first"), rel=3e-4)
    assert found.y_first_station / wing.semi_span == pytest.approx(number(row, "place"), abs=0.03)
    assert found.cl_max_first_station / found.angle_first_station == pytest.approx(
        number(row, "slope"), rel=3e-4
    )
    assert found.cl[0] == pytest.approx(number(row, "slope") * np.radians(4.0), rel=5e-5)
    assert found.cd_induced[0] == pytest.approx(
        found.cl[0] ** 2 / (np.pi * number(row, "aspect_ratio") * number(row, "efficiency")), rel=5e-5
    )


@pytest.mark.parametrize("fall", [0.3, 1.5, 4.0])
def test_elliptic_wing_follows_any_section_curve_through_stall(fall: float) -> None:
    """Exact for every curve, also falling: each strip of an untwisted elliptic wing sees the same angle.

    The wing's lift is the section's at that angle and the wing angle is larger by CL / (pi AR).
    """
    strips, aspect_ratio = elliptic(aspect_ratio=7.0, points=64), 7.0
    curve = rounded(fall=fall)
    seen = np.radians(np.linspace(-3.0, 20.0, 24))
    lift, drag = curve.lift()(seen), curve.drag()(seen)
    angles = seen + lift / (np.pi * aspect_ratio)
    found = wing_lift_of_strips(strips, on_strips(curve, strips), angles, smoothing=0.4)
    assert np.all(found.converged)
    assert found.smoothing == 0.4
    np.testing.assert_allclose(found.cl, lift, atol=1e-8)
    np.testing.assert_allclose(found.cd_induced, lift**2 / (np.pi * aspect_ratio), atol=1e-8)
    # the mean of the chord over Multhopp's points is exact for an ellipse, so a constant drag is too
    np.testing.assert_allclose(found.cd_profile, drag, atol=1e-8)
    np.testing.assert_allclose(found.effective_angles, seen[:, None] + np.zeros(64), atol=1e-8)
    assert curve.peak is not None
    assert found.cl_max_first_station == pytest.approx(curve.peak[1], abs=1e-8)
    assert found.angle_first_station == pytest.approx(
        curve.peak[0] + curve.peak[1] / (np.pi * aspect_ratio), abs=1e-8
    )
    # by a parabola through steps of a quarter of a degree
    assert found.cl_max_continued == pytest.approx(curve.peak[1], abs=1e-4)
    assert found.angle_continued == pytest.approx(found.angle_first_station, abs=np.radians(0.25))


@pytest.mark.parametrize("points", [16, 64])
def test_sections_that_fall_leave_several_answers_from_the_exact_steepness_on(points: int) -> None:
    """Exact for an elliptic wing: sine terms keep apart; the finest, of 2 points - 1 half-waves, goes first.

    It feeds itself once sections fall by ``4 span / (root chord (2 points - 1))`` per radian.
    """
    strips = elliptic(aspect_ratio=7.0, points=points)
    critical = 4.0 * strips.span / (2 * points - 1)
    assert not has_rivals(strips, np.full(points, -0.999 * critical))
    assert has_rivals(strips, np.full(points, -1.001 * critical))


def test_answer_past_the_exact_steepness_is_known_as_turned() -> None:
    """Between the steepness of the finest term and that of the next exactly one term feeds itself."""
    points = 16
    strips = elliptic(aspect_ratio=7.0, points=points)
    critical = 4.0 * strips.span / (2 * points - 1)
    seen = np.radians(18.5)
    for fall, turned in ((0.97 * critical, False), (1.03 * critical, True)):
        curve = rounded(fall=fall)
        lift = float(curve.lift()(seen))
        answer = agree(
            plain(strips, on_strips(curve, strips)),
            wing_angle=seen + lift / (7.0 * np.pi),
            guess=np.full(points, seen),
        )
        assert answer is not None
        np.testing.assert_allclose(answer.angles, seen, atol=1e-9)
        assert answer.turned == turned
