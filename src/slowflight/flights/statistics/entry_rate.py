"""One stall speed from one flight: the stalls against how fast they were entered, read at 1 kt/s."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.statistics.linear_fit import fit_linear

SOURCES = ("CFR23stall",)

STANDARD_ENTRY_RATE = units.speed("1 kt", where="standard entry rate")  # a second [m/s^2]


@dataclass(frozen=True, kw_only=True)
class RateReading:
    """What one flight's stalls say at the standard entry rate.

    Parameters
    ----------
    speed : float
        At 1 kt/s [m/s].
    standard_error : float
        Of the speed, from the scatter of this flight's own stalls [m/s]; another day adds to it.
    slope : float
        Change of stall speed with entry rate [s]; most often negative, and it holds the instrument's lag too.
    slope_error : float
        Standard error of the slope [s].
    residual_deviation : float
        Scatter of single stalls about the line [m/s].
    degrees_of_freedom : int
        Stalls less two.
    """

    speed: float
    standard_error: float
    slope: float
    slope_error: float
    residual_deviation: float
    degrees_of_freedom: int


def read_at_standard_rate(*, entry_rate: npt.ArrayLike, speed: npt.ArrayLike) -> RateReading:
    """Fit one flight's stall speeds against entry rate and read the line at 1 kt/s.

    Parameters
    ----------
    entry_rate : array_like, shape (n,)
        How fast speed fell, positive while slowing [m/s^2].
    speed : array_like, shape (n,)
        Stall speeds at reference mass and 1 g [m/s].

    Returns
    -------
    RateReading

    Raises
    ------
    InputError
        Where there are fewer than three stalls, or all were entered alike.

    Notes
    -----
    ``speed = A + k (rate - 1 kt/s)``, of which A is kept: certification reads a plot of stall speed against
    entry rate at 1 kt/s (14 CFR 23.201 allows no faster entry). Meant for rates of 0.3 to 2 kt/s.

    Examples
    --------
    >>> reading = read_at_standard_rate(entry_rate=[0.3, 0.5, 0.7], speed=[20.2, 20.0, 19.8])
    >>> round(reading.slope, 6)
    -1.0
    """
    rates = np.asarray(entry_rate, dtype=float)
    if rates.size < 3:
        raise InputError(
            where="stalls of one flight", found=f"{rates.size}", needed="at least 3", fix="fly 6 a flight"
        )
    try:
        fit = fit_linear(
            design=np.column_stack([np.ones_like(rates), rates - STANDARD_ENTRY_RATE]), values=speed
        )
    except InputError:
        if np.ptp(rates) > 0.0:
            raise
        raise InputError(
            where="stalls of one flight",
            found="entry rates all alike",
            needed="rates from 0.6 to 1.5 kt/s",
            fix="fly the rates of the card",
        ) from None
    errors = fit.standard_errors
    return RateReading(
        speed=float(fit.coefficients[0]),
        standard_error=float(errors[0]),
        slope=float(fit.coefficients[1]),
        slope_error=float(errors[1]),
        residual_deviation=fit.residual_deviation,
        degrees_of_freedom=fit.degrees_of_freedom,
    )
