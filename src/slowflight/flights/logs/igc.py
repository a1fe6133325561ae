"""IGC flight records: fixes with pressure and GNSS height, one line each.

Fields: FAI/IGC technical specification for GNSS flight recorders, appendix A: H records name the date, I
records say which extra columns a B record ends with.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from datetime import date

import numpy as np

from slowflight.flights.logs.block import Block, Tally
from slowflight.flights.logs.opening import LogText
from slowflight.flights.logs.table_time import DAY

BLOCK_ROWS = 20_000
_FIX = re.compile(
    r"B(\d{2})(\d{2})(\d{2})(\d{2})(\d{5})([NS])(\d{3})(\d{5})([EW])([AV])([-\d]\d{4})([-\d]\d{4})"
)
_DATE = re.compile(r"HFDTE\D*(\d{2})(\d{2})(\d{2})")
# Extra columns by their three letters: channel, and size of one count in SI (the specification's units).
_EXTRAS = {
    "GSP": ("ground_speed", 1.0 / 3.6 / 100.0),
    "TAS": ("true_airspeed", 1.0 / 3.6 / 100.0),
    "IAS": ("indicated_airspeed", 1.0 / 3.6 / 100.0),
    "TRT": ("track", math.pi / 180.0),
}
_EPOCH_DAY = date(1970, 1, 1).toordinal()


def read_igc(text: LogText, tally: Tally) -> Iterator[Block]:
    """Read the fixes of an IGC record.

    Parameters
    ----------
    text : LogText
        The opened file.
    tally : Tally
        Gets what had to be left out.

    Yields
    ------
    Block
        Speeds only where the record has extra columns for them. A fix marked as without valid position keeps
        its pressure height alone.
    """
    names = [
        "latitude",
        "longitude",
        "pressure_altitude",
        "altitude",
        *(name for name, _ in _EXTRAS.values()),
    ]
    extras: list[tuple[str, float, slice]] = []
    day, clock_before = math.nan, -1.0
    rows: list[tuple[float, ...]] = []
    lines: list[int] = []
    fresh = False
    for number, line in text.lines():
        if line.startswith("HFDTE"):
            found = _DATE.match(line)
            if found:
                if rows:
                    yield _block(rows, lines, names, fresh=fresh)
                    rows, lines, fresh = [], [], True
                day, clock_before = _day(found), -1.0
            continue
        if line.startswith("I"):
            extras = _extras(line)
            continue
        if not line.startswith("B"):
            continue
        fix = _FIX.match(line)
        if fix is None:
            tally.note("fixes cut short or garbled", number)
            continue
        clock = 3600.0 * int(fix[1]) + 60.0 * int(fix[2]) + int(fix[3])
        if clock < clock_before - 0.5 * DAY and not math.isnan(day):
            day += 1.0  # past midnight
        clock_before = clock
        values = dict.fromkeys(names, math.nan)
        if fix[10] == "A":
            values["latitude"] = _degrees(fix[4], fix[5], fix[6])
            values["longitude"] = _degrees(fix[7], fix[8], fix[9])
            values["altitude"] = float(fix[12])
        else:
            tally.note("fixes without a valid position", number)
        values["pressure_altitude"] = float(fix[11])
        for name, size, place in extras:
            cell = line[place]
            values[name] = size * int(cell) if cell.isdigit() else math.nan
        rows.append((clock + DAY * (0.0 if math.isnan(day) else day), *values.values()))
        lines.append(number)
        if len(rows) >= BLOCK_ROWS:
            yield _block(rows, lines, names, fresh=fresh)
            rows, lines, fresh = [], [], False
    if rows:
        yield _block(rows, lines, names, fresh=fresh)


def _extras(line: str) -> list[tuple[str, float, slice]]:
    found = []
    for start, stop, letters in re.findall(r"(\d{2})(\d{2})([A-Z]{3})", line[3:]):
        if letters in _EXTRAS:
            name, size = _EXTRAS[letters]
            found.append((name, size, slice(int(start) - 1, int(stop))))
    return found


def _degrees(whole: str, thousandths: str, side: str) -> float:
    degrees = int(whole) + int(thousandths) / 60_000.0
    return math.radians(-degrees if side in "SW" else degrees)


def _day(found: re.Match[str]) -> float:
    try:
        return float(date(2000 + int(found[3]), int(found[2]), int(found[1])).toordinal() - _EPOCH_DAY)
    except ValueError:
        return math.nan


def _block(rows: list[tuple[float, ...]], lines: list[int], names: list[str], *, fresh: bool) -> Block:
    table = np.array(rows)
    return Block(
        time=table[:, 0],
        rows=np.array(lines, dtype=np.int64),
        channels={name: table[:, 1 + i] for i, name in enumerate(names)},
        fresh=fresh,
    )
