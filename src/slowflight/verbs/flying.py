"""The half of the job that decides: flights before and after, reduced to a verdict with its band."""

from __future__ import annotations

import datetime
import hashlib
import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

from slowflight import __version__, units
from slowflight.errors import InputError
from slowflight.flights.airspeed.position_error import on_the_panel
from slowflight.flights.book.entries import AFTER, Book
from slowflight.flights.book.reading import BOOK, read_book
from slowflight.flights.cruise import field_roll
from slowflight.flights.reduction.campaign import ReducedCampaign, reduce_campaign
from slowflight.flights.reduction.flight_record import flight_record
from slowflight.flights.reduction.flown import AircraftFacts
from slowflight.flights.reduction.panel import nearest
from slowflight.flights.reduction.performance import climb_record, rolls_record
from slowflight.flights.statistics import two_samples
from slowflight.flights.verdict.approach import approach_advice
from slowflight.flights.verdict.cautions import VERDICT_CAUTIONS
from slowflight.flights.verdict.decision import SOURCES, to_record
from slowflight.layout.files import replace_file
from slowflight.project import Project, open_project
from slowflight.verbs.flying_angles import stall_angles
from slowflight.verbs.flying_prediction import beside_prediction
from slowflight.verbs.flying_speeds import stall_speeds
from slowflight.verbs.predicting import saved_prediction
from slowflight.verbs.staleness import made_from
from slowflight.wing.wing_file import WingFile, read_wing_file

FLIGHTS = "flights.json"
NOTHING_YET = "begin with 'slowflight fly DIR plan', and after each flight 'slowflight fly DIR before LOG'"
MEASURED_SOURCES = ("Gracey1980", *SOURCES)


def fly(folder: str | Path, *, on_flight: Callable[[str], None] = lambda _: None) -> dict[str, Any]:
    """Reduce every flight of a project and decide.

    Parameters
    ----------
    folder : str or Path
        A project folder with ``flights/flights.toml``.
    on_flight : callable, optional
        Gets the name of each flight as it is begun.

    Returns
    -------
    dict
        Verdict, gains with bands, every flight with its calibration and stalls, predicted beside measured:
        plain data, as kept in ``flights/flights.json``.

    Raises
    ------
    InputError
        Where wing.toml or flights.toml cannot be used, or there is no flight yet. A log that cannot be used
        is no error: its flight says so and the others go on.
    """
    project = open_project(folder)
    book = open_book(project)
    if not book.flights:
        raise InputError(where=str(book.path), found="no flight yet", needed="one or more", fix=NOTHING_YET)
    wing = read_wing_file(project.wing_file)
    facts = aircraft_facts(wing)
    reduced = reduce_campaign(book, facts=facts, flaps_deg=flap_settings(wing), told=on_flight)
    record = _record(project, wing, reduced, facts)
    text = json.dumps(record, allow_nan=False, indent=1)
    replace_file(project.ready(project.flights) / FLIGHTS, text.encode())
    return record


def open_book(project: Project) -> Book:
    """Read the book of a project; InputError where there is none or it cannot be used."""
    place = project.flights / BOOK
    if not place.is_file():
        raise InputError(where=str(place), found="no such file", needed="flights", fix=NOTHING_YET)
    return read_book(place)


def saved_flights(project: Project) -> dict[str, Any] | None:
    """Return the last reduction of a project's flights, or None; InputError where the file is damaged."""
    place = project.flights / FLIGHTS
    if not place.is_file():
        return None
    try:
        record = json.loads(place.read_text(encoding="utf-8"))
    except ValueError:
        record = None
    if not isinstance(record, dict) or record.get("kind") != "flights":
        raise InputError(
            where=str(place), found="a damaged file", needed="reduced flights",
            fix="run 'slowflight fly' again",
        )  # fmt: skip
    return record


def flights_old(project: Project, record: dict[str, Any]) -> tuple[str, ...]:
    """Say why a saved reduction is not what would be made now; empty where nothing has changed."""
    again = "run 'slowflight fly' again"
    found = []
    if record.get("made_from", {}).get("flights") != _book_digest(project):
        found.append(f"flights.toml has changed since the flights were reduced: {again}")
    now = made_from(project)
    if record.get("made_from", {}).get("wing") != now["wing"]:
        found.append(f"wing.toml or an airfoil file has changed since the flights were reduced: {again}")
    return tuple(found)


