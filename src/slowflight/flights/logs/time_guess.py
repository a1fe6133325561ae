"""Guess how a table writes its time."""

from __future__ import annotations

import re

# Squeezed column names, and what they most likely hold until their cells say otherwise.
TIME_NAMES = {
    "time": "any",
    "timestamp": "any",
    "datetime": "any",
    "utc": "any",
    "utctime": "any",
    "gpstime": "any",
    "localtime": "any",
    "dateandtime": "any",
    "t": "any",
    "secondselapsed": "any",
    "elapsed": "any",
    "elapsedtime": "any",
    "seconds": "any",
    "sec": "any",
    "date": "date",
    "utcdate": "date",
    "localdate": "date",
    "gpsdate": "date",
    "lcldate": "date",
    "lcltime": "any",
    "utcoffset": "offset",
    "utcofst": "offset",
}
TIME_CHANNELS = ("timestamp", "date", "clock", "elapsed", "offset")
CLOCK_UNITS = ("hh:mm:ss", "hhmmss")
DATE_UNITS = ("ymd", "dmy", "mdy")
# Size of one unit [s]; those that begin with "epoch" count from 1970-01-01 UTC.
ELAPSED_UNITS = {
    "s": 1.0,
    "ms": 1e-3,
    "us": 1e-6,
    "ns": 1e-9,
    "min": 60.0,
    "h": 3600.0,
    "epoch s": 1.0,
    "epoch ms": 1e-3,
    "epoch us": 1e-6,
    "epoch ns": 1e-9,
}
_SPELLINGS = {
    "sec": "s",
    "seconds": "s",
    "second": "s",
    "millis": "ms",
    "msec": "ms",
    "µs": "us",
    "nanos": "ns",
}
_DATE = re.compile(r"(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})")
_CLOCK = re.compile(r"\d{1,2}:\d{2}(:\d{2}([.,]\d+)?)?\s*([aApP][mM])?")
_PACKED_CLOCK = re.compile(r"\d{6}(\.\d+)?")


def guess_time(kind: str, written: str, cells: list[str]) -> tuple[str | None, str, str, str]:
    """Guess one column of time.

    Parameters
    ----------
    kind : str
        What the name suggests, from `TIME_NAMES`.
    written : str
        A unit written with the name, or "".
    cells : list of str
        The first cells.

    Returns
    -------
    channel : str or None
        One of `TIME_CHANNELS`.
    unit : str
        One of those above.
    confidence : str
        ``"sure"``, ``"likely"`` or ``"unsure"``.
    why : str
    """
    filled = [cell.strip().strip('"') for cell in cells if cell.strip()]
    if not filled:
        return None, "", "unsure", "no time in the first lines"
    if kind == "offset":
        return "offset", "hh:mm", "sure", "named so"
    if kind == "date" or (_DATE.match(filled[0]) and not re.search(r"\d[T ]\s*\d", filled[0])):
        unit, confidence, why = _date_order(filled)
        return "date", unit, confidence, why
    if _DATE.match(filled[0]):
        unit, confidence, why = _date_order(filled)
        return "timestamp", unit, confidence, why
    if all(_CLOCK.fullmatch(cell) for cell in filled):
        return "clock", "hh:mm:ss", "sure", "written like a clock"
    try:
        first = float(filled[0].replace(",", "."))
        last = float(filled[-1].replace(",", "."))
    except ValueError:
        return None, "", "unsure", f"{filled[0]!r} is no time that is known"
    unit = _SPELLINGS.get(written.lower(), written.lower())
    for name, least in (("epoch ns", 1e17), ("epoch us", 1e14), ("epoch ms", 1e11), ("epoch s", 1e9)):
        if first > least:
            return "elapsed", name, "sure", "as large as time since 1970"
    if unit in ELAPSED_UNITS:
        return "elapsed", unit, "sure", "unit written"
    if all(_PACKED_CLOCK.fullmatch(cell) for cell in filled):
        return "clock", "hhmmss", "likely", "six digits"
    step = (last - first) / max(len(filled) - 1, 1)
    if step > 5.0:
        return "elapsed", "ms", "unsure", "no unit written; steps too long for seconds"
    return "elapsed", "s", "likely", "no unit written; steps like seconds"


def _date_order(cells: list[str]) -> tuple[str, str, str]:
    parts = [
        tuple(int(number) for number in found.groups()) for cell in cells if (found := _DATE.match(cell))
    ]
    if not parts:
        return "ymd", "unsure", "no date in the first lines"
    if parts[0][0] > 31:
        return "ymd", "sure", "year first"
    if any(first > 12 for first, _, _ in parts):
        return "dmy", "sure", "a first number above 12"
    if any(second > 12 for _, second, _ in parts):
        return "mdy", "sure", "a second number above 12"
    return "dmy", "unsure", "day and month could be the other way round"
