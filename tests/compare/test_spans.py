"""Section results along the span, and what a row does to the wing, by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from slowflight.compare.row_answer import (
    Flight,
    cruise_drag_from_power,
    cruise_lift,
    cruise_loss,
    row_answer,
)
from slowflight.compare.spans import Covered, blended, section_curve, span_curves
from slowflight.errors import Unconverged
from slowflight.flow.lifting_line import SectionCurve, wing_lift
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation
from slowflight.wing.vane_row import VaneRow

ALPHA = np.radians(np.arange(-6.0, 24.0))
ROW = VaneRow(station=0.1, height=0.006, length=0.02, pitch=0.07, gap=0.018, incidence=0.27)


def curve(top: float, drag: float = 0.01) -> SectionCurve:
    """A lift curve with slope 5.7 that rounds off to ``top`` and falls, and a constant drag."""
    straight = 5.7 * (ALPHA + 0.07)
    cl = np.where(straight < 0.7 * top, straight, 0.0)
    over = straight >= 0.7 * top
    x = (straight[over] - 0.7 * top) / (0.6 * top)
    cl[over] = 0.7 * top + 0.3 * top * (1.0 - (1.0 - x) ** 2)
    return SectionCurve(alpha=ALPHA, cl=cl, cd=np.full(ALPHA.size, drag))


def wing(*, tip_chord: float = 1.4) -> Wing:
    section = naca_section("naca4415")
    stations = tuple(
        WingStation(span_station=y, chord=chord, washout=0.0, section=section, airfoil="naca4415")
        for y, chord in ((0.0, 1.4), (4.5, tip_chord))
    )
    return Wing(span=9.0, incidence=0.03, stations=stations, cabin_width=1.1)


def point(alpha: float, cl: float | None) -> dict[str, Any]:
    return {"alpha_deg": alpha, "cl": cl, "cd": 0.01, "converged": cl is not None}


def test_section_curve_ends_where_answers_stop_hanging_together() -> None:
    answered = [point(a, 0.1 * a) for a in (-2.0, 0.0, 2.0, 4.0, 6.0, 8.0)]
    result = {"points": [*answered, point(10.0, None), point(12.0, None), point(14.0, 0.4)]}
    found = section_curve(result, name="x")
    assert np.degrees(found.alpha[-1]) == pytest.approx(8.0)
    below = {"points": [point(-9.0, 0.0), point(-8.0, None), point(-6.0, None), *answered]}
    assert np.degrees(section_curve(below, name="x").alpha[0]) == pytest.approx(-2.0)
    with pytest.raises(Unconverged, match="the wing: only 2 of 3 angles"):
        section_curve({"points": [point(0.0, 0.1), point(1.0, 0.2), point(2.0, None)]}, name="the wing")


def test_blend_is_in_proportion() -> None:
    low, high = curve(1.2, 0.01), curve(1.6, 0.02)
    between = blended(low, high, 0.25)
    assert np.allclose(between.cl, 0.75 * low.cl + 0.25 * high.cl)
    assert np.allclose(between.cd, 0.0125)
    assert blended(low, high, 0.0) is low
    assert blended(low, high, 1.0) is high


def test_stretches_cover_the_half_span_and_the_row_is_one_of_its_own() -> None:
    clean, vanes = curve(1.4), curve(1.7)
    row = Covered(span_from=0.7, span_to=4.2, curves=[vanes, vanes])
    spans = span_curves(wing(), clean=[clean, clean], over=[row])
    assert [(s.span_from, s.span_to) for s in spans] == [(0.0, 0.7), (0.7, 4.2), (4.2, 4.5)]
    assert [s.inner is vanes for s in spans] == [False, True, False]
    assert [(s.span_from, s.span_to) for s in span_curves(wing(), clean=[clean, clean])] == [(0.0, 4.5)]


def test_a_row_covers_the_flap_where_both_are() -> None:
    bare, flapped, row, both = curve(1.4), curve(1.9), curve(1.5), curve(2.1)
    spans = span_curves(
        wing(),
        clean=[bare, bare],
        over=[
            Covered(span_from=0.6, span_to=3.0, curves=[flapped, flapped]),
            Covered(span_from=1.0, span_to=4.0, curves=[row, row]),
            Covered(span_from=1.0, span_to=3.0, curves=[both, both]),
        ],
    )
    found = [(s.span_from, s.span_to, s.inner) for s in spans]
    assert found == [
        (0.0, 0.6, bare),
        (0.6, 1.0, flapped),
        (1.0, 3.0, both),
        (3.0, 4.0, row),
        (4.0, 4.5, bare),
    ]


def flight() -> Flight:
    return Flight(mass=520.0, area=12.6, density=1.2, cruise_speed=42.0, cruise_drag=0.05)


def test_cruise_by_hand() -> None:
    assert cruise_lift(flight()) == pytest.approx(2 * 520 * 9.80665 / (1.2 * 42.0**2 * 12.6))
    # constant power: D V = const, D = q S CD, so V^3 CD = const
    counts = 10.0
    exact = 42.0 * (1.0 - (0.05 / (0.05 + 1e-4 * counts)) ** (1.0 / 3.0))
    assert cruise_loss(flight(), counts=counts) == pytest.approx(exact, rel=0.02)
    drag, note = cruise_drag_from_power(power=60e3, density=1.2, speed=42.0, area=12.6)
    assert drag * 0.5 * 1.2 * 42.0**3 * 12.6 == pytest.approx(0.75 * 0.72 * 60e3)
    assert "no source" in note
    assert cruise_drag_from_power(power=None, density=1.2, speed=42.0, area=12.6)[0] == 0.05


def test_row_with_more_lift_stalls_slower_by_the_root_of_lift_and_costs_its_drag() -> None:
    angles = np.radians(np.arange(-4.0, 26.0, 0.5))
    clean_curve, row_curve = curve(1.4, 0.010), curve(1.6, 0.013)
    clean = wing_lift(wing(), curve_at=span_curves(wing(), clean=[clean_curve] * 2), angles=angles)
    row = Covered(span_from=0.0, span_to=4.5, curves=[row_curve] * 2)
    whole = span_curves(wing(), clean=[clean_curve] * 2, over=[row])
    lifted = wing_lift(wing(), curve_at=whole, angles=angles)
    found = row_answer(candidate="x", row=ROW, lift=lifted, clean=clean, flight=flight())
    assert found.answered
    assert found.cl_max is not None
    assert found.cl_max / (clean.cl_max_continued or 0.0) == pytest.approx(1.6 / 1.4, rel=0.03)
    before = flight().speed(clean.cl_max_continued or 0.0)
    assert found.fall == pytest.approx(
        before * (1.0 - math.sqrt((clean.cl_max_continued or 0.0) / found.cl_max))
    )
    assert found.drag_counts == pytest.approx(30.0, abs=0.01)  # the curve is read between angles
    same = row_answer(candidate="x", row=ROW, lift=clean, clean=clean, flight=flight())
    assert (same.fall, same.drag_counts, same.cruise_loss) == (0.0, 0.0, 0.0)


def test_row_without_a_maximum_is_no_answer() -> None:
    angles = np.radians(np.arange(-4.0, 12.0, 0.5))
    short = SectionCurve(alpha=ALPHA[:16], cl=5.7 * (ALPHA[:16] + 0.07), cd=np.full(16, 0.01))
    clean_curve = curve(1.4)
    clean = wing_lift(
        wing(),
        curve_at=span_curves(wing(), clean=[clean_curve] * 2),
        angles=np.radians(np.arange(-4.0, 26.0)),
    )
    endless = wing_lift(wing(), curve_at=span_curves(wing(), clean=[short] * 2), angles=angles)
    found = row_answer(candidate="x", row=ROW, lift=endless, clean=clean, flight=flight())
    assert not found.answered
    assert "not bracketed" in found.problem
    assert found.fall is None
