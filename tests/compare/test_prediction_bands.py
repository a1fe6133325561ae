"""Bands of a prediction, by hand."""

from __future__ import annotations

import math

import pytest

from slowflight.compare import bands
from slowflight.uncertainty import exactly


def test_clean_maximum_by_hand() -> None:
    found = bands.clean_maximum(1.5, errors=[])
    assert found.high == pytest.approx(1.5 * 1.10)
    assert found.low == pytest.approx(1.5 * (1.0 - math.hypot(0.1, 0.1)))
    behind = bands.clean_maximum(1.5, errors=[], left_out_chord=0.22)
    assert behind.high == pytest.approx(1.5 * (1.0 + math.hypot(0.1, 0.22)))
    assert behind.low == found.low


@pytest.mark.parametrize("value", [0.4, -0.4, 0.0])
def test_effect_of_vanes_is_nothing_to_twice(value: float) -> None:
    found = bands.uncalibrated(value, why="x")
    assert (found.low, found.high) == (min(0.0, 2 * value), max(0.0, 2 * value))


def test_speed_band_holds_both_ends_of_the_gain() -> None:
    """V goes with one over the root of lift."""
    base = bands.speed_with_band(mass=500.0, area=12.0, density=1.225, clean=exactly(1.5), gain=exactly(0.0))
    assert base.low == base.value == base.high
    lifted = bands.speed_with_band(
        mass=500.0, area=12.0, density=1.225, clean=exactly(1.5), gain=bands.uncalibrated(0.1, why="x")
    )
    assert lifted.value == pytest.approx(base.value * math.sqrt(1.5 / 1.6))
    assert lifted.low == pytest.approx(base.value * math.sqrt(1.5 / 1.7))
    assert lifted.high == pytest.approx(base.value)


def test_nothing_predicted_is_not_known_to_be_nothing() -> None:
    found = bands.uncalibrated(0.0, why="x", least=0.5)
    assert (found.low, found.value, found.high) == (-0.5, 0.0, 0.5)
    assert bands.uncalibrated(0.2, why="x", least=0.5).high == pytest.approx(0.7)
    assert bands.uncalibrated(2.0, why="x", least=0.5).low == 0.0
