"""One tuft over one window: exact cases, and scipy's circular statistics beside ours."""

import math

import numpy as np
import pytest
from scipy import stats

from slowflight.errors import InputError
from slowflight.flights.tufts.states import ATTACHED, REVERSED, UNSEEN, UNSTEADY, classify

DEGREE = math.pi / 180.0


@pytest.mark.parametrize(
    ("mean", "spread", "state"),
    [
        (0.0, 0.0, ATTACHED),
        (19.0, 0.0, ATTACHED),
        (-21.0, 0.0, UNSTEADY),
        (0.0, 11.0, ATTACHED),
        (0.0, 14.0, UNSTEADY),
        (89.0, 0.0, UNSTEADY),
        (-91.0, 0.0, REVERSED),
        (180.0, 5.0, REVERSED),
        (0.0, 50.0, REVERSED),
    ],
)
def test_limits(mean: float, spread: float, state: str) -> None:
    # Half of the frames to either side by an angle d has resultant cos d, so a spread of sqrt(-2 ln cos d).
    aside = math.acos(math.exp(-0.5 * (spread * DEGREE) ** 2))
    found = classify([mean * DEGREE + aside, mean * DEGREE - aside])
    assert found.state == state
    assert found.spread == pytest.approx(spread * DEGREE, abs=1e-7)
    assert math.remainder(found.mean - mean * DEGREE, 2.0 * math.pi) == pytest.approx(0.0, abs=1e-9)


def test_mean_and_spread_are_those_of_a_statistics_library() -> None:
    angles = np.random.default_rng(2).vonmises(2.9, 3.0, 40)
    found = classify(angles)
    assert found.mean == pytest.approx(stats.circmean(angles, high=math.pi, low=-math.pi), abs=1e-9)
    assert found.spread == pytest.approx(stats.circstd(angles), abs=1e-9)


def test_what_is_not_seen_is_not_guessed_and_what_is_smeared_moved() -> None:
    nan = math.nan
    assert classify([nan, nan, nan, 0.0]).state == UNSEEN
    assert classify([nan, 0.0, 0.1]).state == ATTACHED
    assert classify([nan, nan, nan, 0.0], smeared=[True, True, True, False]).state == UNSTEADY
    assert classify([nan, nan, nan, 3.0], smeared=[True, True, True, False]).state == REVERSED
    smeared = classify([nan, nan], smeared=[True, True])
    assert smeared.state == REVERSED
    assert math.isinf(smeared.spread)
    with pytest.raises(InputError, match="0 angles"):
        classify([])
    with pytest.raises(InputError, match="one of each"):
        classify([0.0], smeared=[True, False])
