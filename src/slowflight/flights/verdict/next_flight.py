"""Which flight would tell most next, and how many more it would take."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from slowflight import units
from slowflight.flights.campaign.settles import GOOD_CHANCE, chances
from slowflight.flights.statistics.budget import Term, of_difference
from slowflight.flights.statistics.gain import FEWEST_FREEDOM, FLIGHTS_TERM, Gain
from slowflight.flights.statistics.scatter import ASSUMED_FREEDOM, WORSE_ASSUMED, Scatter
from slowflight.flights.statistics.speed_rule import SpeedRule
from slowflight.flights.statistics.stall_terms import AIR_NAME, POSITION_SHIFT_CALIBRATED, POSITION_SHIFT_NAME

MOST_FLIGHTS = 12
STALLS = 6


@dataclass(frozen=True, kw_only=True)
class NextFlight:
    """A flight to fly.

    Parameters
    ----------
    words : str
        What to fly, and why.
    half_band_now, half_band_then : float or None
        Half-width of the 90 % band of the gain before and after it [m/s], where it is flown for that.
    """

    words: str
    half_band_now: float | None = None
    half_band_then: float | None = None


def most_informative(gain: Gain, *, setting: str, unit: str = "kt") -> NextFlight:
    """Choose among one more flight of either side, a calibration near the stall, and a missing temperature.

    Parameters
    ----------
    gain : Gain
        So far.
    setting : str
        Flap setting, for the words.
    unit : str, optional
        For the words.

    Returns
    -------
    NextFlight
        The one that narrows the band most, by the same budget.
    """
    changed = gain.sets[1].configuration
    names = (
        f"fly one more {gain.sets[0].configuration} flight with stalls, {setting}",
        f"fly one more flight with {changed} and stalls, {setting}",
        "calibrate the airspeed near the stall, with and without vanes: legs against a satellite receiver at"
        " 1.05 to 1.3 times stall speed, power idle",
        "write the outside temperature of the flights into flights.toml, which takes no flight",
    )
    old, new = gain.flights
    now = _half_band(gain, old, new)
    options = (
        _half_band(gain, old + 1, new),
        _half_band(gain, old, new + 1),
        _half_band(gain, old, new, known=POSITION_SHIFT_NAME),
        _half_band(gain, old, new, known=AIR_NAME),
    )
    best = min(range(4), key=lambda number: options[number])
    shown = [units.format_speed(half, unit) for half in (now, options[best])]
    return NextFlight(
        words=f"{names[best]}: it narrows the band most, from {shown[0]} either way to about {shown[1]}",
        half_band_now=now,
        half_band_then=options[best],
    )


def flights_to_settle(gain: Gain, *, rule: SpeedRule) -> int | None:
    """Return how many flights a side, those flown included, would probably settle the speeds.

    Parameters
    ----------
    gain : Gain
        So far; its value is taken as true, its scatter too.
    rule : SpeedRule
        Of the verdict.

    Returns
    -------
    int or None
        The fewest that show or dismiss the gain four times in five; None where twelve do not.
    """
    terms = tuple(term for term in gain.budget.terms if term.name != FLIGHTS_TERM)
    scatter = _scatter(gain)
    for flights in range(max(min(gain.flights), 1) + 1, MOST_FLIGHTS + 1):
        found = chances(gain.value, flights=flights, stalls=STALLS, scatter=scatter, terms=terms, rule=rule)
        if max(found.shown, found.absent) >= GOOD_CHANCE:
            return flights
    return None


def _scatter(gain: Gain) -> Scatter:
    if gain.scatter_assumed:
        return WORSE_ASSUMED
    return Scatter(between=gain.between, within=gain.within, why="as flown")


def _half_band(gain: Gain, old: int, new: int, *, known: str = "") -> float:
    scatter = _scatter(gain)
    error = math.hypot(scatter.between, scatter.within / math.sqrt(STALLS)) * math.sqrt(1.0 / old + 1.0 / new)
    freedom = old + new - len(gain.sets)
    own = Term(
        name=FLIGHTS_TERM,
        half_width=error,
        degrees_of_freedom=float(freedom) if freedom >= FEWEST_FREEDOM else ASSUMED_FREEDOM,
    )
    return of_difference((own, *_others(gain.budget.terms, known))).half_band(0.90)


def _others(terms: Sequence[Term], known: str) -> list[Term]:
    found = []
    for term in terms:
        if term.name == FLIGHTS_TERM or known == term.name == AIR_NAME:
            continue
        if known == term.name == POSITION_SHIFT_NAME:
            narrower = min(term.half_width, POSITION_SHIFT_CALIBRATED)
            found.append(Term(name=term.name, half_width=narrower))
        else:
            found.append(term)
    return found
