"""Trim: the neutral point of the textbooks, and stick positions carried on to the stop."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from slowflight.errors import InputError
from slowflight.flight_state.trim import (
    EFFECT_OF_THEORY,
    TAIL_EFFICIENCY,
    Tail,
    elevator_effect,
    elevator_to_trim,
    stall_with_tail_load,
    stick_line,
)
from slowflight.wing.in_the_air import StickReading

TAIL = Tail(span=2.6, chord=0.75, arm=3.9, incidence=math.radians(-2.0), elevator_share=0.4, elevator_up=0.45)
WING = {"wing_area": 12.0, "wing_chord": 1.3, "aspect_ratio": 7.0, "wing_moment": -0.06}
SLOPE = 4.6  # of the wing [1/rad]


def needed(balance: float, cl: float) -> float:
    return elevator_to_trim(TAIL, wing_angle=cl / SLOPE - 0.07, cl=cl, balance=balance, **WING)


def test_elevator_stands_still_with_the_center_of_gravity_at_the_neutral_point() -> None:
    """Etkin (1972), section 6.3: ``h_n = 1/4 + V a_t / a (1 - d e / d angle)``, wing lift slope ``a``."""
    volume = TAIL_EFFICIENCY * TAIL.area * TAIL.arm / (12.0 * 1.3)
    neutral = 0.25 + volume * TAIL.slope / SLOPE * (1.0 - 2.0 * SLOPE / (math.pi * 7.0))
    assert needed(neutral, 1.4) == pytest.approx(needed(neutral, 0.3), abs=1e-12)
    # ahead of it flying slower takes more up elevator, behind it less
    assert needed(neutral - 0.1, 1.4) > needed(neutral - 0.1, 0.3)
    assert needed(neutral + 0.1, 1.4) < needed(neutral + 0.1, 0.3)


def test_forward_center_of_gravity_needs_more_elevator_when_slow() -> None:
    assert needed(0.20, 1.8) > needed(0.32, 1.8)


@pytest.mark.parametrize(("share", "thin"), [(0.20, 0.550), (0.25, 0.609), (0.30, 0.661)])
def test_elevator_effect_is_a_stated_part_of_thin_airfoil_theory(share: float, thin: float) -> None:
    assert elevator_effect(share) / EFFECT_OF_THEORY == pytest.approx(thin, abs=5e-4)
    assert elevator_effect(1.0) == 1.0


def test_tail_balances_to_rounding() -> None:
    up = needed(0.27, 1.2)
    seen = 1.2 / SLOPE - 0.07 + TAIL.incidence - 2.0 * 1.2 / (math.pi * 7.0)
    lift = TAIL.slope * (seen - elevator_effect(0.4) * up)
    about = 1.2 * (0.27 - 0.25) - 0.06 - TAIL_EFFICIENCY * TAIL.area * TAIL.arm / (12.0 * 1.3) * lift
    assert about == pytest.approx(0.0, abs=1e-13)


def test_textbook_example_of_trim_from_memory() -> None:
    """Anderson, Introduction to Flight, chapter 7, FROM MEMORY: neutral point 0.516, elevator 1.9 deg up.

    Wing-body slope 0.08/deg, center 0.24, moment -0.032; tail slope 0.1/deg, volume 0.34, set 2.7 deg down,
    downwash 0.35 of the angle, elevator 0.04/deg; center of gravity 0.35; lift coefficient 0.52. Our own tail
    is given sizes that have these derivatives; its quarter-chord stands for the center 0.24.
    """
    slope, volume = math.degrees(0.08), 0.34
    aspect_ratio = 2.0 * slope / (math.pi * 0.35)
    tail_ratio = 2.0 / (2.0 * math.pi / math.degrees(0.1) - 1.0)
    share = next(s / 1e4 for s in range(1000, 9000) if elevator_effect(s / 1e4) >= 0.4)
    tail = Tail(
        span=tail_ratio, chord=1.0, arm=volume / (TAIL_EFFICIENCY * tail_ratio),
        incidence=math.radians(-2.7), elevator_share=share, elevator_up=0.5,
    )  # fmt: skip
    assert tail.slope == pytest.approx(math.degrees(0.1), rel=1e-12)

    def up(balance: float, cl: float) -> float:
        return elevator_to_trim(
            tail, wing_angle=cl / slope, cl=cl, wing_moment=-0.032, balance=balance + 0.01,
            wing_area=1.0, wing_chord=1.0, aspect_ratio=aspect_ratio,
        )  # fmt: skip

    assert math.degrees(up(0.35, 0.52)) == pytest.approx(1.94, abs=0.05)
    assert up(0.516, 1.0) == pytest.approx(up(0.516, 0.3), abs=math.radians(0.05))


@pytest.mark.parametrize(
    ("wing", "wing_aft", "tail_aft", "tail"),
    [(30_000.0, 2.0, 10.0, -6_000.0), (150_000.0, 5.0, 25.0, -30_000.0), (35_470.0, 1.07, 13.3, -2_850.0)],
)
def test_tail_load_of_published_trimmed_aircraft(
    wing: float, wing_aft: float, tail_aft: float, tail: float
) -> None:
    """NASA Glenn, Beginner's Guide to Aeronautics, answers to Trimmed Aircraft and to its Equations.

    Wing lift so far behind the center of gravity, tail so far behind it; lengths there have two or three
    digits. What the wing carries over what the whole does is the square of the speeds' ratio.
    """
    chord = 1.5
    over = stall_with_tail_load(
        cl=1.0, wing_moment=0.0, balance=0.25 - wing_aft / chord, arm=tail_aft, wing_chord=chord
    )
    assert wing / over**2 - wing == pytest.approx(tail, rel=2e-3)


def readings(*pairs: tuple[float, float]) -> list[StickReading]:
    return [StickReading(speed=speed, back=back) for speed, back in pairs]


def test_stick_is_carried_on_straight_against_lift() -> None:
    """Speeds in the ratio 1 to 1/2 are lifts of 1 to 4: the stop is where the line says."""
    line = stick_line(readings((40.0, 0.30), (20.0, 0.60)), mass=500.0, area=12.0, density=1.2)
    low = 2.0 * 500.0 * 9.80665 / (1.2 * 12.0 * 1600.0)
    assert line.back(low)[0] == pytest.approx(0.30)
    assert line.back(4.0 * low)[0] == pytest.approx(0.60)
    assert line.runs_out_at() == pytest.approx(8.0 * low)
    value, under, over = line.back(8.0 * low)
    assert under < value < over
    assert over - under > line.back(2.0 * low)[2] - line.back(2.0 * low)[1]
    assert replace(line, per_lift=-0.1).runs_out_at() is None


def test_readings_at_one_speed_are_no_line() -> None:
    with pytest.raises(InputError, match="stick"):
        stick_line(readings((30.0, 0.5), (30.1, 0.52)), mass=500.0, area=12.0, density=1.2)
