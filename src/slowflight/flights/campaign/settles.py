"""What a number of flights can settle, before any is flown: all error included, by the verdict's own rule."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import optimize, stats

from slowflight import units
from slowflight.flights.statistics.budget import Term, of_difference
from slowflight.flights.statistics.gain import FEWEST_FREEDOM
from slowflight.flights.statistics.headline import odds
from slowflight.flights.statistics.power import error_of_difference
from slowflight.flights.statistics.scatter import ASSUMED_FREEDOM, Scatter
from slowflight.flights.statistics.speed_rule import SpeedRule

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(120)
_KNOT = units.speed("1 kt", where="plan")
GOOD_CHANCE = 0.8


@dataclass(frozen=True, kw_only=True)
class Chances:
    """How probably the speeds come out each way.

    Parameters
    ----------
    shown, absent : float
        That the gain is shown, and that it is dismissed.
    """

    shown: float
    absent: float

    @property
    def open(self) -> float:
        """That more flights will be asked for."""
        return 1.0 - self.shown - self.absent


@dataclass(frozen=True, kw_only=True)
class PlanRow:
    """What so many flights on each side can settle.

    Parameters
    ----------
    flights, stalls : int
        On each side, and in each flight.
    half_band : float
        Expected half-width of the 90 % band of the gain [m/s].
    smallest_gain : float or None
        True gain that will be shown four times in five [m/s]; None where none will.
    shown_at : tuple of (float, float)
        Pairs of true gain [m/s] and the chance that it is shown.
    dismissed_at_none : float
        Chance that vanes which do nothing are dismissed.
    words : str
        The row in words.
    """

    flights: int
    stalls: int
    half_band: float
    smallest_gain: float | None
    shown_at: tuple[tuple[float, float], ...]
    dismissed_at_none: float
    words: str


def chances(
    gain: float,
    *,
    flights: int,
    stalls: int,
    scatter: Scatter,
    terms: Sequence[Term],
    rule: SpeedRule,
) -> Chances:
    """Return how probably a true gain will be shown or dismissed.

    Parameters
    ----------
    gain : float
        True fall of stall speed [m/s].
    flights, stalls : int
        Flights on each side and stalls in each.
    scatter : Scatter
        From flight to flight and within one [m/s].
    terms : sequence of Term
        What else is not known [m/s]; its error is drawn once for the whole campaign.
    rule : SpeedRule
        Of the verdict.

    Returns
    -------
    Chances

    Notes
    -----
    The scatter that the flights will happen to show is integrated over (chi-square); given it, the band and
    its degrees of freedom follow by Welch and Satterthwaite and the rest is the normal distribution.
    """
    true_error = error_of_difference(
        flights=flights, stalls=stalls, between=scatter.between, within=scatter.within
    )
    other = of_difference(terms).standard_uncertainty
    freedom = 2 * flights - 2
    if freedom < FEWEST_FREEDOM:
        seen, freedom_used = np.array([1.0]), ASSUMED_FREEDOM
        weights = np.array([1.0])
    else:
        seen = np.sqrt(stats.chi2.ppf(0.5 + 0.5 * _NODES, freedom) / freedom)
        freedom_used, weights = float(freedom), 0.5 * _WEIGHTS
    spread = math.hypot(true_error, other)
    error = seen * true_error
    uncertainty = np.hypot(error, other)
    # Infinite where the flights add nothing: scipy's t is the normal distribution there.
    effective = freedom_used * (uncertainty / np.maximum(error, 1e-12 * uncertainty)) ** 4
    shown = absent = 0.0
    if flights >= rule.fewest_to_show:
        bound = rule.worth_having + stats.t.ppf(rule.needed, effective) * uncertainty
        bound = np.maximum(bound, stats.t.ppf(0.5 + 0.5 * rule.clear_level, effective) * uncertainty)
        shown = float(weights @ stats.norm.sf((bound - gain) / spread))
    if flights >= rule.fewest_to_dismiss:
        bound = rule.worth_having - stats.t.ppf(1.0 - rule.absent_below, effective) * uncertainty
        absent = float(weights @ stats.norm.cdf((bound - gain) / spread))
    return Chances(shown=shown, absent=absent)


def what_flights_settle(
    *,
    scatter: Scatter,
    terms: Sequence[Term],
    rule: SpeedRule,
    stalls: int = 6,
    flights: Sequence[int] = (1, 2, 3, 4),
    gains: Sequence[float] = (1.0 * _KNOT, 2.0 * _KNOT, 3.0 * _KNOT),
    unit: str = "kt",
) -> tuple[PlanRow, ...]:
    """Say what each number of flights a side can settle.

    Parameters
    ----------
    scatter : Scatter
        Assumed, or the owner's own from `baseline_scatter`.
    terms, rule : as for `chances`
        What else is not known, and the verdict's rule.
    stalls : int, optional
        In each flight.
    flights : sequence of int, optional
        Numbers of flights on each side.
    gains : sequence of float, optional
        True gains to give the chances of [m/s].
    unit : str, optional
        For the words.

    Returns
    -------
    tuple of PlanRow
    """
    return tuple(
        _row(count, stalls=stalls, scatter=scatter, terms=terms, rule=rule, gains=gains, unit=unit)
        for count in flights
    )


def _row(
    count: int,
    *,
    stalls: int,
    scatter: Scatter,
    terms: Sequence[Term],
    rule: SpeedRule,
    gains: Sequence[float],
    unit: str,
) -> PlanRow:
    def of(gain: float) -> Chances:
        return chances(gain, flights=count, stalls=stalls, scatter=scatter, terms=terms, rule=rule)

    error = error_of_difference(flights=count, stalls=stalls, between=scatter.between, within=scatter.within)
    freedom = 2 * count - 2
    expected = of_difference(
        (
            Term(
                name="flights",
                half_width=error,
                degrees_of_freedom=float(freedom) if freedom >= FEWEST_FREEDOM else ASSUMED_FREEDOM,
            ),
            *terms,
        )
    ).half_band(0.90)
    top = rule.worth_having + 40.0 * _KNOT
    smallest = None
    if of(top).shown > GOOD_CHANCE:
        smallest = float(optimize.brentq(lambda gain: of(gain).shown - GOOD_CHANCE, 0.0, top))
    dismissed = of(0.0).absent
    side = f"{count} flight{'s' if count > 1 else ''} a side"
    half = units.format_speed(expected, unit)
    if smallest is None and dismissed == 0.0:
        words = f"{side}: a first look (about {half} either way); it settles nothing"
    elif smallest is None:
        words = (
            f"{side}: a look, not a test (about {half} either way); 'keep' cannot come of it, and vanes that"
            f" do nothing are dismissed {odds(dismissed)}"
        )
    else:
        words = (
            f"{side}: about {half} either way; a true gain of {units.format_speed(smallest, unit)} is shown"
            f" 8 in 10, and vanes that do nothing are dismissed {odds(dismissed)}"
        )
    return PlanRow(
        flights=count,
        stalls=stalls,
        half_band=expected,
        smallest_gain=smallest,
        shown_at=tuple((gain, of(gain).shown) for gain in gains),
        dismissed_at_none=dismissed,
        words=words,
    )
