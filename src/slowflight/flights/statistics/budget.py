"""An uncertainty budget: what is not known, how much each part weighs, and what cancels in a difference.

Source of the rules: ISO/IEC Guide 98-3 (GUM), clauses 4.3 and 5.1, annex G.4.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy import stats

from slowflight.errors import InputError, RangeError

SOURCES = ("GUM2008",)

# By what a half-width is divided to become a standard uncertainty.
DIVISORS = {"standard": 1.0, "two sigma": 2.0, "rectangular": math.sqrt(3.0), "triangular": math.sqrt(6.0)}


@dataclass(frozen=True, kw_only=True)
class Term:
    """One thing that is not exactly known.

    Parameters
    ----------
    name : str
        In a pilot's words.
    half_width : float
        How far off it may be, in its own unit, as `distribution` means it.
    distribution : str
        ``"standard"`` (one standard uncertainty), ``"two sigma"``, ``"rectangular"`` or ``"triangular"``.
    sensitivity : float
        Change of the result for one unit of it.
    degrees_of_freedom : float
        How well the half-width itself is known; infinite where it is a firm limit.
    shared : bool
        Whether it is the same error before and after, so that a difference does not feel it.
    """

    name: str
    half_width: float
    distribution: str = "standard"
    sensitivity: float = 1.0
    degrees_of_freedom: float = math.inf
    shared: bool = False

    def __post_init__(self) -> None:
        if self.distribution not in DIVISORS:
            raise InputError(
                where=f"budget, {self.name}",
                found=f"distribution {self.distribution!r}",
                needed=f"one of {', '.join(DIVISORS)}",
            )
        if not (math.isfinite(self.half_width) and self.half_width >= 0.0 and self.degrees_of_freedom > 0.0):
            raise RangeError(
                where=f"budget, {self.name}",
                found=f"half-width {self.half_width}, degrees of freedom {self.degrees_of_freedom}",
                needed="a half-width of 0 or more and degrees of freedom above 0",
            )

    @property
    def contribution(self) -> float:
        """Its standard uncertainty in the result's unit."""
        return abs(self.sensitivity) * self.half_width / DIVISORS[self.distribution]


@dataclass(frozen=True, kw_only=True)
class Budget:
    """A result's uncertainty and where it comes from.

    Parameters
    ----------
    standard_uncertainty : float
        Root of the sum of the squares, in the result's unit.
    degrees_of_freedom : float
        Effective, by Welch and Satterthwaite.
    terms : tuple of Term
        What counts, the weightiest first.
    canceled : tuple of Term
        What a difference does not feel.
    """

    standard_uncertainty: float
    degrees_of_freedom: float
    terms: tuple[Term, ...]
    canceled: tuple[Term, ...]

    def half_band(self, level: float) -> float:
        """Return the half-width of a two-sided band that holds with probability `level`."""
        return factor(level, self.degrees_of_freedom) * self.standard_uncertainty


def absolute(terms: Sequence[Term]) -> Budget:
    """Combine the terms of one value by itself.

    Parameters
    ----------
    terms : sequence of Term
        Independent of each other.

    Returns
    -------
    Budget

    Examples
    --------
    >>> three_four = (Term(name="a", half_width=3.0), Term(name="b", half_width=4.0))
    >>> absolute(three_four).standard_uncertainty
    5.0
    """
    return _combined(tuple(terms), ())


def of_difference(terms: Sequence[Term]) -> Budget:
    """Combine the terms of a difference: those that both values share cancel.

    Parameters
    ----------
    terms : sequence of Term
        Each as it acts on the difference; shared ones with the size they have in one value.

    Returns
    -------
    Budget
    """
    return _combined(
        tuple(term for term in terms if not term.shared), tuple(term for term in terms if term.shared)
    )


def factor(level: float, degrees_of_freedom: float) -> float:
    """Return the coverage factor of a two-sided band.

    Parameters
    ----------
    level : float
        Such as 0.95.
    degrees_of_freedom : float
        May be infinite.

    Returns
    -------
    float
        Quantile of Student's t, or of the normal distribution.
    """
    share = 0.5 + 0.5 * level
    if math.isinf(degrees_of_freedom):
        return float(stats.norm.ppf(share))
    return float(stats.t.ppf(share, degrees_of_freedom))


def _combined(terms: tuple[Term, ...], canceled: tuple[Term, ...]) -> Budget:
    parts = [term.contribution for term in terms]
    total = math.hypot(*parts)
    lost = (
        sum((part / total) ** 4 / term.degrees_of_freedom for part, term in zip(parts, terms, strict=True))
        if total
        else 0.0
    )
    ordered = sorted(terms, key=lambda term: term.contribution, reverse=True)
    return Budget(
        standard_uncertainty=total,
        degrees_of_freedom=1.0 / lost if lost > 0.0 else math.inf,
        terms=tuple(ordered),
        canceled=canceled,
    )
