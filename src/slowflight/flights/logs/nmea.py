"""Receiver sentences after NMEA 0183: position, speed, track and height, each sentence checked by its sum.

Fields: NMEA 0183 sentences RMC, VTG, GGA and ZDA. RMC and VTG give speed in knots and true track, GGA height
above mean sea level, fix quality, satellites and dilution.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from functools import reduce

import numpy as np

from slowflight.flights.logs.block import Block, Tally
from slowflight.flights.logs.opening import LogText
from slowflight.units import SPEED

BLOCK_ROWS = 20_000
KNOT = SPEED.factors["kt"]
_CHANNELS = (
    "latitude",
    "longitude",
    "altitude",
    "ground_speed",
    "track",
    "satellites",
    "dilution",
    "fix",
)
_EPOCH_DAY = date(1970, 1, 1).toordinal()
DAY = 86_400.0


def checksum(body: str) -> int:
    """Exclusive or of all bytes between ``$`` and ``*``."""
    return reduce(lambda total, byte: total ^ byte, body.encode("latin-1", errors="replace"), 0)


def sentence(line: str) -> list[str] | None:
    """Return the fields of a sentence whose sum is right, else None.

    Examples
    --------
    >>> sentence("$GPVTG,220.86,T,,M,2.550,N,4.724,K,A*34")[5]
    '2.550'
    >>> sentence("$GPVTG,220.86,T,,M,2.560,N,4.724,K,A*34") is None
    True
    """
    start, star = line.find("$"), line.rfind("*")
    if start < 0 or star < start:
        return None
    body = line[start + 1 : star]
    try:
        right = int(line[star + 1 : star + 3], 16) == checksum(body)
    except ValueError:
        return None
    return body.split(",") if right else None


class _Moment:
    """What the sentences of one instant say."""

    def __init__(self) -> None:
        self.clock = math.nan
        self.line = 0
        self.values: dict[str, float] = {}


def read_nmea(text: LogText, tally: Tally) -> Iterator[Block]:
    """Read the sentences of a receiver.

    Parameters
    ----------
    text : LogText
        The opened file.
    tally : Tally
        Gets what had to be left out: sentences whose sum is wrong, and those without a valid fix.

    Yields
    ------
    Block
        One row for each instant. The time is UTC where a sentence named the date, else seconds of the day.
    """
    day = math.nan
    moment = _Moment()
    rows: list[tuple[float, ...]] = []
    lines: list[int] = []
    for number, line in text.lines():
        if not line or line.isspace():
            continue
        fields = sentence(line)
        if fields is None:
            tally.note("sentences cut short or with a wrong sum", number)
            continue
        kind = fields[0][-3:]
        if kind == "ZDA" and len(fields) > 4:
            day = _day(fields[2], fields[3], fields[4], day)
            continue
        if kind not in ("RMC", "GGA", "VTG"):
            continue
        clock = _clock(fields[1]) if kind != "VTG" and len(fields) > 1 else moment.clock
        if not math.isnan(clock) and clock != moment.clock:
            if moment.values:
                rows.append(_row(moment, day))
                lines.append(moment.line)
            moment = _Moment()
            moment.clock = clock
        moment.line = number
        if kind == "RMC" and len(fields) > 9:
            day = _day(fields[9][:2], fields[9][2:4], fields[9][4:6], day)
        if not _take(kind, fields, moment.values):
            tally.note("sentences without a valid fix", number)
        if len(rows) >= BLOCK_ROWS:
            yield _block(rows, lines)
            rows, lines = [], []
    if moment.values and not math.isnan(moment.clock):
        rows.append(_row(moment, day))
        lines.append(moment.line)
    if rows:
        yield _block(rows, lines)


def _take(kind: str, fields: list[str], values: dict[str, float]) -> bool:
    fields = fields + [""] * 12
    if kind == "RMC":
        if fields[2] != "A":
            return False
        values["latitude"], values["longitude"] = (
            _degrees(fields[3], fields[4]),
            _degrees(fields[5], fields[6]),
        )
        values["ground_speed"] = KNOT * _float(fields[7])
        values["track"] = math.radians(_float(fields[8]))
    elif kind == "VTG":
        values.setdefault("track", math.radians(_float(fields[1])))
        values.setdefault("ground_speed", KNOT * _float(fields[5]))
    else:
        values["fix"] = _float(fields[6])
        if not values["fix"] >= 1.0:
            return False
        values["latitude"], values["longitude"] = (
            _degrees(fields[2], fields[3]),
            _degrees(fields[4], fields[5]),
        )
        values["satellites"], values["dilution"] = _float(fields[7]), _float(fields[8])
        values["altitude"] = _float(fields[9])
    return True


def _row(moment: _Moment, day: float) -> tuple[float, ...]:
    # Without a date the day counts as zero; the assembly then says that the time is no UTC.
    time = moment.clock + DAY * (0.0 if math.isnan(day) else day)
    return (time, *(moment.values.get(name, math.nan) for name in _CHANNELS))


def _block(rows: list[tuple[float, ...]], lines: list[int]) -> Block:
    table = np.array(rows)
    return Block(
        time=table[:, 0],
        rows=np.array(lines, dtype=np.int64),
        channels={name: table[:, 1 + i] for i, name in enumerate(_CHANNELS)},
    )


def _clock(text: str) -> float:
    try:
        return 3600.0 * int(text[:2]) + 60.0 * int(text[2:4]) + float(text[4:])
    except ValueError:
        return math.nan


def _day(day: str, month: str, year: str, before: float) -> float:
    try:
        number = int(year)
        return float(
            date(number + 2000 if number < 100 else number, int(month), int(day)).toordinal() - _EPOCH_DAY
        )
    except ValueError:
        return before


def _degrees(text: str, side: str) -> float:
    value = _float(text)
    whole = math.floor(value / 100.0) if not math.isnan(value) else 0.0
    degrees = whole + (value - 100.0 * whole) / 60.0
    return math.radians(-degrees if side in ("S", "W") else degrees)


def _float(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan
