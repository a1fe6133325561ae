"""Read flights.toml, every key checked, in the owner's units."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.book import fields
from slowflight.flights.book.entries import (
    AFTER,
    BEFORE,
    BEFORE_AGAIN,
    GROUND,
    PANEL,
    SIDES,
    Book,
    FlightEntry,
    HandlingEntry,
    Mark,
    RollRecord,
    Rules,
)
from slowflight.flights.book.performance import read_climb, read_cruise, read_field_roll
from slowflight.flights.book.tufts import read_films, read_tuft_plan
from slowflight.flights.handling.observation import CHOICES, Observation
from slowflight.wing.tomlfile import Table, read_toml, refuse_unknown

BOOK = "flights.toml"
TABLES = ("rules", "flight", "handling", "cruise", "roll_test", "climb", "field_roll", "tuft_plan", "tufts")
FILES = ("log", "columns", "stall_card", "leg_card", "second_log", "second_columns")
AXES = ("roll_rate", "rotation_x", "rotation_y", "rotation_z")


def read_book(path: Path | str) -> Book:
    """Read a book of flights.

    Parameters
    ----------
    path : Path or str
        A flights.toml; files named in it are looked for beside it.

    Returns
    -------
    Book

    Raises
    ------
    InputError
        Where the file or a value in it cannot be used; it names table and key.
    """
    place = Path(path)
    content = read_toml(place)
    refuse_unknown(content, known=TABLES, where=str(place))
    flights = [
        _flight(found, folder=place.parent, where=f"{place}: flight {number}")
        for number, found in enumerate(_list(content, "flight", place), 1)
    ]
    names = [flight.name for flight in flights]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise InputError(where=str(place), found=f"two flights named {twice!r}", needed="a name of its own")
    _refuse_twice(flights, where=str(place))
    sides = {flight.name: flight.side for flight in flights}
    cruise = [
        read_cruise(found, sides, where=f"{place}: cruise {number}")
        for number, found in enumerate(_list(content, "cruise", place), 1)
    ]
    handling = [
        _handling(found, where=f"{place}: handling {number}")
        for number, found in enumerate(_list(content, "handling", place), 1)
    ]
    pairs = [(one.side, one.flap_deg) for one in handling]
    double = next((pair for pair in pairs if pairs.count(pair) > 1), None)
    if double is not None:
        raise InputError(
            where=str(place),
            found=f"two handling cards {double[0]}, flap {double[1]:g} deg",
            needed="one of each, with the worst that was seen",
        )
    return Book(
        path=place,
        rules=_rules(content.get("rules", {}), where=f"{place}: rules"),
        flights=tuple(flights),
        handling=tuple(handling),
        cruise=tuple(cruise),
        rolls=tuple(
            _roll(found, folder=place.parent, where=f"{place}: roll_test {number}")
            for number, found in enumerate(_list(content, "roll_test", place), 1)
        ),
        tuft_plan=read_tuft_plan(content.get("tuft_plan", {}), where=f"{place}: tuft_plan"),
        films=read_films(_list(content, "tufts", place), sides, folder=place.parent, where=f"{place}: tufts"),
        climbs=tuple(
            read_climb(found, sides, where=f"{place}: climb {number}")
            for number, found in enumerate(_list(content, "climb", place), 1)
        ),
        field=tuple(
            read_field_roll(found, where=f"{place}: field_roll {number}")
            for number, found in enumerate(_list(content, "field_roll", place), 1)
        ),
    )


def _refuse_twice(flights: Sequence[FlightEntry], *, where: str) -> None:
    """Refuse one flight under two names: it would count as two, and the flight is what counts."""
    seen: dict[tuple[str, int | None], str] = {}
    for flight in flights:
        for mark in (flight.digest, str(flight.log or ""), str(flight.stall_card or "")):
            known = seen.setdefault((mark, flight.part), flight.name) if mark else flight.name
            if known != flight.name:
                raise InputError(
                    where=where,
                    found=f"flight {flight.name!r} with the log of {known!r}",
                    needed="each flight once: counted twice it would make the answer look surer than it is",
                    fix="take one of them out",
                )


def _list(content: dict[str, object], key: str, place: Path) -> list[object]:
    found = content.get(key, [])
    if not isinstance(found, list):
        raise InputError(where=f"{place}: {key}", found="one table", needed=f"[[{key}]], in double brackets")
    return found


def _rules(values: object, *, where: str) -> Rules:
    table, usual = Table(values, where=where), Rules()
    flaps = fields.given(table, "flaps")
    if flaps is not None and not isinstance(flaps, list):
        raise InputError(where=table.field("flaps"), found=repr(flaps), needed='a list like ["0 deg"]')
    worth = fields.speed(table, "worth_having", high=10.0)
    rules = Rules(
        unit=table.choice("unit", tuple(units.SPEED.factors), default=usual.unit),
        worth_having=usual.worth_having if worth is None else worth,
        cruise_margin=fields.speed(table, "cruise_margin", high=10.0),
        flaps_deg=tuple(
            sorted(
                round(units.express(units.angle(one, where=table.field("flaps")), "deg"), 2) for one in flaps
            )
        )
        if flaps
        else (),
        landing_flap_deg=fields.degrees(table, "landing_flap"),
        flights_a_side=fields.count(table, "flights_a_side", usual.flights_a_side, least=1),
        looks=fields.count(table, "looks", usual.looks, least=1),
        removable=fields.truth(table, "removable") is not False,
        airspeed=table.choice("airspeed", (PANEL, GROUND), default=usual.airspeed),
        airspeed_lag=fields.seconds(table, "airspeed_lag"),
        better_line=fields.words(table, "better_line"),
        flights_left=fields.count(table, "flights_left", 0),
        positions_tried=fields.count(table, "positions_tried", 1, least=1),
        confirmed=fields.truth(table, "confirmed") is True,
        landings=fields.count(table, "landings", 0),
        approach=fields.speed(table, "approach"),
        note=fields.words(table, "note"),
        pitch_when_level=fields.pitch(table, "pitch_when_level"),
    )
    table.finish()
    return rules


def _flight(values: object, *, folder: Path, where: str) -> FlightEntry:
    table = Table(values, where=where)
    name = fields.words(table, "name")
    if not name:
        raise InputError(where=where, found="no name", needed='name = "..."')
    table.where = where = f"{where} ({name})"
    side = table.choice("side", tuple(SIDES))
    files = {key: fields.file(table, key, folder) for key in FILES}
    if files["log"] is None and files["stall_card"] is None and files["leg_card"] is None:
        raise InputError(where=where, found="no log and no card", needed='log = "...", beside flights.toml')
    share = fields.quantity(
        table, "centre_of_gravity", units.fraction, low=-0.2, high=0.8, limits='a share of the chord, "27 %"'
    )
    entry = FlightEntry(
        name=name,
        side=side,
        log=files["log"],
        columns=files["columns"],
        stall_card=files["stall_card"],
        leg_card=files["leg_card"],
        digest=fields.words(table, "sha256"),
        part=fields.count(table, "part", 0) or None,
        mass=fields.mass(table, "mass"),
        fuel_burn=fields.burn(table, "fuel_burn"),
        flap_deg=fields.degrees(table, "flap"),
        power=fields.words(table, "power", "idle"),
        centre_of_gravity=share,
        pilot=fields.words(table, "pilot"),
        notes=fields.words(table, "notes"),
        second_log=files["second_log"],
        second_columns=files["second_columns"],
        temperature=fields.temperature(table, "temperature"),
        pitch_when_level=fields.pitch(table, "pitch_when_level"),
        pressure_setting=fields.pressure(table, "pressure_setting"),
        clocks_apart=fields.signed_seconds(table, "clocks_apart"),
        marks=(*_marks(table, "strike", counts=False), *_marks(table, "restore", counts=True)),
        where=where,
    )
    table.finish()
    return entry


def _marks(table: Table, key: str, *, counts: bool) -> list[Mark]:
    found = fields.given(table, key)
    if found is None:
        return []
    if not isinstance(found, list):
        raise InputError(
            where=table.field(key), found=repr(found), needed='a list like [{stall = 3, reason = "gust"}]'
        )
    marks = []
    for one in found:
        part = Table(one, where=table.field(key))
        stall, reason = fields.count(part, "stall", 0, least=1), fields.words(part, "reason")
        part.finish()
        if not stall or not reason:
            raise InputError(
                where=table.field(key), found=repr(one), needed="the number of the stall and the reason"
            )
        marks.append(Mark(stall=stall, counts=counts, reason=reason))
    return marks


def _handling(values: object, *, where: str) -> HandlingEntry:
    table = Table(values, where=where)
    side = table.choice("side", tuple(one for one in SIDES if one != BEFORE_AGAIN))
    flap = fields.degrees(table, "flap")
    if flap is None:
        raise InputError(where=where, found="no flap", needed='flap = "0 deg"')
    angle = fields.quantity(
        table, "roll_at_stall", units.angle, low=0.0, high=6.3, limits="0 to 360 deg, without a sign"
    )
    words = {key: fields.words(table, key) or None for key in CHOICES}
    try:
        seen = Observation(
            roll_at_stall=angle,
            roll_held=fields.truth(table, "roll_held"),
            warning=fields.truth(table, "warning"),
            warning_margin=fields.quantity(table, "warning_margin", _signed_speed),
            stick_stop_first=fields.truth(table, "stick_stop_first"),
            height_lost=fields.quantity(
                table, "height_lost", units.length, low=0.0, high=3000.0, limits="0 to 3000 m"
            ),
            sink=fields.climb(table, "sink"),
            **words,
        )
    except InputError as error:
        if error.where.startswith("handling"):
            key = error.where.rpartition(" ")[2]
            raise InputError(where=table.field(key), found=error.found, needed=error.needed) from None
        raise
    table.finish()
    return HandlingEntry(side=side, flap_deg=flap, seen=seen)


def _signed_speed(text: object, *, where: str) -> float:
    """Read a margin: a warning after the stall is written with a minus."""
    bare = str(text).strip().replace("−", "-")
    if bare.startswith("-"):
        return -units.speed(bare[1:], where=where)
    return units.speed(text, where=where)


def _roll(values: object, *, folder: Path, where: str) -> RollRecord:
    table = Table(values, where=where)
    side = table.choice("side", (BEFORE, AFTER))
    log = fields.file(table, "log", folder)
    times = fields.given(table, "times")
    if log is None or not isinstance(times, int | float) or not 1.0 < times <= 3.0:
        raise InputError(
            where=where,
            found="no log" if log is None else f"times {times!r}",
            needed="log, and times = 1.3 or another multiple of the stall speed, without quotes",
        )
    record = RollRecord(
        side=side,
        log=log,
        columns=fields.file(table, "columns", folder),
        times=float(times),
        axis=table.choice("axis", (*AXES, *(f"-{axis}" for axis in AXES)), default="roll_rate"),
        still=fields.seconds(table, "still", most=60.0) or 5.0,
    )
    table.finish()
    return record
