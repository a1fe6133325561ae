"""The three-point attitude: what binds first, said before any knots."""

import math
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.compare.attitude import Attitude, check_attitude
from slowflight.errors import RangeError


def look(
    *,
    clean: float | None,
    vanes: float | None,
    attitude: float = 11.0,
    incidence: float = 2.0,
    **lifts: float,
) -> Attitude:
    """Check an attitude given in degrees."""
    return check_attitude(
        three_point_attitude=math.radians(attitude),
        incidence=math.radians(incidence),
        stall_angle_clean=None if clean is None else math.radians(clean),
        stall_angle_vanes=None if vanes is None else math.radians(vanes),
        **lifts,
    )


def test_wing_angle_is_attitude_plus_incidence_of_the_root_chord() -> None:
    assert look(clean=15.0, vanes=18.0).wing_angle == pytest.approx(math.radians(13.0))
    assert look(clean=15.0, vanes=18.0, incidence=-1.0).wing_angle == pytest.approx(math.radians(10.0))


def test_gear_stops_the_wing_first() -> None:
    found = look(clean=15.0, vanes=18.0)
    assert found.reaches_clean_stall is False
    assert found.reaches_vane_stall is False
    assert found.margin == pytest.approx(math.radians(-2.0))
    assert found.usable_share == 0.0
    assert "2.0 deg short of its stall" in found.sentence
    assert "the gear stops you first; a row cannot slow a three-point touchdown" in found.sentence


def test_between_the_two_stalls_only_a_part_can_be_used() -> None:
    lifts = {"cl_max_clean": 1.4, "cl_max_vanes": 1.6, "cl_vanes_on_three_wheels": 1.45}
    found = look(clean=11.0, vanes=15.0, **lifts)
    assert (found.reaches_clean_stall, found.reaches_vane_stall) == (True, False)
    assert found.usable_share == pytest.approx(0.25)  # (1.45 - 1.4) / (1.6 - 1.4)
    assert "only part of the gain can be used in a three-point touchdown, about 25 %" in found.sentence
    unknown = look(clean=11.0, vanes=15.0)
    assert unknown.usable_share is None
    assert "only part of the gain" in unknown.sentence
    assert "%" not in unknown.sentence


def test_a_row_with_less_lift_at_that_attitude_shares_nothing_out() -> None:
    """At the three-point angle the row may lift less than the clean wing's most: no negative share."""
    lifts = {"cl_max_clean": 1.4, "cl_max_vanes": 1.6, "cl_vanes_on_three_wheels": 1.35}
    assert look(clean=11.0, vanes=15.0, **lifts).usable_share == 0.0
    assert look(clean=11.0, vanes=15.0, **{**lifts, "cl_vanes_on_three_wheels": 1.7}).usable_share == 1.0


def test_gear_that_lets_the_wing_stall_either_way() -> None:
    found = look(clean=10.0, vanes=11.4)
    assert (found.reaches_clean_stall, found.reaches_vane_stall) == (True, True)
    assert found.usable_share == 1.0
    assert found.margin == pytest.approx(math.radians(3.0))
    assert "either way" in found.sentence


@pytest.mark.parametrize("clean", [11.6, 13.0, 14.4])
def test_within_the_band_of_a_stall_angle_it_cannot_be_told(clean: float) -> None:
    """A section's predicted stall angle was off by up to 1.2 deg: a margin of 1.4 deg says nothing."""
    lifts = {"cl_max_clean": 1.4, "cl_max_vanes": 1.6, "cl_vanes_on_three_wheels": 1.45}
    found = look(clean=clean, vanes=17.0, **lifts)
    assert found.clean_is_close
    assert found.binding_limit == "wing or three-point attitude: cannot tell"
    assert found.usable_share is None
    assert "cannot be told" in found.sentence
    assert "gear stops you" not in found.sentence
    assert "either way" not in found.sentence