def aircraft_facts(wing: WingFile) -> AircraftFacts:
    """Return what flights need of a wing.toml."""
    return AircraftFacts(
        area=wing.wing.area,
        mass=wing.aircraft.mass,
        stall_guess=wing.aircraft.slowest_indicated_speed,
        cruise_speed=wing.aircraft.cruise_speed,
        density_altitude=wing.question.density_altitude,
        incidence=wing.wing.incidence,
    )


def flap_settings(wing: WingFile) -> tuple[float, ...]:
    """Return the flap settings of a wing.toml, rising [degrees]; flap up alone where it has no flap."""
    if wing.flap is None:
        return (0.0,)
    return tuple(sorted(round(math.degrees(setting), 2) for setting in wing.flap.settings))


def _book_digest(project: Project) -> str:
    place = project.flights / BOOK
    return hashlib.sha256(place.read_bytes()).hexdigest()[:24] if place.is_file() else ""


def _record(
    project: Project, wing: WingFile, reduced: ReducedCampaign, facts: AircraftFacts
) -> dict[str, Any]:
    unit = reduced.book.rules.unit
    decision = reduced.decision
    flights = [flight_record(one, unit=unit) for one in reduced.flights]
    return {
        "kind": "flights",
        "version": __version__,
        "reduced_on": datetime.date.today().isoformat(),
        "aircraft": wing.aircraft.name,
        "note": reduced.book.rules.note,
        "unit": unit,
        "reference_mass_kg": facts.mass,
        "rules": _rules(reduced.book),
        "decision": None if decision is None else to_record(decision, unit=unit),
        "approach": _approach(reduced, facts),
        "stall_angles": stall_angles(reduced, saved_prediction(project)),
        "stall_speeds": stall_speeds(reduced, facts=facts, unit=unit),
        "predicted": beside_prediction(saved_prediction(project), decision, unit=unit),
        "climb": climb_record(reduced.climb),
        "ground_rolls": rolls_record(reduced.field),
        "flights": flights,
        "asks": _asks(reduced),
        "unread": [one["name"] for one in flights if one["problem"]],
        "remarks": list(reduced.remarks),
        "cautions": list(VERDICT_CAUTIONS),
        "sources": _sources(reduced),
        "made_from": {**made_from(project), "flights": _book_digest(project)},
    }


def _sources(reduced: ReducedCampaign) -> list[str]:
    """Keys of what was used, each once."""
    found = [*MEASURED_SOURCES]
    if reduced.climb is not None and reduced.climb.difference is not None:
        found += two_samples.SOURCES[:1]
    if any(roll.filmed for roll in reduced.book.field):
        found += field_roll.SOURCES
    return list(dict.fromkeys(found))


def _asks(reduced: ReducedCampaign) -> list[str]:
    """What is wanted first of all, where no decision can be made yet."""
    if reduced.decision is not None:
        return []
    return ["no stall of any flight counts yet; each flight says why"]


def _rules(book: Book) -> dict[str, Any]:
    unit, rules = book.rules.unit, book.rules
    per = unit.replace("/", "_per_")
    return {
        f"worth_having_{per}": units.express(rules.worth_having, unit),
        "flights_a_side": rules.flights_a_side,
        "looks": rules.looks,
        "positions_tried": rules.positions_tried,
    }


def _approach(reduced: ReducedCampaign, facts: AircraftFacts) -> str | None:
    """What may be said of the approach; nothing where the present approach speed was not written down."""
    decision, rules = reduced.decision, reduced.book.rules
    if decision is None or rules.approach is None:
        return None
    landing = next(one for one in decision.settings if one.landing)
    if landing.gain is None:
        return None
    flap = landing.gain.sets[1].stalls[0].flap_deg
    curves = [c for one in reduced.flights if one.flown.entry.side == AFTER for c in one.curves]
    curve = nearest(curves, flap)

    def shown(calibrated: float) -> float | None:
        if curve is None:
            return None
        found = on_the_panel(calibrated, curve.curve, mass=facts.mass)
        return None if found is None else found.value

    return approach_advice(
        decision.verdict,
        landing.gain,
        landings=rules.landings,
        present_indicated=rules.approach,
        indicated=shown,
        unit=rules.unit,
    ).words
