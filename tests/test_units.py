"""Units: factors against an independent table, round trips, and what is refused and how."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from slowflight import units
from slowflight.errors import UnitError

READERS: dict[str, tuple[Callable[..., float], Callable[..., str]]] = {
    "length": (units.length, units.format_length),
    "mass": (units.mass, units.format_mass),
    "speed": (units.speed, units.format_speed),
    "angle": (units.angle, units.format_angle),
}
UNITS = [("length", u) for u in ("mm", "cm", "m", "in", "ft")]
UNITS += [("mass", u) for u in ("kg", "lb")]
UNITS += [("speed", u) for u in ("m/s", "kt", "mph", "km/h")]
UNITS += [("angle", u) for u in ("deg", "rad")]


@pytest.mark.parametrize(
    ("kind", "text", "expected"),
    [
        # Source of every factor: scipy.constants, which follows NIST SP 811 and CODATA.
        ("length", "1 in", constants.inch),
        ("length", "1 ft", constants.foot),
        ("length", "1 mm", constants.milli),
        ("length", "1 cm", constants.centi),
        ("mass", "1 lb", constants.pound),
        ("speed", "1 kt", constants.knot),
        ("speed", "1 mph", constants.mph),
        ("speed", "1 km/h", constants.kmh),
        ("angle", "1 deg", constants.degree),
    ],
)
def test_factor_agrees_with_published_table(kind: str, text: str, expected: float) -> None:
    assert READERS[kind][0](text, where="here") == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "meters"),
    [
        ("60 mm", 0.060),
        ("2.4 in", 0.06096),
        ("63in", 1.6002),
        ("5 ft 3 in", 1.6002),
        ("5'3\"", 1.6002),
        ("5’ 3”", 1.6002),
        ("5ft3in", 1.6002),
        ("2 3/8 in", 0.060325),
        ("2-3/8 in", 0.060325),
        ("3/8 in", 0.009525),
        ("1.6 m", 1.6),
        ("12 cm", 0.12),
        ("  12 CM ", 0.12),
        ("1.6e3 mm", 1.6),
        (".5 m", 0.5),
        ("5 feet", 1.524),
        ("-3 mm", -0.003),
        ("−3 mm", -0.003),
        ("-1 ft 6 in", -0.4572),
        ("0 mm", 0.0),
    ],
)
def test_lengths_as_owners_write_them(text: str, meters: float) -> None:
    assert units.length(text, where="chord") == pytest.approx(meters, abs=1e-15)


@pytest.mark.parametrize("kind_and_unit", UNITS)
@given(value=st.floats(min_value=-1e6, max_value=1e6))
def test_writing_and_reading_returns_the_value(kind_and_unit: tuple[str, str], value: float) -> None:
    kind, unit = kind_and_unit
    read, write = READERS[kind]
    assert read(write(value, unit, decimals=12), where="here") == pytest.approx(value, rel=1e-12, abs=1e-11)


@pytest.mark.parametrize("kind_and_unit", UNITS)
@given(value=st.floats(min_value=-1e9, max_value=1e9))
def test_express_undoes_reading(kind_and_unit: tuple[str, str], value: float) -> None:
    kind, unit = kind_and_unit
    assert units.express(READERS[kind][0](f"{value!r} {unit}", where="here"), unit) == pytest.approx(
        value, rel=1e-14
    )


@given(feet=st.integers(0, 60), inches=st.integers(0, 11))
def test_feet_and_inches_add(feet: int, inches: int) -> None:
    assert units.length(f"{feet} ft {inches} in", where="span") == pytest.approx(
        (12 * feet + inches) * constants.inch
    )


@pytest.mark.parametrize(
    "text",
    [
        "60",
        "60.0",
        "5 ft 3",
        "",
        "mm",
        "sixty mm",
        "nan mm",
        "inf mm",
        "1e999 m",
        "1/0 in",
        "9" * 5000 + "/8 in",
    ],
)
def test_length_without_number_or_unit_is_refused(text: str) -> None:
    with pytest.raises(
        UnitError, match=r"wing\.toml: chord.*needs a length with its unit \(mm, cm, m, in or ft\)"
    ):
        units.length(text, where="wing.toml: chord")


@pytest.mark.parametrize("value", [60, 60.0, True, None, ["60 mm"], {"mm": 60}, math.nan])
def test_values_that_are_not_text_are_refused(value: object) -> None:
    with pytest.raises(UnitError, match="needs a length with its unit"):
        units.length(value, where="chord")


def test_bare_number_says_so_and_shows_the_fix() -> None:
    with pytest.raises(UnitError) as caught:
        units.length("60", where="--chord")
    assert str(caught.value) == (
        "--chord: found '60' without a unit; needs a length with its unit (mm, cm, m, in or ft);"
        ' write it like "60 mm"'
    )


@pytest.mark.parametrize(
    ("read", "text", "found", "needed"),
    [
        (units.length, "600 kg", "a mass", "a length"),
        (units.mass, "60 mm", "a length", "a mass"),
        (units.speed, "17 deg", "an angle", "a speed"),
        (units.angle, "35 kt", "a speed", "an angle"),
        (units.length, "9 %", "a share", "a length"),
    ],
)
def test_wrong_dimension_names_both(read: Callable[..., float], text: str, found: str, needed: str) -> None:
    with pytest.raises(UnitError, match=f"found '{text}', {found}; needs {needed} "):
        read(text, where="here")


def test_unknown_unit_is_named() -> None:
    with pytest.raises(UnitError, match="unit 'furlong' is unknown"):
        units.length("2 furlong", where="here")


@pytest.mark.parametrize("text", ["5 ft 14 in", "3 in 5 ft", "5 ft 3 in 2 in", "5 ft -3 in"])
def test_compound_lengths_that_look_like_slips_are_refused(text: str) -> None:
    with pytest.raises(UnitError):
        units.length(text, where="here")


@pytest.mark.parametrize("text", ["1,6 m", "1,500 mm"])
def test_comma_is_refused_because_it_means_two_things(text: str) -> None:
    with pytest.raises(UnitError, match="decimal point"):
        units.length(text, where="here")


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("19 %", 0.19),
        ("19%", 0.19),
        ("0.19", 0.19),
        (0.19, 0.19),
        (1, 1.0),
        ("-2.2 %", -0.022),
        ("120 %", 1.2),
    ],
)
def test_fraction(text: object, share: float) -> None:
    assert units.fraction(text, where="station") == pytest.approx(share, rel=1e-15)


@pytest.mark.parametrize(
    "text", ["19", 19, "19 mm", "", "9 % 3 %", "0,19", "nan", math.nan, math.inf, True, None]
)
def test_fraction_refuses(text: object) -> None:
    with pytest.raises(UnitError, match="station: found"):
        units.fraction(text, where="station")


def test_fraction_beyond_one_shows_the_fix() -> None:
    with pytest.raises(UnitError, match='write "19 %" if that is meant'):
        units.fraction("19", where="station")


def test_formats() -> None:
    assert units.format_length(0.06, "mm") == "60.0 mm"
    assert units.format_length(1.6002, "in", decimals=2) == "63.00 in"
    assert units.format_mass(600.0, "lb") == "1323 lb"
    assert units.format_speed(18.0, "kt") == "35.0 kt"
    assert units.format_angle(math.radians(17.0)) == "17.0 deg"
    assert units.format_fraction(0.09) == "9.0 %"
    assert units.format_length(-1e-9, "mm") == "0.0 mm"


def test_format_refuses_what_cannot_be_meant() -> None:
    with pytest.raises(UnitError, match="a unit of a length"):
        units.format_length(1.0, "kg")
    with pytest.raises(ValueError, match="cannot write nan"):
        units.format_length(math.nan, "mm")
    with pytest.raises(UnitError, match="one of mm"):
        units.express(1.0, "furlong")


def test_message_of_a_huge_value_stays_one_short_line() -> None:
    with pytest.raises(UnitError) as caught:
        units.length("x\n" * 5000, where="here")
    assert len(str(caught.value)) < 250
    assert "\n" not in str(caught.value)
