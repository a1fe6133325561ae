"""Pages and pictures of tufts: to place them, to score them by eye, to look at both sides at equal speed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from slowflight import units
from slowflight.errors import SlowflightError
from slowflight.flights.book.entries import AFTER, BEFORE
from slowflight.flights.reduction.tuft_film import ReducedFilm
from slowflight.flights.tufts.frames import frames_of
from slowflight.flights.tufts.plan import Tuft
from slowflight.flights.tufts.scores import tally
from slowflight.flights.tufts.separation import separation_points
from slowflight.flights.tufts.side_by_side import Half, side_by_side
from slowflight.flights.tufts.states import ATTACHED, KEYS, REVERSED, UNSEEN, UNSTEADY
from slowflight.flights.tufts.video import can_write_videos, write_video
from slowflight.report.tuft_page import write_place_page, write_score_page, write_tuft_page

STEP = 0.1 * 1852.0 / 3600.0  # of speed from frame to frame of the video [m/s]
MOST_SCORED = 30  # frames of a score page
MOST_SHOWN = 24  # pairs on the page
SAME_FLAP = 1.0  # [degrees]
FOLDER, VIDEO, PAGE = "side-by-side", "side-by-side.mp4", "tufts.html"


def write_tuft_pages(
    record: Mapping[str, Any], films: Sequence[ReducedFilm], plan: Sequence[Tuft], *, room: Path
) -> list[Path]:
    """Write every page and picture that the films allow.

    Parameters
    ----------
    record : mapping
        As `reduce_tufts` makes it.
    films : sequence of ReducedFilm
    plan : sequence of Tuft
    room : Path
        Folder for them.

    Returns
    -------
    list of Path
        What was written.
    """
    written: list[Path] = []
    for film in films:
        try:
            if film.entry.places is None:
                first = next(iter(frames_of(film.entry.frames, rate=film.entry.rate)))
                names = [one["tuft"] for one in record["plan"]["tufts"]]
                written.append(write_place_page(first.picture, names, name=film.entry.name, folder=room))
            elif not film.problem:
                written.append(
                    write_score_page(
                        _to_score(film),
                        [{"name": one.name, "base": one.base, "tip": one.tip} for one in film.places],
                        keys=KEYS,
                        name=film.entry.name,
                        folder=room,
                    )
                )
        except (SlowflightError, OSError, StopIteration):
            # The film itself says what is wrong with it.
            continue
    pair = _pair(films)
    shown: list[tuple[str, Image.Image]] = []
    if pair is not None:
        drawn = list(_drawn(pair, record, plan))
        if drawn:
            written += _kept(drawn, room)
            every = max(math.ceil(len(drawn) / MOST_SHOWN), 1)
            shown = drawn[::every]
    written.append(write_tuft_page(record, shown, file=room / PAGE))
    return written


def _to_score(film: ReducedFilm) -> list[tuple[float, Image.Image]]:
    """Frames in the middle of windows, spread over the film, with the window's time."""
    if film.film is None:
        return []
    middles = sorted({time for time, _ in film.scores})
    every = max(math.ceil(len(middles) / MOST_SCORED), 1)
    wanted = {
        film.film.numbers[int(np.argmin(np.abs(film.film.times - middle)))]: middle
        for middle in middles[::every]
    }
    return [
        (wanted[frame.number], frame.picture)
        for frame in frames_of(film.entry.frames, rate=film.entry.rate, only=wanted)
    ]


def _pair(films: Sequence[ReducedFilm]) -> tuple[ReducedFilm, ReducedFilm] | None:
    """The first film of each side that can be used, at one flap setting."""
    usable = [one for one in films if not one.problem and one.track is not None]
    for old in (one for one in usable if one.entry.side == BEFORE):
        for new in (one for one in usable if one.entry.side == AFTER):
            flaps = [one.track.flap_deg for one in (old, new) if one.track is not None]
            if None not in flaps and abs((flaps[0] or 0.0) - (flaps[1] or 0.0)) <= SAME_FLAP:
                return old, new
    return None


