"""Touchdown bands: what an attitude sets is known better than what a stall sets, and doubts are shared."""

from __future__ import annotations

import math

import pytest

from slowflight.flight_state.held_off import changed, margin, slowest, speed_doubt
from slowflight.uncertainty import Banded

STALL = Banded(value=38.0, low=35.8, high=41.4)
FALL = Banded(value=2.4, low=-0.2, high=5.0)


def test_doubt_of_a_speed_is_half_of_each_cause_in_squares() -> None:
    """GUM, equation (10), for V ~ sqrt(m / CL)."""
    found = speed_doubt(cl=1.6, slope=4.0, angle=math.radians(1.0), flap_adds=0.3, mass_share=0.02)
    by_hand = 0.5 * math.sqrt(0.05**2 + (4.0 * 0.0174533 / 1.6) ** 2 + (0.4 * 0.3 / 1.6) ** 2 + 0.02**2)
    assert found == pytest.approx(by_hand, rel=1e-6)
    # nobody reads an attitude better than half a degree
    exact = speed_doubt(cl=1.6, slope=4.0, angle=0.0, flap_adds=0.0, mass_share=0.0)
    assert exact == pytest.approx(0.5 * math.hypot(0.05, 4.0 * math.radians(0.5) / 1.6))


def test_well_short_of_the_stall_only_the_attitude_counts() -> None:
    found = slowest(60.0, doubt=0.03, stall=STALL)
    assert found.low == pytest.approx(60.0 * 0.97, abs=0.1)
    assert found.high == pytest.approx(60.0 * 1.03, abs=0.1)


def test_where_the_wing_stalls_first_the_band_is_the_stalls() -> None:
    found = slowest(20.0, doubt=0.03, stall=STALL)
    assert found.value == STALL.value
    assert found.low == pytest.approx(STALL.low, abs=0.1)
    assert found.high == pytest.approx(STALL.high, abs=0.1)


def test_near_both_it_is_never_slower_than_either_may_be() -> None:
    found = slowest(38.5, doubt=0.03, stall=STALL)
    assert found.low > 38.5 * 0.97 - 0.1  # not the stall's 35.8
    assert found.high < 38.5 * 41.4 / 38.0  # nor the stall's share of it


def test_what_both_wings_share_cancels_in_the_change() -> None:
    same = changed(clean=60.0, vanes=60.0, doubt=0.05, stall=STALL, fall=FALL)
    assert (same.low, same.value, same.high) == (0.0, 0.0, 0.0)
    aloft = changed(clean=20.0, vanes=20.0, doubt=0.05, stall=STALL, fall=FALL)
    assert aloft.value == pytest.approx(-2.4)
    assert aloft.low == pytest.approx(-5.0, abs=0.1)
    assert aloft.high == pytest.approx(0.2, abs=0.1)


def test_an_approach_by_the_stall_speed_moves_with_it() -> None:
    by_stall = margin(held=20.0, doubt=0.0, stall=STALL, approach=None, over=1.3)
    assert by_stall.low == pytest.approx(0.3 * 35.8, abs=0.1)
    assert by_stall.high == pytest.approx(0.3 * 41.4, abs=0.1)
    flown = margin(held=20.0, doubt=0.0, stall=STALL, approach=49.0, over=1.3)
    assert flown.low == pytest.approx(49.0 - 41.4, abs=0.1)
