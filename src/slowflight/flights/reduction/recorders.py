"""What recorded a flight: its log cleaned, and that of a second recorder brought to the same clock."""

from __future__ import annotations

from pathlib import Path

from slowflight.errors import InputError
from slowflight.flights.airspeed.panel_health import panel_faults
from slowflight.flights.book.entries import FlightEntry
from slowflight.flights.book.raw_files import digest
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.logs.log import Log
from slowflight.flights.logs.mapping import read_mapping
from slowflight.flights.logs.reading import read_log
from slowflight.flights.logs.synchronize import Offset, find_offset, joined

# Of an offset that was read off by eye, from claps or pulls; common practice, no source [s].
BY_EYE = 0.5


def read_recorders(entry: FlightEntry) -> tuple[Log, list[str], float]:
    """Read the log or logs of a flight.

    Parameters
    ----------
    entry : FlightEntry
        With a log.

    Returns
    -------
    log : Log
        Cleaned; with the channels of the second recorder that the first has not.
    remarks : list of str
        What was done to it and what is wrong with it, for the pilot. A second log that cannot be used is
        left out and says so.
    clock : float
        Standard uncertainty between the clocks of both recorders [s]; 0 with one.

    Raises
    ------
    InputError
        Where the first log cannot be used.
    """
    if entry.log is None:
        raise InputError(where=entry.where, found="no log", needed="a log")
    log = _cleaned(entry.log, entry.columns, part=entry.part)
    clock, remarks = 0.0, []
    if entry.digest and digest(entry.log) != entry.digest:
        remarks.append("the log is no longer the file that was added: a raw log must not be changed")
    if entry.second_log is not None:
        try:
            other = _cleaned(entry.second_log, entry.second_columns, part=None)
            offset = _offset(log, other, entry.clocks_apart)
            log, clock = joined(log, other, offset), offset.uncertainty
            remarks.append(
                f"clocks of both recorders known to {clock:.2f} s, so many knots of stall speed at 1 kt/s"
            )
        except InputError as error:
            remarks.append(f"second recorder not used: {error}")
    remarks += [
        f"{step.channel.replace('_', ' ') + ': ' if step.channel else ''}{step.what}"
        + (f" ({step.count} times, lines {step.first_row} to {step.last_row})" if step.first_row else "")
        for step in log.history
    ]
    remarks += [f"{fault.sentence} Stop the test until it is known." for fault in panel_faults(log)]
    return log, remarks, clock


def _cleaned(file: Path, columns: Path | None, *, part: int | None) -> Log:
    mapping = None if columns is None else read_mapping(columns)
    if mapping is not None and not mapping.confirmed:
        raise InputError(
            where=str(columns),
            found="columns that were guessed and not confirmed",
            needed="an owner who has looked at them: a speed in mph taken for knots is 15 % wrong",
            fix="check every line, then set confirmed = true",
        )
    return clean(read_log(file, mapping=mapping, part=part))


def _offset(log: Log, other: Log, given: float | None) -> Offset:
    """By what both felt; where that does not stand out, as the pilot gave it."""
    try:
        return find_offset(log, other, around=given or 0.0)
    except InputError:
        if given is None:
            raise
        return Offset(seconds=given, correlation=0.0, second=0.0, channels=("", ""), uncertainty=BY_EYE)
