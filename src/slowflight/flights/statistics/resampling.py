"""Checks that assume no bell curve: every relabeling of the flights, and the bootstrap.

Shown beside the headline, never in its place: with few flights the bootstrap's band is too narrow.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import numpy.typing as npt
from scipy import stats

from slowflight.errors import InputError

SOURCES = ("Efron1987",)
MOST_RELABELINGS = 200_000


def relabeling_p(first: npt.ArrayLike, second: npt.ArrayLike) -> float:
    """Return how often chance labels alone give as large a difference of means, either way.

    Parameters
    ----------
    first, second : array_like
        One number a flight.

    Returns
    -------
    float
        Exact: every way of labeling is counted.

    Raises
    ------
    InputError
        Where there are more than 200,000 ways.
    """
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    together = np.concatenate([a, b])
    ways = math.comb(together.size, a.size)
    if ways > MOST_RELABELINGS:
        raise InputError(where="relabeling", found=f"{ways} ways", needed=f"at most {MOST_RELABELINGS}")
    total = together.sum()

    def gap(sums: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return np.asarray(np.abs(sums / a.size - (total - sums) / b.size))

    chosen = np.array(list(itertools.combinations(range(together.size), a.size)))
    seen = float(gap(np.array(a.sum())))
    # Equal sums in another order differ in the last digit.
    return float(np.mean(gap(together[chosen].sum(axis=1)) >= seen * (1.0 - 1e-12)))


def rank_p(first: npt.ArrayLike, second: npt.ArrayLike) -> float:
    """Return the exact two-sided probability of the rank-sum test (Mann and Whitney, 1947)."""
    return float(stats.mannwhitneyu(first, second, alternative="two-sided", method="exact").pvalue)


def bootstrap_band(
    first: npt.ArrayLike, second: npt.ArrayLike, *, level: float, draws: int = 20_000, seed: int = 1
) -> tuple[float, float]:
    """Return a bootstrap band of the difference of means, bias-corrected and accelerated (Efron, 1987).

    Parameters
    ----------
    first, second : array_like
        One number a flight.
    level : float
        Such as 0.95.
    draws, seed : int
        Resamples, and where the random numbers start.

    Returns
    -------
    tuple of float
        Too narrow below ten flights or so.
    """

    def difference(
        a: npt.NDArray[np.float64], b: npt.NDArray[np.float64], axis: int
    ) -> npt.NDArray[np.float64]:
        return np.asarray(a.mean(axis=axis) - b.mean(axis=axis))

    found = stats.bootstrap(
        (np.asarray(first, dtype=float), np.asarray(second, dtype=float)),
        difference,
        n_resamples=draws,
        confidence_level=level,
        method="BCa",
        rng=np.random.default_rng(seed),
    )
    return float(found.confidence_interval.low), float(found.confidence_interval.high)
