"""Numbers as an owner reads them."""

import pytest

from slowflight.report import words


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        # Factors by definition: NIST Special Publication 811 (2008), B.8; international knot and mile.
        (words.knots(100.0), "100.0 kt (115.1 mph)"),
        (words.millimeters(25.4), "25.4 mm (1.00 in)"),
        (words.mass(0.45359237 * 1000.0), "454 kg (1000 lb)"),
        (words.altitude(304.8), "1000 ft (305 m)"),
        (words.meters(3.048), "3.05 m (10.0 ft)"),
        (words.area(9.290304), "9.29 m² (100.0 sq ft)"),
        (words.per_cent(0.075), "7.5 %"),
        (words.per_cent(0.07), "7 %"),
        (words.degrees(-2.04), "−2.0°"),
        (words.flap(17.5), "17.5°"),
        (words.flap(10.0), "10°"),
        (words.signed(-0.04), "0.0"),
        (words.signed(-3.0, 0), "−3"),
        (words.signed(3.0, 0), "+3"),
        (words.banded({"value": 1.0, "low": None, "high": 2.0}), "1.00 (band not known)"),
        (words.speed_band({"kt": 40.0, "low_kt": 39.0, "high_kt": 41.0}), "39.0 to 41.0 kt"),
    ],
)
def test_written(shown: str, expected: str) -> None:
    assert shown == expected


@pytest.mark.parametrize("name", sorted(set(words.FILTERS) - {"speed_band", "band_of"}))
def test_no_value_is_no_answer(name: str) -> None:
    assert words.FILTERS[name](None) == words.NO_ANSWER


@pytest.mark.parametrize("name", ["number", "signed", "knots", "millimeters", "degrees", "per_cent"])
def test_not_a_number_is_no_answer(name: str) -> None:
    assert words.FILTERS[name](float("nan")) == words.NO_ANSWER
