"""How probable a gain is, given the flights: two unknown scatters, no opinion beforehand."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from scipy import optimize, stats

SOURCES = ("Jeffreys1961",)
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(400)


def probability_above(
    threshold: float, *, value: float, standard_uncertainty: float, degrees_of_freedom: float
) -> float:
    """Return the probability that a quantity exceeds a threshold.

    Parameters
    ----------
    threshold, value, standard_uncertainty : float
        In one unit.
    degrees_of_freedom : float
        Of the uncertainty; may be infinite.

    Returns
    -------
    float
        From Student's t scaled by the uncertainty and centered on the value.

    Examples
    --------
    >>> probability_above(1.0, value=1.0, standard_uncertainty=0.5, degrees_of_freedom=4.0)
    0.5
    """
    if standard_uncertainty == 0.0:
        return float(value > threshold)
    t = (threshold - value) / standard_uncertainty
    return float(stats.norm.sf(t) if math.isinf(degrees_of_freedom) else stats.t.sf(t, degrees_of_freedom))


def difference_above(threshold: float, first: npt.ArrayLike, second: npt.ArrayLike) -> float:
    """Return the probability that the first mean exceeds the second by more than a threshold.

    Parameters
    ----------
    threshold : float
        In the unit of the numbers.
    first, second : array_like
        One number a flight, at least two each.

    Returns
    -------
    float

    Notes
    -----
    With Jeffreys' prior each mean has a t distribution about its sample mean, of n - 1 degrees of freedom;
    the probability of their difference is one integral, taken over the quantiles of the second.
    """
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    at = 0.5 + 0.5 * _NODES
    second_mean = b.mean() + b.std(ddof=1) / math.sqrt(b.size) * stats.t.ppf(at, b.size - 1)
    reach = (threshold + second_mean - a.mean()) / (a.std(ddof=1) / math.sqrt(a.size))
    return float(0.5 * np.sum(_WEIGHTS * stats.t.sf(reach, a.size - 1)))


def difference_band(first: npt.ArrayLike, second: npt.ArrayLike, *, level: float) -> tuple[float, float]:
    """Return the band of the difference of means that holds with probability `level`.

    Parameters
    ----------
    first, second : array_like
        As for `difference_above`.
    level : float
        Such as 0.95; as much is left out below as above.

    Returns
    -------
    tuple of float
    """
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    middle = float(a.mean() - b.mean())
    reach = 100.0 * math.sqrt(float(a.var(ddof=1)) / a.size + float(b.var(ddof=1)) / b.size)
    ends = [
        float(
            optimize.brentq(
                lambda x, left=left: difference_above(x, a, b) - left, middle - reach, middle + reach
            )
        )
        for left in (0.5 + 0.5 * level, 0.5 - 0.5 * level)
    ]
    return ends[0], ends[1]
