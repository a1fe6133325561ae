"""One line a pilot can say aloud: the gain, its likely range, and the odds that it is worth having."""

from __future__ import annotations

import math

from slowflight import units
from slowflight.flights.statistics.gain import Gain

LIKELY = 0.90


def headline(gain: Gain, *, threshold: float, unit: str = "kt") -> str:
    """Put a gain in words.

    Parameters
    ----------
    gain : Gain
        As measured.
    threshold : float
        What it has to beat [m/s].
    unit : str, optional
        kt, mph, km/h or m/s.

    Returns
    -------
    str
        Such as ``gain 1.4 kt, likely 0.2 to 2.6; 7 in 10 that it beats 1 kt``. 'Likely' is the 90 % band.
    """
    low, high = gain.band(LIKELY)
    likely = f"{_tenth(low, unit)} to {_tenth(high, unit)}"
    beats = f"{odds(gain.probability_above(threshold))} that it beats {_short(threshold, unit)} {unit}"
    if gain.value >= 0.0:
        return f"gain {_tenth(gain.value, unit)} {unit}, likely {likely}; {beats}"
    return f"loss {_tenth(-gain.value, unit)} {unit} (the stall is faster), likely gain {likely}; {beats}"


def odds(probability: float) -> str:
    """Say a probability as odds that promise no more than it.

    Parameters
    ----------
    probability : float
        0 to 1.

    Returns
    -------
    str
        Tenths rounded down, such as ``7 in 10``.
    """
    if probability >= 0.99:
        return "more than 99 in 100"
    if probability >= 0.95:
        return "more than 19 in 20"
    tenths = math.floor(10.0 * probability + 1e-9)
    return f"{tenths} in 10" if tenths else "less than 1 in 10"


def _tenth(speed: float, unit: str) -> str:
    return units.format_speed(speed, unit, decimals=1).split(" ")[0]


def _short(speed: float, unit: str) -> str:
    return f"{units.express(speed, unit):.3g}"
