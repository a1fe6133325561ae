"""Two groups of independent numbers: their difference with a band, by the t distribution.

The numbers are flights, not stalls: one number a flight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import stats

from slowflight.errors import InputError

SOURCES = ("Welch1947", "Hedges1981")


@dataclass(frozen=True, kw_only=True)
class TDifference:
    """A difference and how well it is known.

    Parameters
    ----------
    value : float
        First mean less second, in the unit of the numbers.
    standard_error : float
        Of the value.
    degrees_of_freedom : float
        For Student's t.
    """

    value: float
    standard_error: float
    degrees_of_freedom: float

    @property
    def t(self) -> float:
        """Value over its standard error."""
        return self.value / self.standard_error

    @property
    def p(self) -> float:
        """Two-sided probability of as large a t where nothing differs."""
        return float(2.0 * stats.t.sf(abs(self.t), self.degrees_of_freedom))

    def band(self, level: float) -> tuple[float, float]:
        """Return the two-sided band that holds with probability `level`."""
        half = float(stats.t.ppf(0.5 + 0.5 * level, self.degrees_of_freedom)) * self.standard_error
        return self.value - half, self.value + half


def welch(first: npt.ArrayLike, second: npt.ArrayLike) -> TDifference:
    """Compare two means whose groups may scatter differently.

    Parameters
    ----------
    first, second : array_like, shapes (n,) and (m,)
        At least two numbers each, one a flight.

    Returns
    -------
    TDifference

    Raises
    ------
    InputError
        Where a group has fewer than two numbers, or nothing scatters.

    Notes
    -----
    Degrees of freedom by Welch (1947) and Satterthwaite.
    """
    a, b = _groups(first, second)
    va, vb = float(a.var(ddof=1)) / a.size, float(b.var(ddof=1)) / b.size
    _refuse_still(va + vb)
    return TDifference(
        value=float(a.mean() - b.mean()),
        standard_error=math.sqrt(va + vb),
        degrees_of_freedom=(va + vb) ** 2 / (va**2 / (a.size - 1) + vb**2 / (b.size - 1)),
    )


def alike_scatter(first: npt.ArrayLike, second: npt.ArrayLike) -> TDifference:
    """Compare two means whose groups scatter alike; parameters and errors as for `welch`."""
    a, b = _groups(first, second)
    spare = a.size + b.size - 2
    pooled = ((a.size - 1) * float(a.var(ddof=1)) + (b.size - 1) * float(b.var(ddof=1))) / spare
    _refuse_still(pooled)
    return TDifference(
        value=float(a.mean() - b.mean()),
        standard_error=math.sqrt(pooled * (1.0 / a.size + 1.0 / b.size)),
        degrees_of_freedom=float(spare),
    )


def paired(first: npt.ArrayLike, second: npt.ArrayLike) -> TDifference:
    """Compare numbers that belong together in pairs, flown in one block of weight, time and pilot.

    Parameters
    ----------
    first, second : array_like, shape (n,)
        In the same order.

    Returns
    -------
    TDifference

    Raises
    ------
    InputError
        Where the groups differ in length, or as for `welch`.
    """
    a, b = _groups(first, second)
    if a.size != b.size:
        raise InputError(where="pairs", found=f"{a.size} and {b.size}", needed="as many of each")
    each = a - b
    _refuse_still(float(each.var(ddof=1)))
    return TDifference(
        value=float(each.mean()),
        standard_error=float(each.std(ddof=1)) / math.sqrt(each.size),
        degrees_of_freedom=float(each.size - 1),
    )


def effect_size(first: npt.ArrayLike, second: npt.ArrayLike) -> float:
    """Return the difference in standard deviations, with Hedges' correction for small groups.

    Parameters
    ----------
    first, second : array_like
        As for `welch`.

    Returns
    -------
    float
        Hedges (1981), correction ``1 - 3/(4 (n + m) - 9)``.
    """
    a, b = _groups(first, second)
    found = alike_scatter(a, b)
    deviation = found.standard_error / math.sqrt(1.0 / a.size + 1.0 / b.size)
    return found.value / deviation * (1.0 - 3.0 / (4.0 * (a.size + b.size) - 9.0))


def _groups(
    first: npt.ArrayLike, second: npt.ArrayLike
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    if min(a.size, b.size) < 2:
        raise InputError(
            where="comparison", found=f"{a.size} and {b.size} flights", needed="at least two on each side"
        )
    return a, b


def _refuse_still(variance: float) -> None:
    if not variance > 0.0:
        raise InputError(
            where="comparison",
            found="numbers without any scatter",
            needed="measured numbers",
            fix="check them",
        )
