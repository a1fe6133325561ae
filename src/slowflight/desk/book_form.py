"""The form over flights.toml: what logs do not say, what the pilot saw, runs of cruise, climb and field."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from slowflight.desk import answers as form
from slowflight.desk.answers import COUNT, NO, NUMBER, TRUTH, YES, Field, Group, said
from slowflight.desk.kept_file import KeptFile
from slowflight.errors import InputError

BOOK = "flights/flights.toml"
HISTORY = "history-flights"
SIDES = ("before", "after", "before again")
AS_BEFORE = "as before"

FLIGHT = (
    Field(
        key="side", label="Flown", how="before: clean; before again: vanes off again", choices=SIDES,
        must=True,
    ),
    Field(key="mass", label="Weight at the start of the log", how='with crew and fuel: "540 kg"'),
    Field(key="fuel_burn", label="Fuel burned", how='"15 l/h"; takes weight off as the flight goes on'),
    Field(key="centre_of_gravity", label="Center of gravity", how='share of the chord: "27 %"'),
    Field(key="pilot", label="Crew", how="who flew; initials will do"),
    Field(key="temperature", label="The day: temperature", how='at test height, if the log has none: "5 C"'),
    Field(
        key="pressure_setting", label="The day: altimeter setting",
        how='where the log has no pressure height: "1013 hPa"',
    ),
    Field(key="flap", label="Flap", how='where the log has none: "20 deg"'),
    Field(key="power", label="Power at the stalls", how='"idle", or what it was'),
    Field(key="notes", label="Notes", how="air, runway, anything odd"),
)  # fmt: skip
HANDLING = (
    Field(key="roll_at_stall", label="Largest roll at the stall", how='either way: "5 deg"'),
    Field(key="roll_held", label="Roll held by normal controls", how="yes or no", kind=TRUTH),
    Field(
        key="wing_drop", label="A wing dropped", how="and could not be held at once",
        choices=("none", "left", "right", "either"),
    ),
    Field(key="warning", label="A warning before the stall", how="shake, horn or light", kind=TRUTH),
    Field(key="warning_margin", label="Warning ahead of the stall", how='speed between the two: "6 kt"'),
    Field(key="stick_stop_first", label="Stick on its stop first", how="before the wing stalled", kind=TRUTH),
    Field(
        key="flare", label="Elevator in the flare", how="at forward center of gravity",
        choices=(AS_BEFORE, "less authority", "cannot raise the nose"),
    ),
    Field(
        key="pitch", label="Pitch", how="on the way to the stall",
        choices=(AS_BEFORE, "lighter", "pitch-up or force reversal"),
    ),
    Field(key="height_lost", label="Height lost", how='most, stall to level flight: "150 ft"'),
    Field(
        key="recovery", label="Recovery", how="stick forward, power",
        choices=(AS_BEFORE, "slower", "keeps turning"),
    ),
    Field(key="sink", label="Sink", how='at the lowest speed held, wings level: "600 ft/min"'),
    Field(
        key="rudder", label="Rudder", how="at idle or in a climb",
        choices=(AS_BEFORE, "more needed", "runs out"),
    ),
    Field(
        key="shake", label="Shake", how="buffet that costs control, or a shaking tail",
        choices=("none new", "new", "control or tail"),
    ),
    Field(
        key="ailerons", label="Ailerons", how="near the stall",
        choices=(AS_BEFORE, "heavier or snatching", "reversal or hunting"),
    ),
)  # fmt: skip
CRUISE = (
    Field(key="flight", label="Flight", how="in which it was flown"),
    Field(key="true_speed", label="True speed", how='legs both ways, averaged: "82 kt"'),
    Field(key="fuel_flow", label="Fuel flow", how='at one mixture rule: "17 l/h"'),
    Field(key="height", label="Pressure height", how='"3000 ft"'),
    Field(key="temperature", label="Temperature outside", how='"9 C"'),
    Field(key="mass", label="Weight", how='"545 kg"'),
)
CLIMB = (
    Field(key="flight", label="Flight", how="in which it was flown"),
    Field(key="indicated", label="Speed shown", how='as held: "52 kt"'),
    Field(key="seconds", label="Time", how='"105 s"'),
    Field(key="from", label="From", how='pressure height: "4500 ft"'),
    Field(key="to", label="To", how='pressure height: "5500 ft"'),
    Field(key="temperature", label="Temperature outside", how='at the middle: "5 C"'),
    Field(key="mass", label="Weight", how='"545 kg"'),
    Field(key="heading", label="Heading", how="one out, one back", choices=("out", "back")),
)
FIELD_ROLL = (
    Field(key="side", label="Flown", how="clean or with vanes", choices=SIDES[:2], must=True),
    Field(
        key="kind", label="Which roll", how="take-off or landing", choices=("take-off", "landing"), must=True
    ),
    Field(key="distance", label="Distance", how='on the ground: "118 m"'),
    Field(key="ground_speed", label="Ground speed", how='at touchdown or lift-off: "33 kt"'),
    Field(key="headwind", label="Headwind", how='along the strip: "3 kt"; from behind with a minus'),
    Field(key="mass", label="Weight", how='"545 kg"'),
)
FILM = (
    Field(key="name", label="Name of the film", how="such as film-before"),
    Field(key="flight", label="Flight", how="in which it was taken"),
    Field(key="frames", label="Film", how="a video, or a folder of pictures, beside flights.toml"),
    Field(
        key="pictures_a_second", label="Pictures a second", how="of a folder; empty for a video", kind=NUMBER
    ),
    Field(key="begins", label="Begins", how='its first frame, from the first reading of the log: "612.4 s"'),
    Field(key="places", label="Places of the tufts", how="made by clicking; see the films"),
    Field(key="scores", label="Scores by eye", how="made by keys; see the films"),
    Field(key="yarn", label="Yarn", how="against the skin", choices=("dark", "light")),
)
RULES = (
    Field(
        key="unit", label="Your airspeed indicator shows", how="all speeds of the flights are told in it",
        choices=("kt", "mph", "km/h", "m/s"), must=True,
    ),
    Field(key="worth_having", label="Gain worth having", how='"1 kt"; fixed before the first flight'),
    Field(key="cruise_margin", label="Cruise loss that does not matter", how='"2 kt"; fixed before'),
    Field(key="flaps", label="Settings that matter", how='["0 deg", "31 deg"]; fixed before'),
    Field(key="landing_flap", label="Whose gain decides", how='"31 deg"; fixed before'),
    Field(key="flights_a_side", label="Flights a side", how="fixed before", kind=COUNT),
    Field(key="looks", label="Looks at the answer", how="how often; fixed before", kind=COUNT),
    Field(key="removable", label="The vanes come off again", how="yes or no", kind=TRUTH),
    Field(key="airspeed_lag", label="Lag of the indicator", how='where measured: "0.5 s"'),
    Field(key="pitch_when_level", label="Recorder's pitch when level", how='standing level: "1.5 deg"'),
    Field(key="landings", label="Landings with these vanes", how="once the verdict is keep", kind=COUNT),
    Field(key="approach", label="Present approach speed", how='as shown: "50 kt"'),
    Field(key="note", label="To stand above every result", how="any words"),
)  # fmt: skip
ADDED = {"cruise": CRUISE, "climb": CLIMB, "field_roll": FIELD_ROLL}
TITLES = {"cruise": "Cruise run", "climb": "Climb", "field_roll": "Ground roll", "tufts": "Film of tufts"}


def book_file(folder: Path) -> KeptFile:
    """Return the flights.toml of a project, with its steps back."""
    return KeptFile(folder=folder, place=BOOK, history=HISTORY, check=_check)


def book_sections(folder: Path) -> list[tuple[str, str, list[Group]]]:
    """Return the questions over flights.toml by section: its anchor, its title, its groups."""
    content = form.read_values(book_file(folder))
    flights = [
        _group(f"{one.get('name', n + 1)}", f"flight.{n}", FLIGHT, content)
        for n, one in enumerate(_tables(content, "flight"))
    ]
    cards = [
        _group(f"{one.get('side')}, flap {one.get('flap')}", f"handling.{n}", HANDLING, content)
        for n, one in enumerate(_tables(content, "handling"))
    ]
    runs = [
        _group(f"{TITLES[kind]} {n + 1}", f"{kind}.{n}", fields, content)
        for kind, fields in ADDED.items()
        for n in range(len(_tables(content, kind)))
    ]
    films = [
        _group(f"Film {one.get('name', one.get('flight', n + 1))}", f"tufts.{n}", FILM, content)
        for n, one in enumerate(_tables(content, "tufts"))
    ]
    rules = [_group("Rules of the test", "rules", RULES, content)] if "rules" in content else []
    found = [
        ("flights", "Each flight", flights),
        ("handling", "How it handled: the worst of it", cards),
        ("runs", "Cruise, climb and field", runs),
        ("tufts", "Films of tufts", films),
        ("rules", "Rules, fixed before the first flight", rules),
    ]
    return [one for one in found if one[2]]


def flight_names(folder: Path) -> list[str]:
    """Return the flights of the book, in its order."""
    content = form.read_values(book_file(folder))
    return [str(one["name"]) for one in _tables(content, "flight") if one.get("name")]


def added_fields(folder: Path, kind: str) -> tuple[Field, ...]:
    """Return the questions of a run to be added."""
    return _with_flights(ADDED[kind], flight_names(folder))


def save_book(folder: Path, values: Mapping[str, str], *, version: str) -> list[str]:
    """Put answers into flights.toml; parameters, result and errors as for `answers.save_answers`."""
    asked = {
        field.key: field.kind
        for _, _, groups in book_sections(folder)
        for group in groups
        for field in group.fields
    }
    stranger = next((key for key in values if key not in asked), None)
    book = book_file(folder)
    book.refuse_other(version)
    if stranger is not None:
        raise InputError(where=stranger[:60], found="an answer to no question", needed="those of the page")
    return form.save_answers(book, values, version=version, kinds=asked)


def add_table(folder: Path, kind: str, values: Mapping[str, str], *, version: str) -> None:
    """Add one run or film to flights.toml.

    Parameters
    ----------
    folder : Path
    kind : str
        A key of `ADDED`, or ``"tufts"``.
    values : mapping of str
        By key; empty ones are left out.
    version : str
        Of the file that the page was made from.

    Raises
    ------
    InputError
        Where the file has changed since or a value makes no sense; nothing is added then.
    """
    book = book_file(folder)
    book.refuse_other(version)
    fields = {field.key: field for field in (FILM if kind == "tufts" else ADDED[kind])}
    lines = [f"[[{kind}]]"]
    for key, value in values.items():
        if key in fields and value.strip():
            if len(value) > form.LONGEST:
                raise InputError(where=key, found=f"{len(value)} letters", needed=f"{form.LONGEST} at most")
            typed = form.typed(value.strip(), fields[key].kind, key)
            # JSON's strings, numbers and true or false are TOML's too, once DEL is out of the way.
            lines.append(f"{key} = {json.dumps(typed, ensure_ascii=False)}".replace("\x7f", ""))
    text = book.text()
    gap = "" if not text or text.endswith("\n") else "\n"
    book.put(f"{text}{gap}\n" + "\n".join(lines) + "\n")


def _group(title: str, prefix: str, fields: Sequence[Field], content: Mapping[str, Any]) -> Group:
    flights = [str(one["name"]) for one in _tables(content, "flight") if one.get("name")]
    filled = []
    for field in _with_flights(fields, flights):
        key = f"{prefix}.{field.key}"
        value = said(content, key)
        filled.append(replace(field, key=key, value=value, choices=_choices(field, value)))
    return Group(title=title, fields=tuple(filled))


def _choices(field: Field, value: str) -> tuple[str, ...]:
    choices = (YES, NO) if field.kind == TRUTH else field.choices
    # What the file says is never hidden, even where it is none of the answers.
    return choices if not choices or value in choices else (*choices, value) if value else choices


def _with_flights(fields: Sequence[Field], names: Sequence[str]) -> tuple[Field, ...]:
    return tuple(
        replace(one, choices=tuple(names), must=True) if one.key == "flight" else one for one in fields
    )


def _tables(content: Mapping[str, Any], name: str) -> list[dict[str, Any]]:
    found = content.get(name, [])
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def _check(draft: Path) -> None:
    # Only now: it brings numerical libraries, and the desk is to open at once.
    from slowflight.flights.book.reading import read_book

    read_book(draft)
