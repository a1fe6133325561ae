"""Read the ``[in_the_air]`` table of a wing.toml: every key of it may be missing or unknown."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, UnitError
from slowflight.wing.answers import Answers, Notebook
from slowflight.wing.in_the_air import (
    JUNCTIONS,
    NOSE_WHEEL,
    TAIL_WHEEL,
    Cuff,
    Glide,
    InTheAir,
    Junction,
    StickReading,
)
from slowflight.wing.planform import Wing
from slowflight.wing.quantity import ANGLE, LENGTH, SHARE, SPEED, Kind, read_quantity

# International pound-force and kilogram-force: NIST Special Publication 811 (2008), appendix B.8.
NEWTONS = {"kN": 1000.0, "lbf": 4.4482216152605, "kgf": 9.80665, "N": 1.0}
_NUMBER = re.compile(r"\s*(?P<number>\d+(?:\.\d*)?|\.\d+)\s*(?P<unit>\S*)\s*")
_FEET_A_MINUTE = 0.3048 / 60.0
GLIDE = 'glides such as ["55 kt, 720 ft/min, 900 rpm"]'
STICK = 'readings such as ["60 kt, 45 %", "42 kt, 80 %"]'
RIB = 'two readings such as ["14.2 deg", "-13.8 deg"], the second with the instrument turned round'
JUNCTION = f'places such as ["strut, 2.2 m"], each one of {", ".join(JUNCTIONS)}'
CUFF = 'cuffs such as ["15 %, 2 %, 1 %"]: back to, down and forward in shares of the chord'
BALANCE = 'the foremost and the aftmost center of gravity, such as ["22 %", "31 %"]'
MOST_READINGS = 12


def _one(text: object, sizes: dict[str, float], *, where: str, needed: str) -> float:
    found = _NUMBER.fullmatch(text) if isinstance(text, str) else None
    if found is not None:
        for unit, size in sizes.items():
            if found["unit"].lower() == unit.lower():
                return float(found["number"]) * size
    raise UnitError(where=where, found=repr(text), needed=needed)


def _force(text: object, *, where: str) -> float:
    return _one(text, NEWTONS, where=where, needed=f"a force with its unit ({', '.join(NEWTONS)})")


def _load(text: object, *, where: str) -> float:
    return _one(text, {"g": 1.0}, where=where, needed='a load factor such as "3.8 g"')


def _turns(text: object, *, where: str) -> float:
    return _one(text, {"rpm": 1.0 / 60.0}, where=where, needed='revolutions a minute such as "900 rpm"')


def _sink(text: object, *, where: str) -> float:
    sizes = {"ft/min": _FEET_A_MINUTE, "fpm": _FEET_A_MINUTE, "m/s": 1.0}
    return _one(text, sizes, where=where, needed='a rate of sink such as "700 ft/min" or "3.5 m/s"')


FORCE = Kind(_force, 'a force such as "1.4 kN"', NEWTONS)
LOAD = Kind(_load, 'a load factor such as "3.8 g"')
TURNS = Kind(_turns, 'revolutions such as "900 rpm"')
SINK = Kind(_sink, 'a rate of sink such as "700 ft/min"')


def read_in_the_air(values: object, *, place: Path, wing: Wing, notebook: Notebook) -> InTheAir:
    """Read what the owner knows of tail, thrust, gear and controls.

    Parameters
    ----------
    values : object
        The table ``in_the_air`` as the TOML library gives it, ``None`` where there is none.
    place : Path
        The file.
    wing : Wing
    notebook : Notebook
        Nothing is assumed here; cautions go there.

    Returns
    -------
    InTheAir

    Raises
    ------
    InputError
        Where a key is unknown, a list is none, or fewer than two of readings that need two are given.
    UnitError, RangeError
        Where a unit is missing or a number makes no sense.
    """
    empty: dict[str, object] = {}
    table = Answers(
        empty if values is None else values,
        where=f"{place}: in_the_air",
        key="in_the_air",
        notebook=notebook,
    )

    def maybe(key: str, kind: Kind, low: str, high: str) -> float | None:
        return table.quantity(key, kind, low, high) if table.given(key) else None

    tip = units.format_length(wing.semi_span, "m", decimals=4)
    found = InTheAir(
        gear=table.choice("gear", (TAIL_WHEEL, NOSE_WHEEL)) if table.given("gear") else None,
        wing_height=maybe("wing_height", LENGTH, "300 mm", "4 m"),
        dihedral=maybe("dihedral", ANGLE, "-3 deg", "10 deg"),
        on_rib=_on_rib(table),
        over_the_nose=maybe("over_the_nose", ANGLE, "-10 deg", "30 deg"),
        approach_speed=maybe("approach_speed", SPEED, "20 kt", "90 kt"),
        load_factor=maybe("load_factor", LOAD, "2 g", "10 g"),
        maneuvering_speed=maybe("maneuvering_speed", SPEED, "30 kt", "200 kt"),
        static_thrust=maybe("static_thrust", FORCE, "100 N", "10 kN"),
        propeller_diameter=maybe("propeller_diameter", LENGTH, "600 mm", "3 m"),
        thrust_line=maybe("thrust_line", ANGLE, "-15 deg", "15 deg") or 0.0,
        glides=_glides(table),
        stick=_stick(table),
        tail_span=maybe("tail_span", LENGTH, "800 mm", "6 m"),
        tail_chord=maybe("tail_chord", LENGTH, "200 mm", "2 m"),
        tail_arm=maybe("tail_arm", LENGTH, "1 m", "10 m"),
        balance=_balance(table),
        tail_incidence=maybe("tail_incidence", ANGLE, "-8 deg", "8 deg"),
        elevator_share=maybe("elevator_share", SHARE, "10 %", "100 %"),
        elevator_up=maybe("elevator_up", ANGLE, "5 deg", "40 deg"),
        roll_up=maybe("roll_up", ANGLE, "1 deg", "40 deg"),
        roll_down=maybe("roll_down", ANGLE, "0 deg", "40 deg"),
        junctions=_junctions(table, tip=tip),
        cuffs=_cuffs(table),
    )
    table.finish()
    return found


def _parts(table: Answers, key: str, *, needed: str, count: int, least: int = 1) -> list[list[str]]:
    listed = table.listed(key, needed=needed)
    if listed is None:
        return []
    where = table.table.field(key)
    if not least <= len(listed) <= MOST_READINGS:
        raise InputError(
            where=where, found=f"{len(listed)} of them", needed=f"{least} to {MOST_READINGS}: {needed}"
        )
    split = [text.split(",") if isinstance(text, str) else [] for text in listed]
    for text, parts in zip(listed, split, strict=True):
        if len(parts) != count:
            raise InputError(where=where, found=repr(text), needed=needed)
    return [[part.strip() for part in parts] for parts in split]


def _reader(table: Answers, key: str) -> Callable[[str, Kind, str, str], float]:
    where = table.table.field(key)

    def read(text: str, kind: Kind, low: str, high: str) -> float:
        return read_quantity(text, kind, low=low, high=high, where=where).value

    return read


def _glides(table: Answers) -> tuple[Glide, ...]:
    read = _reader(table, "glides")
    return tuple(
        Glide(
            speed=read(speed, SPEED, "20 kt", "150 kt"),
            sink=read(sink, SINK, "100 ft/min", "3000 ft/min"),
            turns=read(turns, TURNS, "0 rpm", "6000 rpm"),
        )
        for speed, sink, turns in _parts(table, "glides", needed=GLIDE, count=3)
    )


def _stick(table: Answers) -> tuple[StickReading, ...]:
    read = _reader(table, "stick")
    return tuple(
        StickReading(speed=read(speed, SPEED, "15 kt", "150 kt"), back=read(back, SHARE, "0 %", "100 %"))
        for speed, back in _parts(table, "stick", needed=STICK, count=2, least=2)
    )


def _on_rib(table: Answers) -> tuple[float, float] | None:
    found = [text for (text,) in _parts(table, "on_rib", needed=RIB, count=1, least=2)]
    if not found:
        return None
    if len(found) != 2:
        raise InputError(where=table.table.field("on_rib"), found=f"{len(found)} readings", needed=RIB)
    read = _reader(table, "on_rib")
    return read(found[0], ANGLE, "-45 deg", "45 deg"), read(found[1], ANGLE, "-45 deg", "45 deg")


def _balance(table: Answers) -> tuple[float, float] | None:
    found = [text for (text,) in _parts(table, "balance", needed=BALANCE, count=1, least=2)]
    if not found:
        return None
    read = _reader(table, "balance")
    fore, aft = (read(text, SHARE, "5 %", "50 %") for text in (found[0], found[-1]))
    if len(found) != 2 or aft <= fore:
        raise InputError(where=table.table.field("balance"), found=", ".join(found), needed=BALANCE)
    return fore, aft


def _junctions(table: Answers, *, tip: str) -> tuple[Junction, ...]:
    read = _reader(table, "junctions")
    made = []
    for kind, at in _parts(table, "junctions", needed=JUNCTION, count=2):
        if kind not in JUNCTIONS:
            raise InputError(where=table.table.field("junctions"), found=repr(kind), needed=JUNCTION)
        made.append(Junction(kind=kind, span_station=read(at, LENGTH, "0 m", tip)))
    return tuple(made)


def _cuffs(table: Answers) -> tuple[Cuff, ...]:
    read = _reader(table, "cuffs")
    return tuple(
        Cuff(
            back_to=read(back_to, SHARE, "5 %", "40 %"),
            droop=read(droop, SHARE, "0 %", "6 %"),
            extension=read(extension, SHARE, "0 %", "8 %"),
        )
        for back_to, droop, extension in _parts(table, "cuffs", needed=CUFF, count=3)
    )
