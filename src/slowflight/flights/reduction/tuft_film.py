"""One film of tufts reduced: states by speed, where the air lets go, and how far the pictures are trusted."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from slowflight.errors import InputError, SlowflightError
from slowflight.flights.book.entries import FlightEntry, TuftFilm
from slowflight.flights.reduction.film_track import FilmTrack, film_track
from slowflight.flights.reduction.flown import AircraftFacts
from slowflight.flights.reduction.one_flight import ReducedFlight
from slowflight.flights.tufts.film import Film, film_scores, read_film
from slowflight.flights.tufts.frames import frames_of
from slowflight.flights.tufts.in_picture import TuftInPicture, read_places
from slowflight.flights.tufts.plan import Tuft
from slowflight.flights.tufts.scores import Confusion, compare_scores, read_scores
from slowflight.flights.tufts.separation import SeparationPoint, by_speed, separation_points
from slowflight.flights.tufts.states import UNSEEN

APART = 1.0 / 16.0  # frames closer together tell nothing new of a tuft [s]


@dataclass(frozen=True, kw_only=True, eq=False)
class ReducedFilm:
    """A film and what came of it.

    Parameters
    ----------
    entry : TuftFilm
    problem : str
        Why nothing could be made of it; "" where something could.
    places : tuple of TuftInPicture
        Empty where they were not written down yet.
    film : Film or None
        What the pictures showed.
    track : FilmTrack or None
        The flight at each frame that was read.
    scores : mapping
        State by window and tuft; the eye's where there is one, else the pictures'.
    states : mapping
        State by speed and tuft.
    points : tuple of SeparationPoint
    confusion : Confusion or None
        Where it was scored by eye too.
    """

    entry: TuftFilm
    problem: str = ""
    places: tuple[TuftInPicture, ...] = ()
    film: Film | None = None
    track: FilmTrack | None = None
    scores: Mapping[tuple[float, str], str] = field(default_factory=dict)
    states: Mapping[float, Mapping[str, str]] = field(default_factory=dict)
    points: tuple[SeparationPoint, ...] = ()
    confusion: Confusion | None = None

    def frame_at(self, speed: float) -> int | None:
        """Return the number of the frame at a speed on the way down [m/s], or None where it was not flown.

        The first time that the smoothed speed falls to it counts: behind the stall speeds come again.
        """
        if self.film is None or self.track is None:
            return None
        known = np.flatnonzero(np.isfinite(self.track.speed))
        if known.size < 2:
            return None
        speeds = self.track.speed[known]
        fastest, slowest = int(np.argmax(speeds)), int(np.argmin(speeds))
        if fastest > slowest:
            fastest = 0
        way = speeds[fastest : slowest + 1]
        below = np.flatnonzero(way <= speed)
        if not below.size or speed > way[0] + 1e-9:
            return None
        at = int(below[0])
        if at and abs(way[at - 1] - speed) < abs(way[at] - speed):
            at -= 1
        return self.film.numbers[int(known[fastest + at])]

    def window_of(self, time: float) -> float:
        """Return the middle of the window that a time is in [s]; NaN without any."""
        middles = {key[0] for key in self.scores}
        return min(middles, key=lambda middle: abs(middle - time), default=math.nan)


def reduce_film(
    entry: TuftFilm,
    flight_entry: FlightEntry,
    flight: ReducedFlight,
    plan: Sequence[Tuft],
    *,
    facts: AircraftFacts,
    told: Callable[[int], None] = lambda _: None,
) -> ReducedFilm:
    """Reduce one film.

    Parameters
    ----------
    entry : TuftFilm
        From the book.
    flight_entry : FlightEntry
        Of the flight in which it was taken.
    flight : ReducedFlight
        The same, reduced, with its calibrations.
    plan : sequence of Tuft
        Where the tufts are on the wing.
    facts : AircraftFacts
        Of the aircraft.
    told : callable, optional
        Gets the number of each frame read.

    Returns
    -------
    ReducedFilm
        A film that cannot be used says why in `problem`; the others go on.
    """
    if entry.places is None:
        return ReducedFilm(
            entry=entry, problem="nobody has said where its tufts are in the picture yet", places=()
        )
    try:
        places = read_places(entry.places)
        _refuse_strangers(places, plan, where=str(entry.places))
        film = read_film(
            frames_of(entry.frames, rate=entry.rate, apart=APART), places, yarn=entry.yarn, told=told
        )
        by_picture = film_scores(film)
        by_eye = {} if entry.scores is None else read_scores(entry.scores)
        track = film_track(entry, flight_entry, flight, film.times, facts=facts)
        scores = _together(by_eye, by_picture)
        middles = sorted({time for time, _ in scores})
        states = by_speed(scores, dict(zip(middles, _speeds(film, track, middles), strict=True)))
        return ReducedFilm(
            entry=entry,
            places=places,
            film=film,
            track=track,
            scores=scores,
            states=states,
            points=separation_points(states, plan),
            confusion=compare_scores(by_eye, by_picture) if by_eye else None,
        )
    except SlowflightError as error:
        return ReducedFilm(entry=entry, problem=str(error))
    except OSError as error:
        return ReducedFilm(entry=entry, problem=f"{entry.frames}: {error.strerror or error}")


def _refuse_strangers(places: Sequence[TuftInPicture], plan: Sequence[Tuft], *, where: str) -> None:
    known = {tuft.name for tuft in plan}
    stranger = next((one.name for one in places if one.name not in known), None)
    if stranger is not None:
        raise InputError(
            where=where,
            found=f"tuft {stranger!r}",
            needed="tufts of the plan, a letter for the station and a number for the row",
            fix="see flights/tufts/plan.csv; [tuft_plan] in flights.toml changes it",
        )


def _together(
    by_eye: Mapping[tuple[float, str], str], by_picture: Mapping[tuple[float, str], str]
) -> dict[tuple[float, str], str]:
    """The pictures' states, and the eye's in place of those of the same window."""
    found = dict(by_picture)
    times = sorted({time for time, _ in by_picture})
    for (time, tuft), state in by_eye.items():
        nearest = min(times, key=lambda other: abs(other - time), default=time)
        key = (nearest if abs(nearest - time) <= 0.26 else time, tuft)
        if state != UNSEEN or key not in found:
            found[key] = state
    return found


def _speeds(film: Film, track: FilmTrack, middles: Sequence[float]) -> list[float]:
    known = np.isfinite(track.speed)
    if np.count_nonzero(known) < 2:
        return [math.nan] * len(middles)
    found = np.interp(middles, film.times[known], track.speed[known], left=math.nan, right=math.nan)
    # The first and last windows reach half a window beyond their frames.
    ends = (film.times[known][0], film.times[known][-1])
    return [
        float(track.speed[known][0 if middle < ends[0] else -1])
        if not math.isfinite(value) and min(abs(middle - end) for end in ends) <= 0.3
        else float(value)
        for middle, value in zip(middles, found.tolist(), strict=True)
    ]
