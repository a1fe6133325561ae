"""Level runs, climbs and ground rolls of flights.toml."""

from __future__ import annotations

from collections.abc import Mapping

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.book import fields
from slowflight.flights.book.entries import AFTER, BEFORE, CruiseRun, FieldRoll, TimedClimb
from slowflight.flights.cruise.field_roll import Cones, roll_from_cones
from slowflight.wing.tomlfile import Table

TAKE_OFF, LANDING = "take-off", "landing"


def read_cruise(values: object, sides: Mapping[str, str], *, where: str) -> CruiseRun:
    """Read one ``[[cruise]]``; `sides` are the sides of the flights by name. InputError for a slip."""
    table = Table(values, where=where)
    flight = _flight(table, sides)
    speed, flow = fields.speed(table, "true_speed"), fields.flow(table, "fuel_flow")
    height = _height(table, "height")
    warm = fields.temperature(table, "temperature")
    if speed is None or flow is None or height is None or warm is None:
        raise InputError(
            where=where,
            found="a run that is not complete",
            needed="flight, true_speed, fuel_flow, height and temperature",
        )
    run = CruiseRun(
        flight=flight, side=sides[flight], true_speed=speed, fuel_flow=flow, height=height, temperature=warm,
        mass=fields.mass(table, "mass"),
    )  # fmt: skip
    table.finish()
    return run


def read_climb(values: object, sides: Mapping[str, str], *, where: str) -> TimedClimb:
    """Read one ``[[climb]]``; `sides` are the sides of the flights by name. InputError for a slip."""
    table = Table(values, where=where)
    flight = _flight(table, sides)
    speed, warm = fields.speed(table, "indicated"), fields.temperature(table, "temperature")
    bottom, top = _height(table, "from"), _height(table, "to")
    seconds = fields.seconds(table, "seconds", most=1800.0)
    if not speed or warm is None or bottom is None or top is None or not seconds:
        raise InputError(
            where=where,
            found="a climb that is not complete",
            needed="flight, indicated, seconds, from, to and temperature",
        )
    if top <= bottom:
        raise InputError(where=where, found="no height gained", needed="from below to above")
    run = TimedClimb(
        flight=flight,
        side=sides[flight],
        indicated=speed,
        seconds=seconds,
        bottom=bottom,
        top=top,
        temperature=warm,
        mass=fields.mass(table, "mass"),
        heading=table.choice("heading", ("out", "back", ""), default=""),
    )
    table.finish()
    return run


def read_field_roll(values: object, *, where: str) -> FieldRoll:
    """Read one ``[[field_roll]]``, measured or filmed with cones. InputError for a slip."""
    table = Table(values, where=where)
    side = table.choice("side", (BEFORE, AFTER))
    landing = table.choice("kind", (TAKE_OFF, LANDING)) == LANDING
    distance = fields.quantity(table, "distance", units.length, low=1.0, high=3000.0, limits="1 to 3000 m")
    speed = fields.speed(table, "ground_speed")
    cones = _cones(table)
    if cones is not None:
        distance, speed = roll_from_cones(cones, landing=landing)
    if not distance or not speed:
        raise InputError(
            where=where,
            found="a ground roll that is not complete",
            needed="distance and ground_speed, or cones and at",
        )
    roll = FieldRoll(
        side=side,
        landing=landing,
        distance=distance,
        ground_speed=speed,
        headwind=fields.wind(table, "headwind"),
        mass=fields.mass(table, "mass"),
        filmed=cones is not None,
    )
    table.finish()
    return roll


def _cones(table: Table) -> Cones | None:
    found = fields.given(table, "cones")
    at = fields.seconds(table, "at", most=1e5)
    abeam, near, far = (
        fields.quantity(table, key, units.length, low=0.0, high=3000.0, limits="0 to 3000 m")
        for key in ("abeam", "camera_to_cones", "camera_to_track")
    )
    if found is None:
        return None
    passed = [_cone(table, one) for one in found] if isinstance(found, list) else []
    if not passed or not at:
        raise InputError(
            where=table.field("cones"),
            found=repr(found),
            needed='cones = [["0 m", "2.1 s"], ["10 m", "4.4 s"], ...] and at = "9.3 s"',
        )
    return Cones(passed=tuple(passed), event=at, abeam=abeam or 0.0, to_cones=near, to_track=far)


def _cone(table: Table, pair: object) -> tuple[float, float]:
    where = table.field("cones")
    if not isinstance(pair, list) or len(pair) != 2:
        raise InputError(where=where, found=repr(pair), needed='a distance and a time: ["10 m", "4.4 s"]')
    inner = Table({"distance": pair[0], "time": pair[1]}, where=where)
    return units.length(pair[0], where=where), fields.seconds(inner, "time", most=1e5)


def _flight(table: Table, sides: Mapping[str, str]) -> str:
    flight = fields.words(table, "flight")
    if flight not in sides:
        raise InputError(
            where=table.field("flight"),
            found=repr(flight),
            needed=f"one of {', '.join(sides) or 'no flight yet'}",
        )
    return flight


def _height(table: Table, key: str) -> float | None:
    return fields.quantity(table, key, units.length, low=-500.0, high=8000.0, limits="-500 to 8000 m")
