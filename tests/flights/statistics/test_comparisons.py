"""Comparisons of two groups: worked vectors, computed independently with general statistics software."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from slowflight.errors import InputError, RangeError
from slowflight.flights.statistics.equivalence import (
    chance_of_equivalence,
    chance_of_not_worse,
    within_margin,
)
from slowflight.flights.statistics.posterior import difference_above, difference_band, probability_above
from slowflight.flights.statistics.power import chance_of_seeing, error_of_difference, half_band
from slowflight.flights.statistics.resampling import bootstrap_band, rank_p, relabeling_p
from slowflight.flights.statistics.stopping import needed_probability
from slowflight.flights.statistics.two_samples import alike_scatter, effect_size, paired, welch
from tests.flights.statistics import nist

CLEAN = (38.6, 39.4, 38.9, 39.8, 38.7, 39.3)
VANES = (36.9, 37.6, 36.5, 37.3, 37.9, 36.8)
CRUISE_CLEAN = (92.4, 92.9, 92.1, 92.7, 92.5)
CRUISE_VANES = (92.0, 92.5, 92.3, 91.8, 92.2)


def test_two_groups_by_the_t_distribution() -> None:
    found = welch(CLEAN, VANES)
    assert (found.value, found.t, found.degrees_of_freedom) == pytest.approx((1.950, 6.8074, 9.829), abs=1e-3)
    assert found.p == pytest.approx(5.11e-5, rel=2e-3)
    assert found.band(0.95) == pytest.approx((1.310, 2.590), abs=1e-3)
    assert effect_size(CLEAN, VANES) == pytest.approx(3.63, abs=0.005)


def test_pairs_of_one_block() -> None:
    found = paired(CLEAN, VANES)
    assert (found.t, found.degrees_of_freedom) == pytest.approx((7.176, 5.0), abs=1e-3)
    assert found.p == pytest.approx(8.2e-4, rel=5e-3)
    assert found.band(0.95) == pytest.approx((1.252, 2.648), abs=2e-3)


def test_alike_scatter_is_the_root_of_the_certified_f() -> None:
    """NIST AtmWtAg: with two groups, F is the square of t; seven common digits leave nine."""
    assert alike_scatter(*nist.ATMWTAG).t ** 2 == pytest.approx(nist.ATMWTAG_F, rel=1e-8)


def test_checks_without_a_bell_curve() -> None:
    assert relabeling_p(CLEAN, VANES) == pytest.approx(2.0 / 924.0, rel=1e-12)
    assert rank_p(CLEAN, VANES) == pytest.approx(0.002165, abs=1e-6)
    low, high = bootstrap_band(CLEAN, VANES, level=0.95)
    assert (low, high) == pytest.approx((1.45, 2.467), abs=0.03)
    wide = welch(CLEAN, VANES).band(0.95)
    assert wide[0] < low < high < wide[1]  # the bootstrap is too narrow


def test_relabeling_refuses_a_million_ways() -> None:
    with pytest.raises(InputError, match="at most 200000"):
        relabeling_p(range(15), range(15))


def test_how_probable_a_gain_is() -> None:
    assert difference_band(CLEAN, VANES, level=0.95) == pytest.approx((1.216, 2.684), abs=0.003)
    assert difference_above(1.0, CLEAN, VANES) == pytest.approx(0.991, abs=1e-3)
    assert difference_above(1.5, CLEAN, VANES) == pytest.approx(0.904, abs=2e-3)


def test_no_cruise_loss_depends_on_the_margin_not_on_p() -> None:
    found = welch(CRUISE_VANES, CRUISE_CLEAN)
    assert (found.value, found.standard_error) == pytest.approx((-0.360, 0.1817), abs=1e-4)
    assert found.degrees_of_freedom == pytest.approx(7.895, abs=1e-3)
    assert found.band(0.90) == pytest.approx((-0.698, -0.022), abs=1e-3)
    assert found.p == pytest.approx(0.083, abs=1e-3)
    one = within_margin(found, margin=1.0)
    assert (one.p_below, one.p_above) == pytest.approx((0.0040, 3.8e-5), rel=0.02)
    assert one.equivalent
    assert one.not_worse
    half = within_margin(found, margin=0.5)
    assert half.p_below == pytest.approx(0.232, abs=1e-3)
    assert not half.equivalent
    assert not half.not_worse


@pytest.mark.parametrize(
    ("deviation", "flights", "chance"),
    [(0.5, 5, 0.784), (0.5, 6, 0.884), (0.5, 8, 0.969), (0.8, 12, 0.813), (1.0, 18, 0.805)],
)
def test_flights_that_equivalence_takes(deviation: float, flights: int, chance: float) -> None:
    found = chance_of_equivalence(flights=flights, deviation=deviation, margin=1.0)
    assert found == pytest.approx(chance, abs=0.006)  # the vectors were simulated


@pytest.mark.parametrize(("deviation", "flights", "chance"), [(0.5, 4, 0.802), (0.8, 9, 0.814)])
def test_flights_that_no_loss_takes(deviation: float, flights: int, chance: float) -> None:
    found = chance_of_not_worse(flights=flights, deviation=deviation, margin=1.0)
    assert found == pytest.approx(chance, abs=0.002)


POWER = [  # flights, stalls, error, half-width at 95 %, chances of seeing 1, 2, 3 kt; between 0.4, within 0.5
    (2, 4, 0.472, 2.03, 0.24, 0.60, 0.87),
    (2, 6, 0.449, 1.93, 0.25, 0.64, 0.89),
    (3, 3, 0.403, 1.12, 0.47, 0.95, 1.00),
    (3, 6, 0.367, 1.02, 0.54, 0.98, 1.00),
    (4, 3, 0.349, 0.85, 0.67, 1.00, 1.00),
    (4, 6, 0.318, 0.78, 0.75, 1.00, 1.00),
    (6, 3, 0.285, 0.63, 0.88, 1.00, 1.00),
    (6, 6, 0.259, 0.58, 0.93, 1.00, 1.00),
]  # fmt: skip


@pytest.mark.parametrize("row", POWER, ids=lambda row: f"{row[0]} x {row[1]}")
def test_what_flights_and_stalls_can_see(row: tuple[int, int, float, float, float, float, float]) -> None:
    flights, stalls, error, half, *chances = row
    plan = {"flights": flights, "stalls": stalls, "between": 0.4, "within": 0.5}
    assert error_of_difference(**plan) == pytest.approx(error, abs=6e-4)  # type: ignore[arg-type]
    assert half_band(**plan) == pytest.approx(half, abs=6e-3)  # type: ignore[arg-type]
    found = [chance_of_seeing(change, **plan) for change in (1.0, 2.0, 3.0)]  # type: ignore[arg-type]
    assert found == pytest.approx(chances, abs=6e-3)


@pytest.mark.parametrize(
    ("deviation", "change", "flights"),
    [(0.5, 1.0, 6), (0.5, 2.0, 3), (0.8, 1.0, 12), (0.8, 1.5, 6), (1.0, 1.5, 9), (1.5, 3.0, 6)],
)
def test_fewest_of_one_scatter_for_four_in_five(deviation: float, change: float, flights: int) -> None:
    """Table of sample sizes for a two-sample t test, 80 %, two-sided 5 % (in-house worked vector)."""

    def chance(count: int) -> float:
        return chance_of_seeing(change, flights=count, stalls=1, between=0.0, within=deviation)

    assert chance(flights) >= 0.8 > chance(flights - 1)


def test_pleasing_looks_inflate_and_the_shared_risk_does_not() -> None:
    """Armitage, McPherson and Rowe (1969): 5 % becomes 8.3, 10.7, 12.6, 14.2 % at 2, 3, 4, 5 equal looks.

    Their figures for a normal mean of known scatter are from memory; the bound on the shared risk is exact.
    """
    random = np.random.default_rng(5)
    looks = np.cumsum(random.standard_normal((200_000, 5)), axis=1) / np.sqrt(np.arange(1, 6))
    for count, published in ((1, 0.05), (2, 0.083), (3, 0.107), (4, 0.126), (5, 0.142)):
        crossed = np.abs(looks[:, :count]).max(axis=1) > 1.959964
        assert crossed.mean() == pytest.approx(published, abs=0.003)
    shared = 1.0 - needed_probability(base=0.95, looks=5)
    crossed = np.abs(looks).max(axis=1) > stats.norm.isf(0.5 * shared)
    assert 0.02 < crossed.mean() <= 0.05


def test_looks_and_margins_that_make_no_sense() -> None:
    with pytest.raises(RangeError, match="looks"):
        needed_probability(base=0.9, looks=0)
    with pytest.raises(RangeError, match="fixed before the flights"):
        within_margin(welch(CRUISE_VANES, CRUISE_CLEAN), margin=0.0)
    with pytest.raises(InputError, match="at least two on each side"):
        welch([1.0], [1.0, 2.0])
    with pytest.raises(InputError, match="without any scatter"):
        welch([1.0, 1.0], [2.0, 2.0])


@given(st.floats(-3, 3), st.floats(0.05, 2.0), st.floats(1.0, 50.0), st.floats(-3, 3))
def test_probabilities_add_to_one_and_fall_with_the_threshold(
    value: float, spread: float, freedom: float, threshold: float
) -> None:
    known = {"standard_uncertainty": spread, "degrees_of_freedom": freedom}
    above = probability_above(threshold, value=value, **known)
    mirrored = probability_above(-threshold, value=-value, **known)
    assert above + mirrored == pytest.approx(1.0, abs=1e-9)
    assert probability_above(threshold + 0.1, value=value, **known) <= above
