"""What any prediction of vanes must reproduce; the sizes are uncalibrated, the directions are checked."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from slowflight.flow.lift_curve import UNCALIBRATED, lift_curve
from slowflight.flow.solution import LiftCurve
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

CHORD_M = 1.4
ROW = VaneRow(station=0.10, height=0.006, length=0.016, pitch=0.06, gap=0.015, incidence=math.radians(16.0))
ANGLES = [float(a) for a in range(-2, 21)]


def curve(*rows: VaneRow, upper_trip: float | None = 0.10) -> LiftCurve:
    """NACA 4412 at Re 2e6, tripped where the row stands unless said otherwise."""
    return lift_curve(
        naca_section("4412"),
        reynolds=2e6,
        angles_deg=ANGLES,
        transition=(upper_trip, None),
        vane_rows=rows,
        chord_m=CHORD_M,
    )


@pytest.fixture(scope="module")
def clean() -> LiftCurve:
    return curve()


@pytest.fixture(scope="module")
def with_row() -> LiftCurve:
    return curve(ROW)


def lifts(found: LiftCurve) -> list[float]:
    return [p.cl for p in found.points if p.cl is not None]


def top(found: LiftCurve) -> tuple[float, float]:
    assert found.cl_max is not None
    assert found.alpha_cl_max_deg is not None
    return found.cl_max, found.alpha_cl_max_deg


def test_vanes_of_no_height_are_no_vanes(clean: LiftCurve) -> None:
    assert lifts(curve(replace(ROW, height=0.0))) == pytest.approx(lifts(clean), abs=1e-9)


def test_very_low_vanes_change_very_little() -> None:
    free = lift_at_four(None)
    assert lift_at_four(replace(ROW, height=2e-5)) == pytest.approx(free, abs=1e-4)


def lift_at_four(row: VaneRow | None) -> float:
    found = lift_curve(
        naca_section("4412"),
        reynolds=2e6,
        angles_deg=[4.0],
        vane_rows=() if row is None else (row,),
        chord_m=CHORD_M,
    )
    assert found.points[0].cl is not None
    return found.points[0].cl


def test_a_row_raises_the_stall_angle_and_keeps_the_slope(clean: LiftCurve, with_row: LiftCurve) -> None:
    assert top(with_row)[0] > 1.03 * top(clean)[0]
    assert top(with_row)[1] > top(clean)[1] + 0.5
    slopes = []
    for found in (clean, with_row):
        at = {p.alpha_deg: p.cl for p in found.points}
        low, high = at[-2.0], at[4.0]
        assert low is not None
        assert high is not None
        slopes.append((high - low) / 6.0)
    assert slopes[1] == pytest.approx(slopes[0], rel=0.02)


def test_a_row_behind_the_separation_does_not_help(clean: LiftCurve) -> None:
    behind = curve(replace(ROW, station=0.87))
    assert top(behind)[0] <= 1.002 * top(clean)[0]


def test_wider_pitch_helps_less(clean: LiftCurve, with_row: LiftCurve) -> None:
    wide = curve(replace(ROW, pitch=0.15))
    assert top(clean)[0] < top(wide)[0] < top(with_row)[0]


def test_a_gain_says_that_it_is_uncalibrated(clean: LiftCurve, with_row: LiftCurve) -> None:
    assert UNCALIBRATED in with_row.warnings
    assert UNCALIBRATED not in clean.warnings
    assert "Wendt2001" in with_row.sources
