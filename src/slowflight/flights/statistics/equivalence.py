"""'No cruise loss' as something to be shown, not as something that failed to be refuted.

A difference that is 'not significant' may only be badly measured. Two one-sided tests (Schuirmann, 1987) ask
instead whether the difference lies inside a margin that was fixed before the flights.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import stats

from slowflight.errors import RangeError
from slowflight.flights.statistics.power import t_exceeds
from slowflight.flights.statistics.two_samples import TDifference

SOURCES = ("Schuirmann1987",)
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(200)


@dataclass(frozen=True, kw_only=True)
class Equivalence:
    """Whether a difference is shown to lie within a margin.

    Parameters
    ----------
    margin : float
        Fixed beforehand, in the unit of the difference.
    p_below : float
        Probability of such data were the difference as low as ``-margin``.
    p_above : float
        The same were it as high as ``+margin``.
    equivalent : bool
        Both at most the error allowed: within the margin on either side.
    not_worse : bool
        `p_below` at most the error allowed: no loss beyond the margin.
    """

    margin: float
    p_below: float
    p_above: float
    equivalent: bool
    not_worse: bool


def within_margin(difference: TDifference, *, margin: float, error: float = 0.05) -> Equivalence:
    """Test whether a difference lies within a margin.

    Parameters
    ----------
    difference : TDifference
        After less before: negative is a loss.
    margin : float
        Fixed beforehand, above 0.
    error : float, optional
        Accepted risk of saying 'no loss' wrongly.

    Returns
    -------
    Equivalence

    Raises
    ------
    RangeError
        Where the margin is not above 0.
    """
    if not (math.isfinite(margin) and margin > 0.0):
        raise RangeError(
            where="margin", found=f"{margin}", needed="a number above 0, fixed before the flights"
        )
    spread, freedom = difference.standard_error, difference.degrees_of_freedom
    below = float(stats.t.sf((difference.value + margin) / spread, freedom))
    above = float(stats.t.cdf((difference.value - margin) / spread, freedom))
    return Equivalence(
        margin=margin,
        p_below=below,
        p_above=above,
        equivalent=max(below, above) <= error,
        not_worse=below <= error,
    )


def chance_of_equivalence(
    *, flights: int, deviation: float, margin: float, difference: float = 0.0, error: float = 0.05
) -> float:
    """Return how probably that many flights a side will show equivalence.

    Parameters
    ----------
    flights : int
        On each side, at least 2.
    deviation : float
        Standard deviation of one flight's number.
    margin, difference : float
        The margin and the true difference, in the unit of `deviation`.
    error : float, optional
        As for `within_margin`.

    Returns
    -------
    float
        Exact for normal scatter alike on both sides: the sample's deviation is integrated over.
    """
    freedom = 2 * flights - 2
    at = 0.5 + 0.5 * _NODES
    spread = deviation * math.sqrt(2.0 / flights)
    seen = spread * np.sqrt(stats.chi2.ppf(at, freedom) / freedom)
    room = margin - stats.t.ppf(1.0 - error, freedom) * seen
    inside = stats.norm.cdf((room - difference) / spread) - stats.norm.cdf((-room - difference) / spread)
    return float(0.5 * np.sum(_WEIGHTS * np.maximum(inside, 0.0)))


def chance_of_not_worse(
    *, flights: int, deviation: float, margin: float, difference: float = 0.0, error: float = 0.05
) -> float:
    """Return how probably that many flights a side will show no loss beyond the margin.

    Parameters and validity as for `chance_of_equivalence`; by the noncentral t distribution.
    """
    freedom = 2 * flights - 2
    spread = deviation * math.sqrt(2.0 / flights)
    needed = float(stats.t.ppf(1.0 - error, freedom))
    return t_exceeds(needed, shift=(margin + difference) / spread, freedom=freedom)
