"""The line that makes a file one of caliper offsets: it names the columns station, upper and lower."""

from __future__ import annotations

import re
from dataclasses import dataclass

from slowflight.errors import SectionError
from slowflight.wing.file_remarks import METERS, PER_CENT, unit_of

COLUMNS = ("station", "upper", "lower")
_COLUMN = re.compile(
    r"\b(station|upper|lower)(?:[\s_]*[\[(]?\s*(mm|cm|m|inch(?:es)?|in|ft|%))?(?![a-z])", re.IGNORECASE
)


@dataclass(frozen=True)
class CaliperColumns:
    """Which number of a row is what.

    Parameters
    ----------
    place : dict of str to int
        Index of station, upper and lower in a row.
    unit : dict of str to str or None
        Unit of each, a key of `METERS` or ``"per cent"``; ``None`` where the header does not say.
    """

    place: dict[str, int]
    unit: dict[str, str | None]


def is_caliper_header(line: str) -> bool:
    """Tell whether a line names the columns of caliper offsets."""
    return {name.lower() for name, _ in _COLUMN.findall(line.replace("_", " "))} == set(COLUMNS)


def read_caliper_header(line: str, *, unit: str | None, where: str) -> CaliperColumns:
    """Read which column is what, and in which unit.

    Parameters
    ----------
    line : str
        Such as ``"station in, upper in, lower in"``.
    unit : str or None
        Unit for columns that name none, from elsewhere in the file.
    where : str
        The file, for messages.

    Returns
    -------
    CaliperColumns

    Raises
    ------
    SectionError
        Where a column is named twice or has no unit, or a height is in per cent.
    """
    found = _COLUMN.findall(line.replace("_", " "))
    names = [name.lower() for name, _ in found]
    if sorted(names) != sorted(COLUMNS):
        raise SectionError(
            where=where, found=repr(line[:60]), needed="the columns station, upper and lower, once each"
        )
    units = {name.lower(): unit_of(word) if word else unit for name, word in found}
    for name, its_unit in units.items():
        if its_unit not in METERS and not (its_unit == PER_CENT and name == "station"):
            raise SectionError(
                where=where,
                found=f"the column {name!r} " + (f"in {its_unit}" if its_unit else "without a unit"),
                needed="a length unit for each column",
                fix='write the header like "station mm, upper mm, lower mm"',
            )
    return CaliperColumns(place={name: names.index(name) for name in COLUMNS}, unit=units)
