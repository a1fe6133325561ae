"""Bank to bank from records whose answer is known exactly."""

import math

import numpy as np
import pytest

from slowflight.errors import InputError, RangeError
from slowflight.flights.handling.roll_test import (
    BANK,
    LEFT_TO_RIGHT,
    RIGHT_TO_LEFT,
    Passage,
    compare_rolls,
    find_passages,
)
from slowflight.flights.handling.scorecard import AMBER, GREEN, RED
from slowflight.flights.statistics.linear_fit import FloatArray

AMPLITUDE, TURN = math.radians(45.0), 1.0  # bank is 45 degrees times sin(t) after 6 s of steady flight


def swinging(*, bias: float = 0.02, step: float = 0.01, noise: float = 0.0) -> tuple[FloatArray, FloatArray]:
    time = np.arange(0.0, 6.0 + 6.0 * math.pi, step)
    rate = np.where(time < 6.0, 0.0, AMPLITUDE * TURN * np.cos(TURN * (time - 6.0)))
    return time, rate + bias + noise * np.random.default_rng(1).standard_normal(time.size)


def test_a_sine_of_bank_crosses_when_the_arc_sine_says() -> None:
    """Bank is ``A sin t``: from -30 to +30 degrees takes ``2 asin(30/45)`` seconds, peak rate is ``A``."""
    time, rate = swinging()
    found = find_passages(time=time, roll_rate=rate, still_until=5.0)
    assert [one.direction for one in found] == [RIGHT_TO_LEFT, LEFT_TO_RIGHT] * 2 + [RIGHT_TO_LEFT]
    exact = 2.0 * math.asin(BANK / AMPLITUDE)
    for one in found:
        assert one.seconds == pytest.approx(exact, rel=2e-3)
        assert one.mean_rate == pytest.approx(2.0 * BANK / exact, rel=2e-3)
        # Mean of a cosine over 0.3 s about its top.
        assert one.peak_rate == pytest.approx(AMPLITUDE * math.sin(0.15) / 0.15, rel=2e-3)
    assert found[0].helix_angle(span=10.0, true_airspeed=25.0) == pytest.approx(found[0].peak_rate / 5.0)


def test_a_phones_noise_and_slow_sampling_matter_little() -> None:
    time, rate = swinging(step=0.04, noise=0.02)
    found = find_passages(time=time, roll_rate=rate, still_until=5.0)
    assert len(found) == 5
    exact = 2.0 * math.asin(BANK / AMPLITUDE)
    assert [one.seconds for one in found] == pytest.approx([exact] * 5, rel=0.03)


def test_a_record_is_used_up_to_its_first_gap() -> None:
    time, rate = swinging()
    whole = find_passages(time=time, roll_rate=rate, still_until=5.0)
    keep = ~((time > 12.0) & (time < 12.5))
    found = find_passages(time=time[keep], roll_rate=rate[keep], still_until=5.0)
    assert found == whole[: len(found)]
    assert len(found) == 1
    with pytest.raises(InputError, match="without a gap"):
        find_passages(time=time[time > 4.95], roll_rate=rate[time > 4.95], still_until=5.0)


def test_bad_records_say_why() -> None:
    time, rate = swinging()
    with pytest.raises(InputError, match="steady flight"):
        find_passages(time=time, roll_rate=rate, still_until=0.05)
    with pytest.raises(InputError, match="do not rise"):
        find_passages(time=time[::-1], roll_rate=rate, still_until=5.0)
    with pytest.raises(InputError, match="missing samples"):
        find_passages(time=time, roll_rate=np.where(rate > 0.5, np.nan, rate), still_until=5.0)


def passages(seconds: float) -> list[Passage]:
    return [
        Passage(direction=direction, seconds=seconds + d, mean_rate=1.0, peak_rate=1.2)
        for direction in (LEFT_TO_RIGHT, RIGHT_TO_LEFT)
        for d in (-0.1, 0.0, 0.1)
    ]


@pytest.mark.parametrize(("after", "level"), [(2.2, GREEN), (2.31, AMBER), (2.81, RED)])
def test_slower_rolls_are_judged(after: float, level: str) -> None:
    found = compare_rolls(passages(2.0), passages(after), at="1.3 times stall speed")
    assert [one.level for one in found] == [level, level]
    assert "before 2.0 s" in found[0].words


def test_too_few_rolls_are_not_judged() -> None:
    with pytest.raises(RangeError, match="left to right"):
        compare_rolls(passages(2.0)[1:], passages(2.0), at="1.2 times stall speed")
