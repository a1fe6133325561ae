"""Approach speed: late, from the upper limit, calibrated, or not at all."""

import pytest

from slowflight.flights.statistics.speed_rule import SpeedRule
from slowflight.flights.verdict.approach import ApproachAdvice, approach_advice, upper_stall_speed
from slowflight.flights.verdict.judge import KEEP, Setting, judge_flights
from tests.flights.verdict.campaigns import GREEN_CARD, KNOT, cruise, measured

GAIN = measured(3.0)


def advice(
    *, landings: int = 10, reads: float | None = -2.0, present: float = 60.0, handling: bool = True
) -> ApproachAdvice:
    settings = [Setting(name="flap down", gain=GAIN, landing=True)]
    card = GREEN_CARD if handling else None
    verdict = judge_flights(settings, handling=card, cruise=cruise(), rule=SpeedRule())
    assert (verdict.finding == KEEP) == handling
    return approach_advice(
        verdict,
        GAIN,
        landings=landings,
        present_indicated=present * KNOT,
        indicated=lambda speed: None if reads is None else speed + reads * KNOT,
    )


def test_the_upper_limit_lies_about_two_knots_above_the_mean() -> None:
    """An absolute stall speed is a +-2 kt number (worked budget), three flights' scatter included."""
    own = [one.speed for one in GAIN.readings if one.configuration == "vanes"]
    above = (upper_stall_speed(GAIN) - sum(own) / 3) / KNOT
    assert above == pytest.approx(2.0, abs=0.25)


def test_no_number_before_keep_ten_landings_and_a_calibration() -> None:
    for found, said in (
        (advice(handling=False), "the verdict is not 'keep'"),
        (advice(landings=9), "for 1 more landings"),
        (advice(reads=None), "your panel is not calibrated there"),
        (advice(present=40.0), "no slower than the present 40.0 kt"),
    ):
        assert found.calibrated is None
        assert found.indicated is None
        assert said in found.words


def test_a_number_comes_from_the_upper_limit_through_the_calibration() -> None:
    found = advice()
    assert found.calibrated == pytest.approx(1.3 * upper_stall_speed(GAIN))
    assert found.indicated == pytest.approx(1.3 * upper_stall_speed(GAIN) - 2.0 * KNOT)
    assert "owner-measured, not approved" in found.words