def _drawn(
    pair: tuple[ReducedFilm, ReducedFilm], record: Mapping[str, Any], plan: Sequence[Tuft]
) -> Iterator[tuple[str, Image.Image]]:
    """Yield head line and picture at each speed that both sides flew, fastest first."""
    matched: list[tuple[float, list[int]]] = []
    for speed in _speeds(pair):
        found = [film.frame_at(speed) for film in pair]
        frames = [number for number in found if number is not None]
        if len(frames) == len(pair) and (not matched or frames != matched[-1][1]):
            matched.append((speed, frames))
    pictures = []
    for place, film in enumerate(pair):
        wanted = {frames[place] for _, frames in matched}
        pictures.append(
            {
                frame.number: frame.picture
                for frame in frames_of(film.entry.frames, rate=film.entry.rate, only=wanted)
            }
        )
    unit = record["unit"]
    kinds = "calibrated" if all(f.track is not None and f.track.calibrated for f in pair) else "INDICATED"
    for speed, frames in matched:
        head = (
            f"{units.format_speed(speed, unit)} {kinds}, 1 g, {record['reference_mass_kg']:.0f} kg, on both"
            " sides"
        )
        halves = [
            _half(film, number, pictures[place][number], record, plan)
            for place, (film, number) in enumerate(zip(pair, frames, strict=True))
        ]
        yield head, side_by_side(halves[0], halves[1], head=head)


def _speeds(pair: tuple[ReducedFilm, ReducedFilm]) -> list[float]:
    tracks = [film.track.speed[np.isfinite(film.track.speed)] for film in pair if film.track is not None]
    if any(one.size < 2 for one in tracks):
        return []
    high, low = min(float(one.max()) for one in tracks), max(float(one.min()) for one in tracks)
    return [high - STEP * number for number in range(int((high - low) / STEP) + 1)] if high > low else []


def _half(
    film: ReducedFilm,
    number: int,
    picture: Image.Image,
    record: Mapping[str, Any],
    plan: Sequence[Tuft],
) -> Half:
    unit, per = record["unit"], record["unit"].replace("/", "_per_")
    if film.film is None or film.track is None:
        raise SlowflightError(f"tufts: film {film.entry.name} has no frames")
    place = film.film.numbers.index(number)
    window = film.window_of(float(film.film.times[place]))
    states = {tuft: state for (time, tuft), state in film.scores.items() if time == window}
    counted = tally(list(states.values()))
    kept = next(one for one in record["films"] if one["name"] == film.entry.name)
    speed = float(film.track.speed[place])
    class_of = min(
        kept["speeds"], key=lambda one: abs(one[f"speed_{per}"] - units.express(speed, unit)), default=None
    )
    pitch = float(film.track.pitch[place])
    indicated = units.format_speed(float(film.track.indicated[place]), unit)
    attitude = f", nose {math.degrees(pitch):+.0f} deg" if math.isfinite(pitch) else ""
    return Half(
        title=f"{film.entry.side.upper()}: {film.entry.flight}",
        picture=picture,
        tufts=film.places,
        states=states,
        lines=(
            f"{units.format_speed(speed, unit)}; panel {indicated}{attitude}",
            f"tufts: {counted[ATTACHED]} attached (ring), {counted[UNSTEADY]} unsteady (triangle),"
            f" {counted[REVERSED]} reversed (cross)",
            f"reversed flow from: {_measured(states, plan)}; predicted: {_predicted(class_of)}",
        ),
    )


def _measured(states: Mapping[str, str], plan: Sequence[Tuft]) -> str:
    """Where reversal is furthest forward in the window that is shown."""
    seen = {name: state for name, state in states.items() if state != UNSEEN}
    places = [one.aft for one in separation_points({0.0: seen}, plan) if one.aft is not None]
    return f"{100.0 * min(places):.0f} % of the chord" if places else "nowhere seen"


def _predicted(at: Mapping[str, Any] | None) -> str:
    found = None if at is None else at["predicted"]
    if found is None:
        return "nothing"
    if found["past_stall"]:
        return "stalled"
    return "nowhere" if found["station"] is None else f"{100.0 * found['station']:.0f} %"


def _kept(drawn: Sequence[tuple[str, Image.Image]], room: Path) -> list[Path]:
    """Save the pairs as numbered pictures, and as a video where one can be written."""
    folder = room / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("[0-9][0-9][0-9][0-9].png"):
        old.unlink()
    for number, (_, picture) in enumerate(drawn, 1):
        picture.save(folder / f"{number:04d}.png")
    if not can_write_videos():
        return [folder]
    return [folder, write_video((picture for _, picture in drawn), room / VIDEO)]
