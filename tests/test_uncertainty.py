"""Bands: how they add, carry through a formula, and what is no band."""

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import RangeError
from slowflight.uncertainty import Banded, carried, combined, difference, exactly, plus_minus, propagated

SIZES = st.floats(min_value=0.0, max_value=1e3)
VALUES = st.floats(min_value=-1e3, max_value=1e3)


def test_independent_half_bands_add_as_squares_each_side_for_itself() -> None:
    """GUM, ISO/IEC Guide 98-3, equation (10) for a sum."""
    one = Banded(value=2.0, low=2.0 - 0.3, high=2.0 + 0.5, why=("a",))
    other = Banded(value=7.0, low=7.0 - 0.4, high=7.0 + 1.2, why=("b", "a"))
    both = combined(10.0, one, other)
    assert both.below == pytest.approx(0.5)
    assert both.above == pytest.approx(1.3)
    assert both.why == ("a", "b")


def test_difference_crosses_the_sides() -> None:
    larger = Banded(value=5.0, low=4.7, high=5.0)
    smaller = Banded(value=3.0, low=3.0, high=3.4)
    gain = difference(larger, smaller)
    # both may be worse at once, neither better
    assert (gain.value, gain.high) == (2.0, 2.0)
    assert gain.below == pytest.approx(0.5)


def test_resistors_in_parallel_by_propagation() -> None:
    """First-order propagation, GUM equation (10): dR/dR1 = (R/R1)^2, here 1/4 of each."""
    found = propagated(
        lambda first, second: 1.0 / (1.0 / first + 1.0 / second),
        first=plus_minus(100.0, 0.01, why="first"),
        second=plus_minus(100.0, 0.01, why="second"),
    )
    assert found.value == pytest.approx(50.0)
    assert found.above == pytest.approx(math.hypot(0.0025, 0.0025), rel=1e-3)
    assert found.below == pytest.approx(found.above, rel=1e-3)
    assert found.why == ("first", "second")


def test_band_of_a_falling_function_turns_over() -> None:
    found = propagated(lambda x: 1.0 / x**2, x=Banded(value=1.0, low=0.9, high=1.2))
    assert found.low == pytest.approx(1.0 / 1.44)
    assert found.high == pytest.approx(1.0 / 0.81)


@given(VALUES, st.lists(SIZES, max_size=6))
def test_combined_is_wider_than_each_and_narrower_than_the_sum(value: float, halves: list[float]) -> None:
    both = combined(value, *(plus_minus(0.0, half, why="w") for half in halves))
    tolerance = 1e-9 * (1.0 + abs(value) + sum(halves))
    assert max(halves, default=0.0) - tolerance <= both.above <= sum(halves) + tolerance
    assert both.above == pytest.approx(both.below, abs=tolerance)


@given(VALUES, SIZES, VALUES, SIZES)
def test_overlap_is_mutual_and_is_that_of_the_distance(a: float, da: float, b: float, db: float) -> None:
    one, other = plus_minus(a, da, why=""), plus_minus(b, -db, why="")
    assert one.overlaps(other) == other.overlaps(one)
    if abs(abs(a - b) - (da + db)) > 1e-6:
        assert one.overlaps(other) == (abs(a - b) < da + db)


def test_exact_values_have_no_band() -> None:
    assert exactly(3.0) == Banded(value=3.0, low=3.0, high=3.0)


@pytest.mark.parametrize(
    ("low", "value", "high"), [(1.0, 0.0, 2.0), (0.0, 3.0, 2.0), (math.nan, 0.0, 1.0), (0.0, 1.0, math.inf)]
)
def test_what_is_no_band_is_refused(low: float, value: float, high: float) -> None:
    with pytest.raises(RangeError, match="band"):
        Banded(value=value, low=low, high=high)


def test_carried_bands_of_a_sum_are_those_of_the_root_of_squares() -> None:
    found = carried(
        lambda a, b: a - b, a=plus_minus(10.0, 3.0, why="a"), b=Banded(value=4.0, low=0.0, high=8.0)
    )
    assert found.value == 6.0
    assert found.below == pytest.approx(5.0, abs=0.03)
    assert found.above == pytest.approx(5.0, abs=0.03)


def test_carried_bands_of_the_larger_of_two() -> None:
    """Exact: the larger of two alike lies below x with the square of one's probability."""
    one = plus_minus(0.0, 1.0, why="a")
    found = carried(lambda a, b: np.maximum(a, b), a=one, b=one)
    normal = NormalDist(sigma=1.0 / NormalDist().inv_cdf(0.95))
    assert found.low == pytest.approx(normal.inv_cdf(math.sqrt(0.05)), abs=0.02)
    assert found.high == pytest.approx(normal.inv_cdf(math.sqrt(0.95)), abs=0.05)
    # one at a time, the kink would hide that both may be low at once
    assert propagated(max_of_two, a=one, b=one).low == 0.0


def max_of_two(a: float, b: float) -> float:
    return max(a, b)


def test_carried_band_of_one_input_is_its_own() -> None:
    lopsided = Banded(value=5.0, low=4.0, high=8.0)
    found = carried(lambda a: 2.0 * a, a=lopsided)
    assert found.low == pytest.approx(8.0, abs=0.02)
    assert found.high == pytest.approx(16.0, abs=0.06)
