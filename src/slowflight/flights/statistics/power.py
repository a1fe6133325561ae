"""How probably a number of flights will see a change, and how wide the band will be."""

from __future__ import annotations

import math

import numpy as np
from scipy import stats

from slowflight.errors import RangeError

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(200)


def error_of_difference(*, flights: int, stalls: int, between: float, within: float) -> float:
    """Return the standard error of the difference of two sets of flights.

    Parameters
    ----------
    flights, stalls : int
        Flights on each side, stalls in each flight.
    between, within : float
        Standard deviations from flight to flight and of single stalls, in one unit.

    Returns
    -------
    float
        ``sqrt(2/F (between^2 + within^2/m))``: more stalls in a flight cannot beat the first part.

    Raises
    ------
    RangeError
        Where there are no flights or stalls.

    Examples
    --------
    >>> round(error_of_difference(flights=3, stalls=6, between=0.4, within=0.5), 3)
    0.367
    """
    if flights < 1 or stalls < 1:
        raise RangeError(where="plan", found=f"{flights} flights of {stalls} stalls", needed="one or more")
    return math.sqrt(2.0 / flights * (between**2 + within**2 / stalls))


def half_band(*, flights: int, stalls: int, between: float, within: float, level: float = 0.95) -> float:
    """Return the expected half-width of the band of the difference, from the t test on flight means.

    Parameters as for `error_of_difference`; `flights` at least 2.
    """
    spread = error_of_difference(flights=flights, stalls=stalls, between=between, within=within)
    return float(stats.t.ppf(0.5 + 0.5 * level, 2 * flights - 2)) * spread


def chance_of_seeing(
    change: float, *, flights: int, stalls: int, between: float, within: float, error: float = 0.05
) -> float:
    """Return how probably a two-sided t test on flight means finds a true change.

    Parameters
    ----------
    change : float
        The true difference, in the unit of the deviations.
    flights, stalls, between, within
        As for `error_of_difference`; `flights` at least 2.
    error : float, optional
        Accepted risk of finding a change where there is none.

    Returns
    -------
    float
        By the noncentral t distribution; see `t_exceeds`.
    """
    spread = error_of_difference(flights=flights, stalls=stalls, between=between, within=within)
    freedom = 2 * flights - 2
    needed = float(stats.t.ppf(1.0 - 0.5 * error, freedom))
    return t_exceeds(needed, shift=change / spread, freedom=freedom) + t_exceeds(
        needed, shift=-change / spread, freedom=freedom
    )


def t_exceeds(needed: float, *, shift: float, freedom: float) -> float:
    """Return how probably a t value exceeds a bound when its mean is shifted.

    Parameters
    ----------
    needed : float
        The bound [-].
    shift : float
        True difference over its true standard error [-].
    freedom : float
        Degrees of freedom.

    Returns
    -------
    float
        The noncentral t distribution's upper tail, as one integral over the scatter that a sample shows;
        library routines of it fail far out in a tail.
    """
    seen = np.sqrt(stats.chi2.ppf(0.5 + 0.5 * _NODES, freedom) / freedom)
    return float(0.5 * np.sum(_WEIGHTS * stats.norm.sf(needed * seen - shift)))
