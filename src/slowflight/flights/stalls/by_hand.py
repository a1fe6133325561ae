"""Stalls that nobody logged: called out in flight and written on a card."""

from __future__ import annotations

import math
from pathlib import Path

from slowflight.errors import InputError, RangeError
from slowflight.flights.logs.hand_card import CardRow, read_card
from slowflight.flights.logs.log_units import (
    ANGLE_IN_LOGS,
    CLIMB_IN_LOGS,
    LENGTH_IN_LOGS,
    LOAD_IN_LOGS,
    SPEED_IN_LOGS,
    TEMPERATURE_IN_LOGS,
    LogQuantity,
    LogUnit,
)
from slowflight.flights.stall_record import ENDINGS, UNUSABLE, SourceRows
from slowflight.flights.stalls.event import StallEvent
from slowflight.flights.stalls.settings import STALL_SETTINGS, StallSettings

SLOWING_ON_CARDS = LogQuantity(
    "a rate of slowing",
    {"kt/s": LogUnit(1852.0 / 3600.0), "mph/s": LogUnit(1609.344 / 3600.0), "m/s2": LogUnit(1.0)},
    {"kts/s": "kt/s", "knots/s": "kt/s"},
)
TIME_ON_CARDS = LogQuantity(
    "a time", {"s": LogUnit(1.0), "min": LogUnit(60.0)}, {"sec": "s", "minutes": "min"}
)
COLUMNS = {
    "time": TIME_ON_CARDS,
    "flap": ANGLE_IN_LOGS,
    "speed": SPEED_IN_LOGS,
    "rate": SLOWING_ON_CARDS,
    "warning": SPEED_IN_LOGS,
    "load factor": LOAD_IN_LOGS,
    "bank": ANGLE_IN_LOGS,
    "sink": CLIMB_IN_LOGS,
    "height lost": LENGTH_IN_LOGS,
    "height": LENGTH_IN_LOGS,
    "temperature": TEMPERATURE_IN_LOGS,
}
# Of one speed read off a moving needle and called out; common practice, no source [m/s].
READING = 0.75 * 1852.0 / 3600.0


def read_stall_card(path: Path | str, *, settings: StallSettings = STALL_SETTINGS) -> list[StallEvent]:
    """Read stalls from a card.

    Parameters
    ----------
    path : Path or str
        A table with the columns ``time`` (since take-off), ``flap``, ``speed``, ``rate`` and ``ending``,
        and, where noted, ``warning``, ``load factor``, ``bank``, ``sink``, ``height lost``, ``height``
        (pressure altitude), ``temperature`` and ``remark``; each but the words with its unit behind the name.
    settings : StallSettings, optional
        Limits of bank and entry rate, as for logs.

    Returns
    -------
    list of StallEvent
        With the same five endings as from a log.

    Raises
    ------
    InputError
        As for `read_card`, and where an ending is not one of the five.
    RangeError
        Where a speed is not above 0.
    """
    rows = read_card(
        path,
        numbers=COLUMNS,
        words=("ending", "remark"),
        required=("time", "flap", "speed", "rate", "ending"),
    )
    return [_event(row, name=Path(path).name, where=str(path), settings=settings) for row in rows]


def _event(row: CardRow, *, name: str, where: str, settings: StallSettings) -> StallEvent:
    place = f"{where} line {row.line}"
    ending = row.words["ending"].lower().replace(" ", "-")
    if ending not in ENDINGS:
        raise InputError(
            where=f"{place}, ending", found=repr(row.words["ending"]), needed=f"one of {', '.join(ENDINGS)}"
        )
    numbers = row.numbers
    if not numbers["speed"] > 0.0:
        raise RangeError(where=f"{place}, speed", found=f"{numbers['speed']:g} m/s", needed="above 0")
    bank, rate = numbers.get("bank"), numbers["rate"]
    troubles = []
    if bank is not None and abs(bank) > settings.steepest_bank:
        troubles.append(f"banked {abs(math.degrees(bank)):.0f} degrees on the way in")
    if not settings.lowest_rate <= rate <= settings.highest_rate:
        troubles.append(f"slowed by {rate / (1852.0 / 3600.0):.1f} kt/s")
    load = numbers.get("load factor")
    sink = numbers.get("sink")
    return StallEvent(
        time=numbers["time"],
        start=numbers["time"],
        stop=numbers["time"],
        ending=UNUSABLE if troubles else ending,
        why="; ".join(
            [*troubles, "called out and written on a card", *filter(None, [row.words.get("remark")])]
        ),
        speed=numbers["speed"],
        speed_uncertainty=READING,
        entry_rate=rate,
        load_factor=load if load is not None else 1.0 / math.cos(min(abs(bank or 0.0), 1.2)),
        load_uncertainty=0.0,
        load_recorded=load is not None,
        pitch=None,
        roll=bank,
        climb=None if sink is None else -abs(sink),
        greatest_roll=None,
        height_lost=numbers.get("height lost"),
        buffet_speed=None,
        flap_deg=math.degrees(numbers["flap"]),
        pressure_altitude=numbers.get("height"),
        outside_temperature=numbers.get("temperature"),
        source=SourceRows(file=name, first=row.line, last=row.line),
        warning_speed=numbers.get("warning"),
    )
