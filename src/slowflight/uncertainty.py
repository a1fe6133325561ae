"""A number with its band: how low and how high it may be, and where that comes from.

Half-bands that have nothing to do with each other add as the root of the sum of their squares, each side for
itself, because a band of this trade is rarely as wide upward as downward. Method: ISO/IEC Guide 98-3 (GUM),
clause 5.1, with the partial derivatives taken as differences at the ends of each input's band. Where a
function has a kink, as the larger of two speeds has, distributions are carried through it instead, as the
guide's first supplement does (JCGM 101:2008).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from slowflight.errors import RangeError

SOURCES = ("GUM2008",)
COVERED = 0.90  # of what a band is taken to hold where distributions are carried through
SAMPLES = 101  # of each input, equally likely: to 0.05 half-bands on the larger of two numbers


@dataclass(frozen=True, kw_only=True)
class Banded:
    """A value, how low and how high it may be, and why.

    Parameters
    ----------
    value : float
        Best single number, in any unit.
    low, high : float
        Ends of the band, ``low <= value <= high``, in the same unit.
    why : tuple of str
        Where the band comes from, one remark for each cause.

    Raises
    ------
    RangeError
        Where a number is not finite or the value lies outside its own band.
    """

    value: float
    low: float
    high: float
    why: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not all(math.isfinite(number) for number in (self.value, self.low, self.high)):
            raise RangeError(
                where="band", found=f"{self.low}, {self.value}, {self.high}", needed="three finite numbers"
            )
        if not self.low <= self.value <= self.high:
            raise RangeError(
                where="band",
                found=f"{self.value} in {self.low} to {self.high}",
                needed="low <= value <= high",
            )

    @property
    def below(self) -> float:
        """Half-band on the low side."""
        return self.value - self.low

    @property
    def above(self) -> float:
        """Half-band on the high side."""
        return self.high - self.value

    def overlaps(self, other: Banded) -> bool:
        """Whether the two bands have a number in common."""
        return self.low <= other.high and other.low <= self.high


def exactly(value: float) -> Banded:
    """Return a value without a band, such as a constant of definition."""
    return Banded(value=value, low=value, high=value)


def plus_minus(value: float, half: float, *, why: str) -> Banded:
    """Return a value with the same half-band on both sides.

    Parameters
    ----------
    value, half : float
        The number and its half-band, in one unit; the half-band's sign does not matter.
    why : str
        Where the band comes from.

    Returns
    -------
    Banded

    Examples
    --------
    >>> plus_minus(18.0, 1.0, why="reading").high
    19.0
    """
    return Banded(value=value, low=value - abs(half), high=value + abs(half), why=(why,))


def combined(value: float, *bands: Banded) -> Banded:
    """Put the half-bands of several independent causes round one value.

    Parameters
    ----------
    value : float
        The number in question.
    *bands : Banded
        Each as one cause alone would have it; only the half-bands count, measured from each band's own value.

    Returns
    -------
    Banded
        Half-bands are the root of the sum of squares, each side for itself; the reasons in order, each once.

    Examples
    --------
    >>> round(combined(10.0, plus_minus(10.0, 3.0, why="a"), plus_minus(10.0, 4.0, why="b")).low, 9)
    5.0
    """
    below = math.hypot(*(band.below for band in bands))
    above = math.hypot(*(band.above for band in bands))
    return Banded(value=value, low=value - below, high=value + above, why=_reasons(bands))


def difference(minuend: Banded, subtrahend: Banded) -> Banded:
    """Subtract two independent values.

    Errors that both share (the same model, the same weight) cancel in truth; for those band the difference
    itself rather than call this.

    Examples
    --------
    >>> gain = difference(plus_minus(5.0, 0.3, why="a"), plus_minus(3.0, 0.4, why="b"))
    >>> round(gain.low, 9), round(gain.high, 9)
    (1.5, 2.5)
    """
    value = minuend.value - subtrahend.value
    below = math.hypot(minuend.below, subtrahend.above)
    above = math.hypot(minuend.above, subtrahend.below)
    return Banded(value=value, low=value - below, high=value + above, why=_reasons((minuend, subtrahend)))


def propagated(function: Callable[..., float], **inputs: Banded) -> Banded:
    """Carry the bands of independent inputs through a function.

    Each input is moved alone to both ends of its band; what that does to the result is one cause's half-band,
    on the side on which it does it. Exact for a sum; good where the function bends little across a band.

    Parameters
    ----------
    function : callable
        Called with one float for each input, by keyword.
    **inputs : Banded
        The inputs by the function's own names.

    Returns
    -------
    Banded

    Examples
    --------
    >>> propagated(lambda a, b: a - b, a=exactly(3.0), b=plus_minus(1.0, 0.5, why="b")).high
    2.5
    """
    middle = {name: band.value for name, band in inputs.items()}
    value = function(**middle)
    moved = []
    for name, band in inputs.items():
        ends = [function(**{**middle, name: end}) for end in (band.low, band.high)]
        moved.append(Banded(value=value, low=min(value, *ends), high=max(value, *ends), why=band.why))
    return combined(value, *moved)


def carried(function: Callable[..., np.ndarray], **inputs: Banded) -> Banded:
    """Carry the distributions of a few independent inputs through a function that may have kinks.

    Each input is taken as normal on each side of its value, with 5 % beyond either end of its band. The
    function is worked out for every combination of equally likely values of each; the 5 and 95 % points of
    the results are the band.

    Parameters
    ----------
    function : callable
        Called with one array for each input, by keyword; works point by point.
    **inputs : Banded
        At most three, by the function's own names.

    Returns
    -------
    Banded
        The value is the function of the inputs' values, kept inside the band.

    Notes
    -----
    Propagation of distributions after JCGM 101:2008, clauses 5 to 7, on an even grid instead of random draws
    so that the same inputs give the same band.

    Examples
    --------
    >>> both = {name: plus_minus(40.0, 2.0, why=name) for name in ("gear", "wing")}
    >>> found = carried(lambda gear, wing: np.maximum(gear, wing), **both)
    >>> round(found.low, 1), found.value, round(found.high, 1)
    (39.1, 40.0, 42.4)
    """
    sides = {name: _equally_likely(band) for name, band in inputs.items()}
    grids = np.meshgrid(*sides.values(), indexing="ij")
    results = np.asarray(function(**dict(zip(sides, grids, strict=True))), dtype=np.float64)
    value = float(np.asarray(function(**{name: np.array(band.value) for name, band in inputs.items()})))
    low, high = np.quantile(results, [0.5 - 0.5 * COVERED, 0.5 + 0.5 * COVERED], method="hazen")
    return Banded(
        value=value,
        low=min(value, float(low)),
        high=max(value, float(high)),
        why=_reasons(tuple(inputs.values())),
    )


def _equally_likely(band: Banded) -> np.ndarray:
    """Values in the middle of equal shares of probability, shape (SAMPLES,), or (1,) without a band."""
    if band.low == band.high:
        return np.array([band.value])
    standard = NormalDist()
    reach = standard.inv_cdf(0.5 + 0.5 * COVERED)
    at = np.array([standard.inv_cdf((k + 0.5) / SAMPLES) for k in range(SAMPLES)]) / reach
    return band.value + np.where(at < 0.0, band.below, band.above) * at


def _reasons(bands: tuple[Banded, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(reason for band in bands for reason in band.why))
