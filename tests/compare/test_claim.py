"""The claim check: what a slowest indicated speed implies, and what is said of it."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.compare.claim import SPEED_BAND, check_claim
from slowflight.errors import RangeError
from slowflight.uncertainty import Banded, plus_minus
from slowflight.units import express

KNOT = 1852.0 / 3600.0
PREDICTED = plus_minus(1.5, 0.12, why="prediction")


def test_implied_lift_is_that_of_the_stall_speed_cases() -> None:
    """Case of verification/cases/stall_speed.csv: 600 kg, 13.5 m2, 42.338154 kt needs 1.5 at 1.225 kg/m3."""
    found = check_claim(mass=600.0, area=13.5, indicated_speed=42.338154 * KNOT, predicted_cl_max=PREDICTED)
    assert found.implied_cl.value == pytest.approx(1.5, rel=1e-5)
    assert found.finding == "agrees"
    # by hand: 2 kt of 42.338 are 4.72 %, so lift is 1/1.0472^2 to 1/0.9528^2 of it; beside that 3 % of mass
    assert found.implied_cl.below == pytest.approx(1.5 * (0.0882**2 + 0.03**2) ** 0.5, rel=2e-3)
    assert found.implied_cl.above == pytest.approx(1.5 * (0.1016**2 + 0.03**2) ** 0.5, rel=2e-3)
    assert found.needed_speed is not None
    assert express(found.needed_speed.value, "kt") == pytest.approx(42.338154, rel=1e-5)


def test_needed_speed_carries_the_bands_of_weight_and_prediction() -> None:
    """By hand: 3 % of mass is 1.49 % of speed, 8 % of lift 3.8 to 4.3 %; together 4.06 and 4.51 %."""
    found = check_claim(mass=600.0, area=13.5, indicated_speed=42.0 * KNOT, predicted_cl_max=PREDICTED)
    assert found.needed_speed is not None
    assert found.needed_speed.below / found.needed_speed.value == pytest.approx(0.0406, abs=2e-4)
    assert found.needed_speed.above / found.needed_speed.value == pytest.approx(0.0451, abs=2e-4)
    assert "prediction" in found.needed_speed.why


def test_too_slow_a_claim_names_indicator_and_weight_with_direction_and_size() -> None:
    """28 kt where 42.3 are needed: by hand 14 kt too low, 600 (28/42.338)^2 = 262 kg, lift 2.286 times."""
    found = check_claim(mass=600.0, area=13.5, indicated_speed=28.0 * KNOT, predicted_cl_max=PREDICTED)
    assert found.finding == "lift too high"
    assert found.sentence.startswith("Either the indicator or the weight must be wrong")
    assert "129 % more" in found.sentence
    assert "about 42 kt" in found.sentence
    assert "14 kt more than the indicator showed" in found.sentence
    assert any("about 14 kt too low" in text for text in found.explanations)
    assert any("about 262 kg rather than 600 kg" in text for text in found.explanations)
    assert any("engine idling" in text for text in found.explanations)


def test_too_fast_a_claim_goes_the_other_way() -> None:
    """52 kt where 42.3 are needed: by hand 10 kt too high, 600 (52/42.338)^2 = 905 kg."""
    found = check_claim(mass=600.0, area=13.5, indicated_speed=52.0 * KNOT, predicted_cl_max=PREDICTED)
    assert found.finding == "lift too low"
    assert "10 kt less than the 52 kt shown" in found.sentence
    assert any("about 10 kt too high" in text for text in found.explanations)
    assert any("about 905 kg rather than 600 kg" in text for text in found.explanations)


def test_where_nothing_is_predicted_nothing_is_doubted() -> None:
    found = check_claim(mass=600.0, area=13.5, indicated_speed=28.0 * KNOT, predicted_cl_max=None)
    assert found.finding == "not yet predicted"
    assert "not yet predicted" in found.sentence
    assert found.predicted is None
    assert found.needed_speed is None
    assert found.implied_cl.value == pytest.approx(1.5 * (42.338154 / 28.0) ** 2, rel=1e-5)


def test_the_stated_bands_are_marked_as_nobodys_measurement() -> None:
    found = check_claim(mass=600.0, area=13.5, indicated_speed=20.0, predicted_cl_max=None)
    assert len(found.implied_cl.why) == 2
    assert all("common practice, no source" in reason for reason in found.implied_cl.why)
    own = check_claim(
        mass=600.0, area=13.5, indicated_speed=20.0, predicted_cl_max=None, mass_band=0.01, speed_band=0.5
    )
    assert not any("no source" in reason for reason in own.implied_cl.why)
    assert own.implied_cl.above < 0.5 * found.implied_cl.above


@given(
    st.floats(min_value=150.0, max_value=1500.0),
    st.floats(min_value=6.0, max_value=25.0),
    st.floats(min_value=10.0, max_value=60.0),
    st.floats(min_value=0.8, max_value=3.0),
    st.floats(min_value=0.0, max_value=0.3),
)
def test_finding_follows_the_bands_and_sentences_promise_nothing(
    mass: float, area: float, speed: float, cl: float, half: float
) -> None:
    predicted = plus_minus(cl, half, why="prediction")
    found = check_claim(mass=mass, area=area, indicated_speed=speed, predicted_cl_max=predicted)
    if found.finding == "lift too high":
        assert found.implied_cl.low > predicted.high
    elif found.finding == "lift too low":
        assert found.implied_cl.high < predicted.low
    else:
        assert found.finding == "agrees"
        assert found.implied_cl.overlaps(predicted)
    for text in (found.sentence, *found.explanations):
        assert not re.search(r"\b(safe\w*|keep\w*|CL|coefficient|calibrated)\b", text, re.IGNORECASE)
        assert text.endswith(".")
    # the speed at which the implied lift would be the predicted one lies on the side the finding says
    assert found.needed_speed is not None
    if found.finding != "agrees":
        assert (found.needed_speed.value > speed) == (found.finding == "lift too high")


@pytest.mark.parametrize(
    ("mass_band", "speed_band"), [(-0.01, 1.0), (1.0, 1.0), (0.03, -1.0), (0.03, 20.0), (float("nan"), 1.0)]
)
def test_bands_that_reach_to_nothing_are_refused(mass_band: float, speed_band: float) -> None:
    with pytest.raises(RangeError, match="claim"):
        check_claim(
            mass=600.0,
            area=13.5,
            indicated_speed=20.0,
            predicted_cl_max=None,
            mass_band=mass_band,
            speed_band=speed_band,
        )


@pytest.mark.parametrize("speed", [0.0, -5.0, float("nan"), 0.9 * SPEED_BAND])
def test_speeds_within_their_own_band_of_nothing_are_refused(speed: float) -> None:
    with pytest.raises(RangeError, match="claim"):
        check_claim(mass=600.0, area=13.5, indicated_speed=speed, predicted_cl_max=PREDICTED)


def test_nonsense_weight_and_area_are_refused() -> None:
    for mass, area in ((0.0, 13.5), (600.0, 0.0), (600.0, float("nan"))):
        with pytest.raises(RangeError):
            check_claim(mass=mass, area=area, indicated_speed=20.0, predicted_cl_max=PREDICTED)


def test_a_band_on_one_side_counts_on_that_side() -> None:
    wide_above = Banded(value=1.2, low=1.2, high=2.6)
    found = check_claim(mass=600.0, area=13.5, indicated_speed=36.0 * KNOT, predicted_cl_max=wide_above)
    assert found.finding == "agrees"
