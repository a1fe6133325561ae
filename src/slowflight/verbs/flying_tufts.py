"""Tufts of a project: the plan, films before and after reduced, and both at equal speed beside each other."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from slowflight import __version__, units
from slowflight.errors import InputError
from slowflight.flights.book.entries import AFTER, BEFORE, Book, TuftPlanEntry
from slowflight.flights.book.reading import BOOK, read_book
from slowflight.flights.reduction.campaign import ReducedCampaign, reduce_campaign
from slowflight.flights.reduction.tuft_film import ReducedFilm, reduce_film
from slowflight.flights.tufts import scores as agreement
from slowflight.flights.tufts import states as circular
from slowflight.flights.tufts import yarn as hats
from slowflight.flights.tufts.plan import PITCH, ROWS, RULES, Tuft, plan_text, plan_tufts
from slowflight.flights.tufts.scores import tally
from slowflight.flights.tufts.separation import first_to_separate
from slowflight.flights.tufts.states import STATES, UNSEEN
from slowflight.flights.verdict.cautions import VERDICT_CAUTIONS
from slowflight.layout.files import replace_file
from slowflight.project import Project, open_project
from slowflight.verbs.flying import aircraft_facts, flap_settings
from slowflight.verbs.flying_prediction import beside_prediction
from slowflight.verbs.predicting import saved_prediction
from slowflight.verbs.tuft_pages import write_tuft_pages
from slowflight.verbs.tuft_prediction import predicted_separation
from slowflight.wing.wing_file import WingFile, read_wing_file

TUFTS = "tufts"
PLAN, RECORD, PAGE = "plan.csv", "tufts.json", "tufts.html"
SAME_FLAP = 1.0  # [degrees]


def reduce_tufts(folder: str | Path, *, on_film: Callable[[str], None] = lambda _: None) -> dict[str, Any]:
    """Plan tufts, and reduce the films of them that the book names.

    Parameters
    ----------
    folder : str or Path
        A project folder; ``[tuft_plan]`` and ``[[tufts]]`` of its flights.toml are used where there are any.
    on_film : callable, optional
        Gets the name of each film as it is begun.

    Returns
    -------
    dict
        Plan, films, where the air lets go measured beside predicted, files written, what to do next: plain
        data, as kept in ``flights/tufts/tufts.json``.

    Raises
    ------
    InputError
        Where wing.toml or flights.toml cannot be used. A film that cannot be used says so and the others go
        on.
    SlowflightError
        Where the report's own libraries are not installed and there is a film to show.
    """
    project = open_project(folder)
    wing = read_wing_file(project.wing_file)
    place = project.ready(project.flights) / BOOK
    book = read_book(place) if place.is_file() else None
    prediction = saved_prediction(project)
    tufts, behind = _plan(wing, TuftPlanEntry() if book is None else book.tuft_plan, prediction)
    room = project.ready(project.flights / TUFTS)
    files = [replace_file(room / PLAN, plan_text(tufts).encode())]
    films: list[ReducedFilm] = []
    share: dict[float, float] = {}
    unit = "kt" if book is None else book.rules.unit
    if book is not None and book.films:
        facts = aircraft_facts(wing)
        reduced = reduce_campaign(book, facts=facts, flaps_deg=flap_settings(wing))
        share = _anchors(prediction, reduced)
        by_name = {one.name: one for one in reduced.flights}
        entries = {one.name: one for one in book.flights}
        for entry in book.films:
            on_film(entry.name)
            films.append(reduce_film(entry, entries[entry.flight], by_name[entry.flight], tufts, facts=facts))
    record = _record(project, wing, book, tufts, behind, films, prediction, share, unit)
    if films:
        files += write_tuft_pages(record, films, tufts, room=room)
    record["files"] = [str(file) for file in files]
    record["next"] = _next(record, films, project)
    replace_file(room / RECORD, json.dumps(record, allow_nan=False, indent=1).encode())
    return record


def saved_tufts(project: Project) -> dict[str, Any] | None:
    """Return what was last made of a project's tufts, or None; InputError where the file is damaged."""
    place = project.flights / TUFTS / RECORD
    if not place.is_file():
        return None
    try:
        record = json.loads(place.read_text(encoding="utf-8"))
    except ValueError:
        record = None
    if not isinstance(record, dict) or record.get("kind") != "tufts":
        raise InputError(
            where=str(place),
            found="a damaged file",
            needed="tufts",
            fix="run 'slowflight fly DIR tufts' again",
        )
    return record


def _plan(
    wing: WingFile, wanted: TuftPlanEntry, prediction: Mapping[str, Any] | None
) -> tuple[tuple[Tuft, ...], str]:
    """The plan, and which row of vanes it keeps clear of."""
    row = next((one["row"] for one in (prediction or {}).get("settings", ()) if one.get("row")), None)
    tufts = plan_tufts(
        wing.wing,
        span_from=wanted.span_from,
        span_to=wanted.span_to,
        pitch=wanted.span_pitch or PITCH,
        rows=wanted.rows or ROWS,
        vane_station=None if row is None else row["station"],
        vane_height=None if row is None else row["height_mm"] / 1000.0,
    )
    if row is None:
        return tufts, "no row of vanes is predicted yet: with one, tufts stay 15 vane heights behind it"
    return tufts, (
        f"clear of vanes of {row['height_mm']:g} mm at {100.0 * row['station']:.0f} % of the chord, on the"
        " clean wing too"
    )