@pytest.mark.parametrize("vanes", [11.6, 14.4])
def test_near_the_stall_with_vanes_the_whole_gain_cannot_be_told(vanes: float) -> None:
    lifts = {"cl_max_clean": 1.4, "cl_max_vanes": 1.6, "cl_vanes_on_three_wheels": 1.45}
    found = look(clean=10.0, vanes=vanes, **lifts)
    assert (found.clean_is_close, found.vane_is_close, found.usable_share) == (False, True, None)
    assert found.binding_limit == "wing"
    assert "whether all of the gain can be used in a three-point touchdown cannot be told" in found.sentence


def test_a_guessed_incidence_widens_the_band() -> None:
    """3 deg apart: told apart with angles as measured, not with an incidence guessed to 2.6 deg."""
    angles: dict[str, Any] = {"three_point_attitude": 0.2, "incidence": 0.03, "stall_angle_vanes": None}
    apart = {**angles, "stall_angle_clean": 0.23 + math.radians(2.9)}
    assert check_attitude(**apart).binding_limit == "three-point attitude"
    # root of 1.5 squared and 2.6 squared is 3.0
    assert check_attitude(**apart, doubt=math.radians(2.6)).clean_is_close
    assert "3.0 deg of each other" in check_attitude(**apart, doubt=math.radians(2.6)).sentence
    wider = {**angles, "stall_angle_clean": 0.23 + math.radians(3.1)}
    assert not check_attitude(**wider, doubt=math.radians(2.6)).clean_is_close


def test_beyond_the_band_the_limit_is_named() -> None:
    assert look(clean=14.6, vanes=17.0).binding_limit == "three-point attitude"
    assert look(clean=11.4, vanes=17.0).binding_limit == "wing"
    assert look(clean=None, vanes=None).binding_limit == "not known"


def test_an_angle_just_reached_is_reached() -> None:
    found = check_attitude(
        three_point_attitude=0.125, incidence=0.125, stall_angle_clean=0.25, stall_angle_vanes=0.25
    )
    assert (found.reaches_clean_stall, found.reaches_vane_stall, found.margin) == (True, True, 0.0)


def test_what_is_not_predicted_is_not_judged() -> None:
    nothing = look(clean=None, vanes=None)
    assert (nothing.reaches_clean_stall, nothing.margin, nothing.usable_share) == (None, None, None)
    assert "not yet predicted" in nothing.sentence
    clean_only = look(clean=11.0, vanes=None)
    assert (clean_only.reaches_clean_stall, clean_only.reaches_vane_stall) == (True, None)
    assert clean_only.usable_share is None
    assert "with vanes is not yet predicted" in clean_only.sentence
    # short of the clean stall the finding does not wait for the vanes
    assert "gear stops you first" in look(clean=15.0, vanes=None).sentence


def test_row_that_does_not_raise_the_angle_has_no_gain_to_share() -> None:
    found = look(clean=11.0, vanes=10.5)
    assert found.usable_share is None
    assert "does not let the wing reach a larger angle" in found.sentence


@given(
    st.floats(min_value=2.0, max_value=18.0),
    st.floats(min_value=-3.0, max_value=6.0),
    st.floats(min_value=5.0, max_value=22.0),
    st.floats(min_value=0.0, max_value=8.0),
)
def test_sentences_state_the_ground_and_promise_nothing(
    attitude: float, incidence: float, clean: float, later: float
) -> None:
    found = look(clean=clean, vanes=clean + later, attitude=attitude, incidence=incidence)
    assert "level ground" in found.sentence
    assert "sinks" in found.sentence
    assert not re.search(r"\b(safe\w*|keep\w*|kt|knots?)\b", found.sentence, re.IGNORECASE)
    assert found.reaches_clean_stall == (found.wing_angle >= math.radians(clean))
    assert found.margin is not None
    assert (found.margin >= 0.0) == found.reaches_clean_stall


@pytest.mark.parametrize("value", [12.6, -12.6, float("nan")])
def test_degrees_for_radians_are_refused(value: float) -> None:
    with pytest.raises(RangeError, match="radians"):
        check_attitude(
            three_point_attitude=value, incidence=0.03, stall_angle_clean=0.25, stall_angle_vanes=0.3
        )
    with pytest.raises(RangeError, match="stall angle with vanes"):
        check_attitude(
            three_point_attitude=0.2, incidence=0.03, stall_angle_clean=0.25, stall_angle_vanes=value
        )
