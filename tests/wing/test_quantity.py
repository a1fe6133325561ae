"""Quantities with limits, ranges and the unit that was probably meant."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import RangeError, UnitError
from slowflight.wing.quantity import ANGLE, LENGTH, MASS, SPEED, Kind, power, read_quantity

TEN_TIMES = "would make sense: check the decimal point and the unit"


def test_power_in_owners_units() -> None:
    """NIST Special Publication 811 (2008), appendix B.8: 745.6999 W at 550 ft lbf/s, metric 735.4988 W."""
    assert power("1 hp", where="power") == pytest.approx(745.6999, abs=5e-5)
    assert power("1 PS", where="power") == pytest.approx(735.4988, abs=5e-5)
    assert power("60kw", where="power") == 60000.0


@pytest.mark.parametrize("text", [80, "80", "80 kt", "hp", "", None, True, "80 hp 3 hp"])
def test_what_is_no_power(text: object) -> None:
    with pytest.raises(UnitError, match="a power with its unit"):
        power(text, where="wing.toml: aircraft power")


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("540 to 560 kg", 540.0, 560.0),
        ("540 kg to 560 kg", 540.0, 560.0),
        ("540–560 kg", 540.0, 560.0),
        ("540-560kg", 540.0, 560.0),
        ("540.5 - 560 kg", 540.5, 560.0),
        ("1190 lb to 550 kg", 1190 * 0.45359237, 550.0),
    ],
)
def test_a_range_of_masses(text: str, low: float, high: float) -> None:
    found = read_quantity(text, MASS, low="90 kg", high="2500 kg", where="mass", ranged=True)
    assert (found.low, found.high) == pytest.approx((low, high))
    assert found.value == pytest.approx(0.5 * (low + high))


def test_a_range_in_feet_and_inches() -> None:
    found = read_quantity("5 ft 2 in to 5 ft 3 in", LENGTH, low="0 m", high="9 m", where="", ranged=True)
    assert (found.low, found.high) == pytest.approx((62 * 0.0254, 63 * 0.0254))


def test_a_hyphen_before_a_fraction_makes_no_range() -> None:
    found = read_quantity("5-3/8 in", LENGTH, low="0 m", high="9 m", where="", ranged=True)
    assert found.low == found.high == pytest.approx(5.375 * 0.0254)


@pytest.mark.parametrize("text", ["560 to 540 kg", "550 to 550 kg"])
def test_a_range_that_does_not_rise(text: str) -> None:
    with pytest.raises(RangeError, match="from the lower to the higher"):
        read_quantity(text, MASS, low="90 kg", high="2500 kg", where="mass", ranged=True)


@pytest.mark.parametrize("text", ["540 to 560", "540 to kg", "540 m to 560 kg", "540 to 560 to 580 kg"])
def test_a_range_without_sense(text: str) -> None:
    with pytest.raises(UnitError, match="mass"):
        read_quantity(text, MASS, low="90 kg", high="2500 kg", where="mass", ranged=True)


def test_a_range_where_one_value_is_wanted() -> None:
    with pytest.raises(UnitError, match="a mass with its unit"):
        read_quantity("540 to 560 kg", MASS, low="90 kg", high="2500 kg", where="mass")


def test_both_ends_of_a_range_have_limits() -> None:
    with pytest.raises(RangeError, match="'5600 kg'"):
        read_quantity("540 to 5600 kg", MASS, low="90 kg", high="2500 kg", where="mass", ranged=True)


@pytest.mark.parametrize(
    ("text", "kind", "low", "high", "meant"),
    [
        ("54 mm", LENGTH, "300 mm", "4 m", 'perhaps "54 cm" or "54 in" is meant'),
        ("1400 in", LENGTH, "300 mm", "4 m", 'perhaps "1400 mm" is meant'),
        ("0.2 deg", ANGLE, "2 deg", "25 deg", 'perhaps "0.2 rad" is meant'),
        ("12 rad", ANGLE, "2 deg", "25 deg", 'perhaps "12 deg" is meant'),
        ("40 m/s", SPEED, "12 kt", "60 kt", 'perhaps "40 kt" or "40 mph" or "40 km/h" is meant'),
        ("80 mm", LENGTH, "0.3 mm", "25 mm", f"ten times less {TEN_TIMES}"),
        ("54 kg", MASS, "90 kg", "2500 kg", f"ten times more {TEN_TIMES}"),
        ("90000 kg", MASS, "90 kg", "2500 kg", "check the number and its unit"),
    ],
)
def test_the_unit_that_was_probably_meant(text: str, kind: Kind, low: str, high: str, meant: str) -> None:
    with pytest.raises(RangeError) as caught:
        read_quantity(text, kind, low=low, high=high, where="here")
    assert str(caught.value) == f"here: found {text!r}; needs {low} to {high}; {meant}"


@pytest.mark.parametrize(
    ("text", "kind", "low", "high"),
    [
        ("25 deg", ANGLE, "2 deg", "25 deg"),
        ("0.3 m", LENGTH, "300 mm", "4 m"),
        ("0.90 kg", MASS, "900000e-6 kg", "1 kg"),
    ],
)
def test_a_limit_itself_is_allowed_in_every_unit(text: str, kind: Kind, low: str, high: str) -> None:
    found = read_quantity(text, kind, low=low, high=high, where="")
    assert found.value == kind.read(text, where="")


@given(st.floats(0.0001, 0.0999))
def test_a_small_angle_is_taken_for_radians(number: float) -> None:
    with pytest.raises(RangeError, match=r"zero, or 0\.1 deg and more"):
        read_quantity(f"{number:.6f} deg", ANGLE, low="-4 deg", high="8 deg", where="", smallest="0.1 deg")
