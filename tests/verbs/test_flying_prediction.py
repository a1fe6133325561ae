"""Predicted beside measured: the same share of the clean stall speed, and honest words about two bands."""

from __future__ import annotations

from typing import Any

import pytest

from slowflight.flights.stall_record import CLEAN
from slowflight.flights.verdict.decision import Decision, FlapSetting, decide
from slowflight.verbs.flying_prediction import beside_prediction
from slowflight.verbs.flying_speeds import measured_stall_speed
from tests.flights.verdict.campaigns import BENIGN, KNOT, cruise, records


def decided(gain: float) -> Decision:
    return decide(
        records(gain, seed=3, between=0.2 * KNOT, within=0.3 * KNOT),
        flaps=(FlapSetting(name="flap 0 deg", flap_deg=0.0, landing=True),),
        reference_mass=600.0,
        handling={"flap 0 deg": (BENIGN, BENIGN)},
        cruise=cruise(),
    )


def prediction(fall: float, clean: float) -> dict[str, Any]:
    def speed(value: float, half: float) -> dict[str, float]:
        return {
            "m_s": value * KNOT, "kt": value, "low_kt": value - half, "high_kt": value + half,
        }  # fmt: skip

    row = {"candidate": "x", "station": 0.1, "height_mm": 8.0, "fall": speed(fall, 0.5)}
    setting = {"flap_deg": 0.0, "predicted": True, "row": row, "stall_speed_clean": speed(clean, 2.0)}
    return {"settings": [setting]}


def beside(gain: float, fall: float, clean: float) -> dict[str, Any]:
    (one,) = beside_prediction(prediction(fall, clean), decided(gain))
    return one


def test_the_predicted_fall_is_brought_to_the_clean_stall_that_was_measured() -> None:
    one = beside(2.0, 2.0, 30.0)
    clean = one["measured_clean_kt"]["value"]
    # V goes as the root of 1 / CL: one share of lift is one share of speed, whatever the clean speed is.
    assert one["anchored_gain_kt"]["value"] == pytest.approx(2.0 * clean / 30.0)
    assert one["anchored_gain_kt"]["low"] == pytest.approx(1.5 * clean / 30.0)
    # The same lift added to the measured clean one, by hand: 1 / V^2 adds. Slower clean wings gain more.
    same_lift = clean - (1.0 / clean**2 + 1.0 / 28.0**2 - 1.0 / 30.0**2) ** -0.5
    assert same_lift > 2.0 * clean / 30.0
    wider = 2.5 * clean / 30.0 + same_lift - 2.0 * clean / 30.0
    assert one["anchored_gain_kt"]["high"] == pytest.approx(wider)
    assert one["predicted_gain_kt"]["value"] == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("gain", "fall", "said"), [(2.0, 2.0, "overlap"), (5.0, 0.5, "more than predicted"), (0.0, 6.0, "less")]
)
def test_words_follow_the_bands(gain: float, fall: float, said: str) -> None:
    one = beside(gain, fall, 39.0)
    assert said in one["sentence"]
    assert one["measured_gain_kt"]["low"] < one["measured_gain_kt"]["value"]


def test_an_absolute_stall_speed_is_known_worse_than_a_difference() -> None:
    gain = decided(2.0).settings[0].gain
    assert gain is not None
    speed, half = measured_stall_speed(gain, CLEAN)
    own = [one.speed for one in gain.readings if one.configuration == CLEAN]
    assert min(own) <= speed <= max(own)
    low, high = gain.band(0.90)
    assert half > 0.5 * (high - low)


def test_without_a_prediction_or_a_gain_there_is_nothing_beside() -> None:
    assert beside_prediction(None, decided(1.0)) == []
    assert beside_prediction(prediction(1.0, 39.0), None) == []
    other = {"settings": [{"flap_deg": 0.0, "predicted": False}]}
    assert beside_prediction(other, decided(1.0)) == []
