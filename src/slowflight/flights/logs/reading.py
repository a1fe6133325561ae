"""One door for every kind of log: find out what it is and read it flight by flight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.logs.block import Block, Tally
from slowflight.flights.logs.clock import mend_clock
from slowflight.flights.logs.flights_apart import MOST_ROWS, stretches
from slowflight.flights.logs.gpx import read_gpx
from slowflight.flights.logs.igc import read_igc
from slowflight.flights.logs.log import Log, Step
from slowflight.flights.logs.mapping import Mapping, mapping_of
from slowflight.flights.logs.nmea import read_nmea
from slowflight.flights.logs.opening import LogText, open_log
from slowflight.flights.logs.table_reader import read_table
from slowflight.flights.logs.table_shape import table_shape
from slowflight.flights.logs.table_time import DAY

FEWEST_ROWS = 2
# More of a file left out than this is said loudly; common practice, no source.
MUCH_LEFT_OUT = 0.2


def kind_of(text: LogText) -> str:
    """Return ``"gpx"``, ``"nmea"``, ``"igc"`` or ``"table"``."""
    head = text.head
    if "<gpx" in head[:4000].lower():
        return "gpx"
    lines = [line for line in head.split("\n")[:400] if line.strip()]
    if sum(line.startswith("$") and "," in line for line in lines) > 0.5 * len(lines):
        return "nmea"
    fixes = sum(line.startswith("B") and line[1:7].isdigit() for line in lines)
    if fixes and (lines[0].startswith(("A", "H")) or fixes > 0.5 * len(lines)):
        return "igc"
    return "table"


def read_logs(
    path: Path | str,
    *,
    mapping: Mapping | None = None,
    accept_guess: bool = False,
    most_rows: int = MOST_ROWS,
) -> Iterator[Log]:
    """Read every flight of a file.

    Parameters
    ----------
    path : Path or str
        A table, GPX, NMEA 0183 or IGC file of any size; it is only read.
    mapping : Mapping, optional
        Which column of a table is what. Not needed for the other kinds.
    accept_guess : bool, optional
        Read a table by an unconfirmed guess; the history says so.
    most_rows : int, optional
        A flight with more rows comes in parts, so that memory stays bounded.

    Yields
    ------
    Log
        One for each flight or part of one, as recorded but with its clock mended; see `clean` for the values.

    Raises
    ------
    InputError
        Where the file cannot be used at all, or a guess has not been confirmed.
    """
    text = open_log(path)
    kind = kind_of(text)
    tally = Tally()
    remarks: list[Step] = []
    if kind == "table":
        mapping = _usable(text, mapping, accept_guess=accept_guess, remarks=remarks)
        blocks = read_table(text, mapping, tally)
    else:
        blocks = {"gpx": read_gpx, "nmea": read_nmea, "igc": read_igc}[kind](text, tally)
    part, kept = 0, 0
    for held, why in stretches(blocks, most_rows=most_rows):
        counts = tally.take()
        if sum(block.time.size for block in held) < FEWEST_ROWS:
            continue
        log = _assembled(
            held, source=text.path.name, kind=kind, part=part + 1, zone_known=_zone_known(kind, mapping)
        )
        if len(log) < FEWEST_ROWS:
            for what, (n, first, last) in counts.items():
                tally.kinds[what] = [n, first, last]
            continue
        part += 1
        kept += len(log)
        left_out = [
            Step(what=what, by="read_logs", count=n, first_row=first, last_row=last)
            for what, (n, first, last) in counts.items()
        ]
        if sum(n for n, _, _ in counts.values()) > MUCH_LEFT_OUT * max(kept, 1):
            left_out.insert(0, Step(what="a large part of the file could not be read", by="read_logs"))
        if why == "long":
            left_out.append(
                Step(
                    what="the flight is longer than is read at once; it goes on in the next part",
                    by="read_logs",
                )
            )
        yield replace(log, history=(*remarks, *left_out, *log.history))
    if part == 0:
        counts = tally.take()
        trouble = "; ".join(f"{n} {what}" for what, (n, _, _) in counts.items())
        raise InputError(
            where=str(path),
            found=f"no readings{f' ({trouble})' if trouble else ''}",
            needed="at least two lines with a time and a value",
            fix="copy it again from the recorder",
        )


def read_log(
    path: Path | str, *, mapping: Mapping | None = None, accept_guess: bool = False, part: int | None = None
) -> Log:
    """Read one flight of a file.

    Parameters
    ----------
    path, mapping, accept_guess
        As for `read_logs`.
    part : int, optional
        Which flight, from 1; may be left out where the file holds one only.

    Returns
    -------
    Log

    Raises
    ------
    InputError
        As `read_logs`, and where the file holds several flights or not that one.
    """
    found = list(read_logs(path, mapping=mapping, accept_guess=accept_guess))
    if part is None and len(found) > 1:
        raise InputError(
            where=str(path),
            found=f"{len(found)} flights, with {', '.join(str(len(log)) for log in found)} readings",
            needed="which of them",
            fix="name the flight by its number, the first being 1",
        )
    wanted = 1 if part is None else part
    if not 1 <= wanted <= len(found):
        raise InputError(where=str(path), found=f"{len(found)} flights", needed=f"a flight {wanted}")
    return found[wanted - 1]


def _usable(text: LogText, mapping: Mapping | None, *, accept_guess: bool, remarks: list[Step]) -> Mapping:
    where = str(text.path)
    if mapping is None:
        mapping = mapping_of(table_shape(text.head, where=where))
        if not any(column.channel for column in mapping.columns):
            raise InputError(
                where=where,
                found=f"columns {', '.join(repr(column.name) for column in mapping.columns)}, none known",
                needed="a mapping that says what they are",
                fix="save the guess as a mapping, give each column its channel and unit, and confirm it",
            )
    if mapping.confirmed:
        return mapping
    if not accept_guess:
        unsure = [f"{column.name!r} ({column.unit})" for column in mapping.unsure()]
        raise InputError(
            where=where,
            found="columns that were guessed and not confirmed"
            + (f", unsure of {', '.join(unsure)}" if unsure else ""),
            needed="a mapping that the owner has confirmed",
            fix="save the guess, check it, set confirmed = true",
        )
    remarks.append(Step(what="columns and units were guessed and nobody has confirmed them", by="read_logs"))
    remarks.extend(
        Step(what=f"{column.name!r} was read as {column.unit}, {column.remark}", by="read_logs")
        for column in mapping.unsure()
    )
    return mapping


def _zone_known(kind: str, mapping: Mapping | None) -> bool:
    if kind != "table" or mapping is None:
        return True
    channels = {column.channel: column.unit for column in mapping.columns}
    from_epoch = channels.get("elapsed", "").startswith("epoch")
    return from_epoch or "offset" in channels or mapping.utc_offset is not None


def _assembled(held: list[Block], *, source: str, kind: str, part: int, zone_known: bool) -> Log:
    names = list(held[0].channels)
    channels = {name: np.concatenate([block.channels[name] for block in held]) for name in names}
    time = np.concatenate([block.time for block in held])
    rows = np.concatenate([block.rows for block in held])
    for values in channels.values():
        values[np.isinf(values)] = np.nan  # damaged digits can make any number
    readable = np.isfinite(time)
    # A receiver may take a while until it names the date: those rows belong to the day that comes first.
    dated = time >= DAY
    if dated.any() and not dated.all():
        first = int(np.argmax(dated))
        time[:first] += DAY * np.floor(time[first] / DAY) * ~dated[:first]
    absolute = bool(readable.any()) and bool(np.nanmin(time) > 1e8)
    log = Log(
        source=source,
        kind=kind,
        part=part,
        time=time[readable],
        absolute=absolute,
        rows=rows[readable],
        channels={name: values[readable] for name, values in channels.items() if np.isfinite(values).any()},
    )
    if absolute and not zone_known:
        log = log.done(
            Step(
                what="the clock was taken as UTC unless a row says otherwise; no offset is known",
                by="read_logs",
            )
        )
    return mend_clock(log)
