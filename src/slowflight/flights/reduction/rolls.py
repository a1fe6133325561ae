"""The home roll test of the book: each record read, before beside after at each multiple of stall speed."""

from __future__ import annotations

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.book.entries import AFTER, BEFORE, Book, RollRecord
from slowflight.flights.handling.roll_test import Passage, compare_rolls, find_passages
from slowflight.flights.handling.scorecard import Finding
from slowflight.flights.logs.mapping import read_mapping
from slowflight.flights.logs.reading import read_log


def roll_findings(book: Book) -> tuple[tuple[Finding, ...], list[str]]:
    """Judge the roll tests of a book.

    Parameters
    ----------
    book : Book
        With its records of rolls.

    Returns
    -------
    findings : tuple of Finding
        For each multiple of stall speed that was flown before and after.
    remarks : list of str
        Records and comparisons that could not be used, and why.
    """
    rolls: dict[tuple[float, str], list[Passage]] = {}
    remarks = []
    for record in book.rolls:
        try:
            rolls.setdefault((record.times, record.side), []).extend(_passages(record))
        except (InputError, OSError) as error:
            remarks.append(f"roll test not used: {error}")
    findings: list[Finding] = []
    for times in sorted({times for times, _ in rolls}):
        before, after = rolls.get((times, BEFORE), []), rolls.get((times, AFTER), [])
        try:
            findings += compare_rolls(before, after, at=f"{times:g} times stall speed")
        except InputError as error:
            remarks.append(f"roll test at {times:g} times stall speed not compared: {error}")
    return tuple(findings), remarks


def _passages(record: RollRecord) -> tuple[Passage, ...]:
    mapping = None if record.columns is None else read_mapping(record.columns)
    log = read_log(record.log, mapping=mapping)
    rate = log.channel(record.axis.lstrip("-")) * (-1.0 if record.axis.startswith("-") else 1.0)
    there = np.isfinite(rate)
    time = log.time[there] - log.time[0]
    return find_passages(time=time, roll_rate=rate[there], still_until=record.still)
