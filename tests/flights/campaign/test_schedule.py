"""The order of flights."""

from collections import Counter

import pytest

from slowflight.errors import RangeError
from slowflight.flights.campaign.schedule import CLEAN_AGAIN, RATES, plan_flights


def test_clean_fitted_clean() -> None:
    planned = plan_flights(3, removable=True)
    assert [one.configuration for one in planned] == ["clean"] * 2 + ["vanes"] * 3 + [CLEAN_AGAIN]
    assert [one.number for one in planned] == [1, 2, 3, 4, 5, 6]
    assert [one.block for one in planned] == ["A", "B", "A", "B", "C", "C"]


@pytest.mark.parametrize("flights", [1, 2, 3, 4, 7])
def test_as_many_flights_on_each_side_and_one_clean_after(flights: int) -> None:
    planned = Counter(one.configuration for one in plan_flights(flights, removable=True))
    assert planned["vanes"] == flights
    assert planned[CLEAN_AGAIN] >= 1
    assert planned["clean"] + planned[CLEAN_AGAIN] == max(flights, 2)
    fixed = Counter(one.configuration for one in plan_flights(flights, removable=False))
    assert fixed == {"clean": flights, "vanes": flights}


def test_entry_rates_are_all_flown_in_an_order_that_varies() -> None:
    planned = plan_flights(3, removable=True)
    assert all(sorted(one.rates) == sorted(RATES) for one in planned)
    assert len({one.rates for one in planned}) > 3
    assert plan_flights(3, removable=True) == planned
    # As many slower as faster than 1 kt/s: the line is read near its middle.
    assert sum(RATES) / len(RATES) == pytest.approx(1.0, abs=0.05)


def test_plans_of_nothing_are_refused() -> None:
    with pytest.raises(RangeError, match="0 flights"):
        plan_flights(0, removable=True)
    with pytest.raises(RangeError, match="of 2 stalls"):
        plan_flights(3, removable=True, stalls=2)
