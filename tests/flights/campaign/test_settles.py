"""What the plan promises: sense of its numbers and words."""

import pytest

from slowflight import units
from slowflight.flights.campaign.settles import chances, what_flights_settle
from slowflight.flights.statistics.power import half_band
from slowflight.flights.statistics.scatter import WORSE_ASSUMED, Scatter
from slowflight.flights.statistics.speed_rule import SpeedRule
from slowflight.flights.statistics.stall_terms import POSITION_SHIFT_CALIBRATED, difference_terms

KNOT = units.speed("1 kt", where="test")
TERMS = difference_terms(speed=39.0 * KNOT, mass=600.0)
CALIBRATED = difference_terms(speed=39.0 * KNOT, mass=600.0, position_shift=POSITION_SHIFT_CALIBRATED)
OWN = Scatter(between=0.4 * KNOT, within=0.5 * KNOT, why="own")


def test_one_and_two_flights_never_show_a_gain_and_more_flights_tell_more() -> None:
    rows = what_flights_settle(scatter=WORSE_ASSUMED, terms=TERMS, rule=SpeedRule())
    assert [row.flights for row in rows] == [1, 2, 3, 4]
    assert rows[0].smallest_gain is None is rows[1].smallest_gain
    assert rows[0].dismissed_at_none == 0.0 < rows[1].dismissed_at_none
    assert "settles nothing" in rows[0].words
    assert "'keep' cannot come of it" in rows[1].words
    assert rows[2].smallest_gain is not None
    assert rows[3].smallest_gain is not None
    assert rows[2].smallest_gain > rows[3].smallest_gain > 1.0 * KNOT
    assert [row.half_band for row in rows] == sorted((row.half_band for row in rows), reverse=True)


def test_own_smaller_scatter_and_a_calibration_settle_more() -> None:
    def smallest(scatter: Scatter, terms: object) -> float:
        (row,) = what_flights_settle(scatter=scatter, terms=terms, rule=SpeedRule(), flights=(3,))  # type: ignore[arg-type]
        assert row.smallest_gain is not None
        return row.smallest_gain

    assert smallest(WORSE_ASSUMED, TERMS) > smallest(OWN, TERMS) > smallest(OWN, CALIBRATED)


def test_without_other_terms_the_band_is_that_of_the_t_test() -> None:
    (row,) = what_flights_settle(scatter=OWN, terms=(), rule=SpeedRule(), flights=(3,))
    plain = half_band(flights=3, stalls=6, between=OWN.between, within=OWN.within, level=0.90)
    assert row.half_band == pytest.approx(plain, rel=1e-9)


def test_chances_at_the_threshold_are_the_risks_that_were_set() -> None:
    """At a true gain just worth having, 'shown' has to come out one time in ten, and so has 'absent'."""
    found = chances(1.0 * KNOT, flights=6, stalls=6, scatter=OWN, terms=(), rule=SpeedRule())
    assert found.shown == pytest.approx(0.10, abs=2e-3)
    assert found.absent == pytest.approx(0.10, abs=2e-3)
    assert found.open == pytest.approx(0.80, abs=4e-3)
