"""Approach speed, as far as the flights say anything about it: late, from the upper limit, and calibrated."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from slowflight import units
from slowflight.flights.statistics.budget import Term, absolute
from slowflight.flights.statistics.gain import Gain
from slowflight.flights.statistics.stall_terms import absolute_terms
from slowflight.flights.verdict.judge import KEEP, FlightVerdict

SOURCES = ("CFR23stall", "GUM2008")

LANDINGS_AS_BEFORE = 10  # common practice, no source
APPROACH_FACTOR = 1.3  # 14 CFR 23.73 (Amendment 23-62)


@dataclass(frozen=True, kw_only=True)
class ApproachAdvice:
    """What may be said about the approach.

    Parameters
    ----------
    calibrated, indicated : float or None
        Speed to fly [m/s], where one follows.
    words : str
        For the pilot.
    """

    calibrated: float | None
    indicated: float | None
    words: str


def upper_stall_speed(gain: Gain, *, level: float = 0.95) -> float:
    """Return the upper limit of the stall speed with vanes.

    Parameters
    ----------
    gain : Gain
        Of the landing setting.
    level : float, optional
        Of the two-sided band whose upper end is taken.

    Returns
    -------
    float
        Equivalent airspeed at reference mass [m/s]. By itself a stall speed is known worse than a difference:
        the errors that cancel there count here.
    """
    own = [one for one in gain.readings if one.configuration == gain.sets[1].configuration]
    mean = sum(one.speed for one in own) / len(own)
    stalls = sum(one.stalls for one in own)
    error = math.sqrt(gain.between**2 / len(own) + gain.within**2 / stalls)
    mass = sum(record.mass for record in gain.sets[1].stalls) / stalls
    scatter = Term(name="flights", half_width=error, degrees_of_freedom=max(float(len(own) - 1), 1.0))
    return mean + absolute((scatter, *absolute_terms(speed=mean, mass=mass))).half_band(level)


def approach_advice(
    verdict: FlightVerdict,
    gain: Gain,
    *,
    landings: int,
    present_indicated: float,
    indicated: Callable[[float], float | None],
    unit: str = "kt",
) -> ApproachAdvice:
    """Say what the flights allow to be said about the approach speed.

    Parameters
    ----------
    verdict : FlightVerdict
        Anything but 'keep' leaves the approach as it is.
    gain : Gain
        Of the landing setting.
    landings : int
        Flown with these vanes so far, at the present approach speed.
    present_indicated : float
        Approach speed flown now, as indicated [m/s].
    indicated : callable
        What the panel shows at a calibrated airspeed [m/s]; None where it is not calibrated there.
    unit : str, optional
        For the words.

    Returns
    -------
    ApproachAdvice
        A speed only after 'keep', ten landings and a calibration; 1.3 times the upper limit of the measured
        stall speed, never its mean.
    """
    now = units.format_speed(present_indicated, unit)
    if verdict.finding != KEEP:
        return _none(f"keep the present approach speed of {now} indicated: the verdict is not 'keep'")
    if landings < LANDINGS_AS_BEFORE:
        left = LANDINGS_AS_BEFORE - landings
        return _none(f"keep the present approach speed of {now} indicated for {left} more landings")
    calibrated = APPROACH_FACTOR * upper_stall_speed(gain)
    shown = indicated(calibrated)
    told = f"1.3 times the upper limit of the measured stall speed is {units.format_speed(calibrated, unit)}"
    told += " calibrated"
    if shown is None:
        return _none(
            f"{told}, but your panel is not calibrated there: keep the present approach speed of {now}"
            " indicated"
        )
    panel = f"{units.format_speed(shown, unit)} on your panel"
    if shown >= present_indicated:
        return _none(f"{told}, {panel}: no slower than the present {now}, which is no reason to fly slower")
    return ApproachAdvice(
        calibrated=calibrated,
        indicated=shown,
        words=f"{told}, {panel}: owner-measured, not approved; for the reference mass and calm air only",
    )


def _none(words: str) -> ApproachAdvice:
    return ApproachAdvice(calibrated=None, indicated=None, words=words)
