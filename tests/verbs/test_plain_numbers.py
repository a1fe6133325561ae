"""Plain numbers: what an owner may write, and what is refused with one line that says why."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import InputError, RangeError, UnitError
from slowflight.verbs import plain_numbers


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("0:2:0.5", (0.0, 0.5, 1.0, 1.5, 2.0)),
        ("-4:-2:1", (-4.0, -3.0, -2.0)),
        ("0:0.3:0.1", (0.0, 0.1, 0.2, 0.3)),
        ("13.87:13.87:1", (13.87,)),
        ("0:10:4", (0.0, 4.0, 8.0, 10.0)),
        (" 0 : 1 : 1 ", (0.0, 1.0)),
    ],
)
def test_angles_include_the_last(text: str, expected: tuple[float, ...]) -> None:
    assert plain_numbers.angles(text, where="--angles") == expected


@given(
    first=st.integers(-300, 390),
    steps=st.integers(0, 100),
    step=st.integers(1, 10),
)
def test_angles_rise_from_first_to_last(first: int, steps: int, step: int) -> None:
    last = min(first + steps * step, 400)
    found = plain_numbers.angles(f"{first / 10}:{last / 10}:{step / 10}", where="--angles")
    assert found[0] == first / 10
    assert found[-1] == last / 10
    gaps = [round(b - a, 6) for a, b in pairwise(found)]
    assert all(0.0 < gap <= step / 10 for gap in gaps)
    assert len(set(gaps[:-1])) <= 1


@pytest.mark.parametrize(
    "text", ["", "5", "0:10", "0:10:1:2", "a:b:c", "0:10:nan", "0:inf:1", "0,10,1", "0:1_0:1"]
)
def test_text_of_another_form_is_refused(text: str) -> None:
    with pytest.raises(InputError, match=r"--angles: found .*; needs degrees as FROM:TO:STEP"):
        plain_numbers.angles(text, where="--angles")


@pytest.mark.parametrize("text", ["-31:0:1", "0:41:1", "50:60:1"])
def test_angles_beyond_sense_are_refused(text: str) -> None:
    with pytest.raises(RangeError, match="angles from -30 to 40 degrees"):
        plain_numbers.angles(text, where="--angles")


@pytest.mark.parametrize("text", ["10:0:1", "0:10:0", "0:10:-1"])
def test_angles_that_do_not_rise_are_refused(text: str) -> None:
    with pytest.raises(RangeError, match="FROM not above TO"):
        plain_numbers.angles(text, where="--angles")


def test_too_many_angles_are_refused_before_they_are_made() -> None:
    with pytest.raises(RangeError, match=r"3,501 angles; needs at most 2,000"):
        plain_numbers.angles("-10:25:0.01", where="--angles")


@pytest.mark.parametrize("text", ["-0.0698:0.314:0.01745", "0:0.35:0.0175"])
def test_radians_are_refused(text: str) -> None:
    with pytest.raises(RangeError, match="radians"):
        plain_numbers.angles(text, where="--angles")


def test_step_too_fine_is_refused() -> None:
    with pytest.raises(RangeError, match=r"steps of at least 0\.01"):
        plain_numbers.angles("10:11:0.001", where="--angles")


@pytest.mark.parametrize("text", ["1.5e6", 1.5e6, "1500000", 1_500_000])
def test_number(text: object) -> None:
    assert plain_numbers.number(text, where="here", lowest=1e4, highest=1e8, what="a number") == 1.5e6


@pytest.mark.parametrize(
    "text", ["", "abc", "nan", "inf", "-1", "9999", "1e9", True, None, math.nan, "1_500_000"]
)
def test_number_out_of_bounds_is_refused(text: object) -> None:
    with pytest.raises(
        RangeError, match=r"--reynolds: found .*; needs a Reynolds number from 10000 to 1e\+08"
    ):
        plain_numbers.number(text, where="--reynolds", lowest=1e4, highest=1e8, what="a Reynolds number")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("free", (None, None)),
        ("Free", (None, None)),
        ("0.05", (0.05, 0.05)),
        ("5 %", (0.05, 0.05)),
        ("0.025,0.103", (0.025, 0.103)),
        ("2.5%, 10.3%", (0.025, 0.103)),
        ("free,0.1", (None, 0.1)),
        ("0.1, free", (0.1, None)),
    ],
)
def test_transition(text: str, expected: tuple[float | None, float | None]) -> None:
    found = plain_numbers.transition(text, where="--transition")
    assert [None if value is None else round(value, 12) for value in found] == list(expected)


@pytest.mark.parametrize(
    "text", ["", "laminar", "5", "0", "-0.1", "120 %", "0.1,0.2,0.3", "0.1,", "5 mm", "nan"]
)
def test_transition_that_is_no_station_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="--transition: found"):
        plain_numbers.transition(text, where="--transition")


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("18", 18.0), (-5, -5.0), ("0", 0.0), ("18 deg", 18.0), ("0.5 deg", 0.5), ("60", 60.0)],
)
def test_flap_angle(text: object, degrees: float) -> None:
    assert plain_numbers.flap_angle(text, where="--flap-angle") == pytest.approx(math.radians(degrees))


def test_flap_angle_that_looks_like_radians_is_refused_with_both_ways_out() -> None:
    with pytest.raises(RangeError, match=r'write "0\.31 deg" or "0\.31 rad"'):
        plain_numbers.flap_angle("0.31", where="--flap-angle")


@pytest.mark.parametrize("text", ["61", "-21", "2 rad"])
def test_flap_angle_beyond_sense_is_refused(text: str) -> None:
    with pytest.raises(RangeError, match="from -20 to 60 degrees"):
        plain_numbers.flap_angle(text, where="--flap-angle")


@pytest.mark.parametrize("text", ["full", "18 mm", "nan", ""])
def test_flap_angle_that_is_no_angle_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="needs an angle with its unit"):
        plain_numbers.flap_angle(text, where="--flap-angle")