def _anchors(prediction: Mapping[str, Any] | None, reduced: ReducedCampaign) -> dict[float, float]:
    """Measured over predicted clean stall speed, by flap setting: predicted speeds are moved by it."""
    return {
        one["flap_deg"]: one["measured_clean_kt"]["value"] / one["predicted_clean_kt"]["value"]
        for one in beside_prediction(prediction, reduced.decision)
        if one["predicted_clean_kt"]
    }


def _record(
    project: Project,
    wing: WingFile,
    book: Book | None,
    tufts: Sequence[Tuft],
    behind: str,
    films: Sequence[ReducedFilm],
    prediction: Mapping[str, Any] | None,
    share: Mapping[float, float],
    unit: str,
) -> dict[str, Any]:
    return {
        "kind": "tufts",
        "version": __version__,
        "aircraft": wing.aircraft.name,
        "note": "" if book is None else book.rules.note,
        "unit": unit,
        "reference_mass_kg": wing.aircraft.mass,
        "plan": {
            "tufts": [
                {"tuft": one.name, "span_m": one.span_station, "station": one.station} for one in tufts
            ],
            "words": behind,
            "rules": list(RULES),
        },
        "films": [_film(one, tufts, prediction, share, unit) for one in films],
        "cautions": list(VERDICT_CAUTIONS),
        "sources": [*hats.SOURCES, *circular.SOURCES, *agreement.SOURCES] if films else [],
    }


def _film(
    one: ReducedFilm,
    tufts: Sequence[Tuft],
    prediction: Mapping[str, Any] | None,
    share: Mapping[float, float],
    unit: str,
) -> dict[str, Any]:
    per = unit.replace("/", "_per_")
    flap = None if one.track is None else one.track.flap_deg
    anchor = next((by for at, by in share.items() if flap is not None and abs(at - flap) <= SAME_FLAP), None)
    vanes = one.entry.side == AFTER
    speeds = []
    for speed, states in one.states.items():
        here = [point for point in one.points if point.speed == speed]
        apart = [point for point in here if point.aft is not None]
        speeds.append(
            {
                f"speed_{per}": units.express(speed, unit),
                "states": dict(states),
                "tally": tally(list(states.values())),
                "stations": [
                    {
                        "station": point.letter,
                        "span_m": point.span_station,
                        "forward": point.forward,
                        "aft": point.aft,
                        "unsteady_from": point.unsteady_from,
                        "last": point.last,
                    }
                    for point in here
                ],
                "stations_apart": len(apart),
                "furthest_forward": None if not apart else min(point.aft or 0.0 for point in apart),
                "predicted": predicted_separation(
                    prediction, flap_deg=flap, vanes=vanes, speed=speed, anchor=anchor or 1.0
                ),
            }
        )
    first = first_to_separate(one.points)
    return {
        "name": one.entry.name,
        "flight": one.entry.flight,
        "side": one.entry.side,
        "problem": one.problem or None,
        "frames": 0 if one.film is None else len(one.film.times),
        "tufts": len(one.places),
        "flap_deg": flap,
        "calibrated": one.track is not None and one.track.calibrated,
        "anchored": anchor is not None,
        "speeds": speeds,
        "first": None
        if first is None
        else {
            "station": first.letter,
            "span_m": first.span_station,
            f"speed_{per}": units.express(first.speed, unit),
            "forward": first.forward,
            "aft": first.aft,
        },
        "scored_by_eye": one.entry.scores is not None and not one.problem,
        "confusion": None
        if one.confusion is None
        else {
            "words": one.confusion.words,
            "counts": [[one.confusion.counts.get((eye, picture), 0) for picture in STATES] for eye in STATES],
            "unseen": one.confusion.unseen,
            "agreement": None if math.isnan(one.confusion.agreement) else one.confusion.agreement,
            "beyond_chance": None if math.isnan(one.confusion.beyond_chance) else one.confusion.beyond_chance,
        },
        "unread": sum(state == UNSEEN for state in one.scores.values()),
        "plan_tufts": len(tufts),
    }


def _next(record: Mapping[str, Any], films: Sequence[ReducedFilm], project: Project) -> list[str]:
    book = project.flights / BOOK
    if not films:
        return [
            f"fit the tufts of {project.flights / TUFTS / PLAN}, film one slow-down before and one after, and"
            f" add a [[tufts]] for each film to {book}"
        ]
    wanted = []
    for one in films:
        if one.entry.places is None:
            wanted.append(
                f"open {project.flights / TUFTS / f'place-{one.entry.name}.html'}, click each tuft, save, and"
                f' write places = "..." under its [[tufts]] in {book}'
            )
        elif one.confusion is None and not one.problem:
            wanted.append(
                f"open {project.flights / TUFTS / f'score-{one.entry.name}.html'}, score by eye with one key"
                f' a tuft, save, and write scores = "..." in {book}: until then nothing says how well the'
                " pictures are read"
            )
    sides = {one.entry.side for one in films if not one.problem}
    if sides and not {BEFORE, AFTER} <= sides:
        wanted.append("film the other side with the same tufts, camera place and light")
    return wanted
