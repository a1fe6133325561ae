"""The time of each row of a table, from whichever columns hold it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import UTC, date, datetime

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.logs.log import FloatArray
from slowflight.flights.logs.mapping import Column
from slowflight.flights.logs.time_guess import ELAPSED_UNITS

DAY = 86_400.0
_EPOCH_DAY = date(1970, 1, 1).toordinal()
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?\s*([aApP][mM])?\s*(Z|[+-]\d{2}:?\d{2})?")
_DATE = re.compile(r"\D*(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})")
_OFFSET = re.compile(r"([+-]?)(\d{1,2}):?(\d{2})?")


class TableClock:
    """Reads time out of the columns of a table.

    Parameters
    ----------
    columns : dict of str to (int, Column)
        Place and column by channel.
    utc_offset : float or None
        Local time minus UTC [s], used where rows do not say it themselves.
    where : str
        The file, for messages.

    Raises
    ------
    InputError
        Where no column holds time.
    """

    def __init__(
        self, columns: dict[str, tuple[int, Column]], *, utc_offset: float | None, where: str
    ) -> None:
        self._columns = columns
        self._utc_offset = utc_offset
        self._days: dict[str, float] = {}
        if not {"timestamp", "clock", "elapsed"} & set(columns):
            raise InputError(
                where=where,
                found="no column of time",
                needed="one column with the time of each row",
                fix='give it channel = "timestamp", "clock" or "elapsed" in the saved mapping',
            )
        self.absolute = self._is_absolute()
        self.around_the_clock = "clock" in columns and not {"date", "timestamp"} & set(columns)

    def _is_absolute(self) -> bool:
        if "timestamp" in self._columns or {"clock", "date"} <= set(self._columns):
            return True
        return "elapsed" in self._columns and self._columns["elapsed"][1].unit.startswith("epoch")

    def times(self, by_column: Sequence[Sequence[str]]) -> FloatArray:
        """Return the time of each row [s], NaN where it cannot be read.

        Parameters
        ----------
        by_column : sequence of sequence of str
            The cells, column by column, each of length n.
        """
        if "timestamp" in self._columns:
            place, column = self._columns["timestamp"]
            zone = self._zone(by_column)
            return np.array([self._timestamp(cell, column.unit, zone) for cell in by_column[place]])
        if "clock" in self._columns:
            place, column = self._columns["clock"]
            packed = column.unit == "hhmmss"
            clock = np.array([_packed(cell) if packed else _clock(cell) for cell in by_column[place]])
            if "date" in self._columns:
                at, day_column = self._columns["date"]
                days = np.array([self._day(cell, day_column.unit) for cell in by_column[at]])
                return clock + DAY * days - self._zone(by_column)
            return clock
        place, column = self._columns["elapsed"]
        size = ELAPSED_UNITS[column.unit]
        try:
            return size * np.array(list(map(float, by_column[place])))
        except ValueError:
            return size * np.array([_float(cell) for cell in by_column[place]])

    def _zone(self, by_column: Sequence[Sequence[str]]) -> float:
        if "offset" in self._columns:
            cells = by_column[self._columns["offset"][0]]
            text = next((cell.strip() for cell in cells if cell.strip()), "")
            found = _OFFSET.fullmatch(text)
            if found:
                sign = -1.0 if found[1] == "-" else 1.0
                return sign * (3600.0 * float(found[2]) + 60.0 * float(found[3] or 0.0))
        return self._utc_offset or 0.0

    def _timestamp(self, cell: str, order: str, zone: float) -> float:
        text = cell.strip().strip('"')
        if order == "ymd":
            try:
                moment = datetime.fromisoformat(text)
            except ValueError:
                pass
            else:
                if moment.tzinfo is not None:
                    return moment.timestamp()
                return moment.replace(tzinfo=UTC).timestamp() - zone
        found = _DATE.match(text)
        if not found:
            return math.nan
        clock = _CLOCK.search(text, found.end())
        seconds = _clock(text[found.end() :].lstrip(" T,")) if clock else 0.0
        return DAY * self._day(found[0], order) + seconds - zone

    def _day(self, cell: str, order: str) -> float:
        if cell not in self._days:
            if len(self._days) > 1000:
                self._days.clear()
            self._days[cell] = _day(cell, order)
        return self._days[cell]


def _day(cell: str, order: str) -> float:
    found = _DATE.match(cell.strip())
    if not found:
        return math.nan
    parts = dict(zip(order, (int(number) for number in found.groups()), strict=True))
    year = parts["y"] + (2000 if parts["y"] < 100 else 0)
    try:
        return float(date(year, parts["m"], parts["d"]).toordinal() - _EPOCH_DAY)
    except ValueError:
        return math.nan


def _clock(cell: str) -> float:
    found = _CLOCK.match(cell.strip().strip('"'))
    if not found:
        return math.nan
    hours, minutes, seconds = int(found[1]), int(found[2]), float((found[3] or "0").replace(",", "."))
    if found[4]:
        hours = hours % 12 + (12 if found[4].lower() == "pm" else 0)
    if hours > 24 or minutes > 59 or seconds >= 61.0:
        return math.nan
    return 3600.0 * hours + 60.0 * minutes + seconds


def _packed(cell: str) -> float:
    value = _float(cell)
    if math.isnan(value):
        return value
    whole = int(value)
    return 3600.0 * (whole // 10_000) + 60.0 * (whole // 100 % 100) + value - 100.0 * (whole // 100)


def _float(cell: str) -> float:
    try:
        return float(cell.replace(",", "."))
    except ValueError:
        return math.nan
