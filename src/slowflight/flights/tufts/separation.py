"""Where the air lets go along the chord, station by station, between the last calm tuft and the next."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slowflight.errors import InputError
from slowflight.flights.tufts.plan import Tuft
from slowflight.flights.tufts.scores import Scores
from slowflight.flights.tufts.states import ATTACHED, REVERSED, STATES, UNSEEN

STEP = 1852.0 / 3600.0  # width of a speed class [m/s], one knot
LEAST_SEEN = 2  # tufts of a station


@dataclass(frozen=True, kw_only=True)
class SeparationPoint:
    """One station at one speed.

    Parameters
    ----------
    letter : str
        Of the station.
    span_station : float
        From the centerline [m].
    speed : float
        Calibrated, at 1 g and reference mass [m/s].
    forward, aft : float or None
        Reversed flow begins between these two [chords]; forward is 0 where even the foremost tuft is
        reversed. Both None where no reversal reaches the last tuft.
    unsteady_from : float or None
        The foremost tuft of the calm or uncalm ones behind which none is attached [chords].
    last : float
        The last tuft that was seen [chords]: nothing is known behind it.
    """

    letter: str
    span_station: float
    speed: float
    forward: float | None
    aft: float | None
    unsteady_from: float | None
    last: float


def by_speed(
    scores: Scores, speeds: Mapping[float, float], *, step: float = STEP
) -> dict[float, dict[str, str]]:
    """Sort scores into classes of speed: one state for each tuft in each class.

    Parameters
    ----------
    scores : mapping
        As `Scores`.
    speeds : mapping of float to float
        Calibrated speed at 1 g and reference mass [m/s] by time from the first frame [s]; NaN where it is
        not known.
    step : float, optional
        Width of a class [m/s].

    Returns
    -------
    dict
        States by tuft, by speed of the middle of the class [m/s], fastest first. Of several windows in a
        class the commonest state counts, and of two as common the worse.
    """
    found: dict[float, dict[str, list[str]]] = {}
    for (time, tuft), state in scores.items():
        speed = speeds.get(time, math.nan)
        if math.isfinite(speed) and state != UNSEEN:
            middle = step * round(speed / step)
            found.setdefault(middle, {}).setdefault(tuft, []).append(state)
    return {
        speed: {tuft: _commonest(states) for tuft, states in found[speed].items()}
        for speed in sorted(found, reverse=True)
    }


def separation_points(
    states: Mapping[float, Mapping[str, str]], tufts: Sequence[Tuft]
) -> tuple[SeparationPoint, ...]:
    """Find where reversal begins at each station and speed.

    Parameters
    ----------
    states : mapping
        From `by_speed`.
    tufts : sequence of Tuft
        The plan.

    Returns
    -------
    tuple of SeparationPoint
        Fastest first, each speed from the root outward; stations of which fewer than two tufts were seen are
        left out.

    Raises
    ------
    InputError
        Where a tuft is not in the plan.

    Notes
    -----
    Separation that counts reaches the trailing edge: the foremost reversed tuft behind which every tuft that
    was seen is reversed. A reversed tuft between calm ones is a bubble or a tangled tuft and moves nothing.
    """
    known = {one.name: one for one in tufts}
    strangers = sorted({name for each in states.values() for name in each if name not in known})
    if strangers:
        raise InputError(
            where="tufts",
            found=f"tuft {strangers[0]!r}",
            needed="tufts of the plan",
            fix="names are a letter and a number, as in the plan",
        )
    found = []
    for speed, each in states.items():
        stations: dict[str, list[Tuft]] = {}
        for name in each:
            stations.setdefault(name.rstrip("0123456789"), []).append(known[name])
        for letter, group in sorted(stations.items(), key=lambda item: item[1][0].span_station):
            if len(group) < LEAST_SEEN:
                continue
            group.sort(key=lambda one: one.station)
            chain = [each[one.name] for one in group]
            reversed_from = _from(chain, (REVERSED,))
            uncalm_from = _from(chain, tuple(state for state in STATES if state != ATTACHED))
            found.append(
                SeparationPoint(
                    letter=letter,
                    span_station=group[0].span_station,
                    speed=speed,
                    forward=None
                    if reversed_from is None
                    else group[reversed_from - 1].station
                    if reversed_from
                    else 0.0,
                    aft=None if reversed_from is None else group[reversed_from].station,
                    unsteady_from=None if uncalm_from is None else group[uncalm_from].station,
                    last=group[-1].station,
                )
            )
    return tuple(found)


def first_to_separate(points: Sequence[SeparationPoint]) -> SeparationPoint | None:
    """Return the fastest point with reversed flow, of several the one furthest forward; None without any."""
    apart = [one for one in points if one.aft is not None]
    return min(apart, key=lambda one: (-one.speed, one.aft or 0.0), default=None)


def _from(chain: Sequence[str], states: tuple[str, ...]) -> int | None:
    """Index of the foremost tuft behind which all are in these states, or None."""
    start = len(chain)
    while start and chain[start - 1] in states:
        start -= 1
    return None if start == len(chain) else start


def _commonest(states: Sequence[str]) -> str:
    counted = Counter(states)
    return max(counted, key=lambda state: (counted[state], STATES.index(state)))
