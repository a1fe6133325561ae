"""Small tables of readings that an owner types."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping
from pathlib import Path

from slowflight.errors import InputError
from slowflight.wing.tomlfile import read_text

DECIMAL = re.compile(r"[+-]?\d*,\d+")


def read_readings(path: str | Path, needed: tuple[str, ...]) -> list[tuple[str, Mapping[str, str]]]:
    """Read a small table of readings, remarks left out.

    Parameters
    ----------
    path : str or Path
        Text with commas or, as some spreadsheets write it, with semicolons and decimal commas; its first line
        names the columns.
    needed : tuple of str
        Columns it must have.

    Returns
    -------
    list of (str, mapping)
        For each line where it stands, for messages, and its cells.

    Raises
    ------
    InputError
        Where the file or a column is missing, or a line has more cells than there are columns.
    """
    place = Path(path)
    text = read_text(place, needed=f"a table with the columns {', '.join(needed)}")
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    separator = ";" if lines and lines[0].count(";") > lines[0].count(",") else ","
    reader = csv.DictReader(io.StringIO("\n".join(lines)), skipinitialspace=True, delimiter=separator)
    names = [(name or "").strip() for name in reader.fieldnames or ()]
    for name in needed:
        if name not in names:
            raise InputError(
                where=str(place), found=f"no column {name!r}", needed=f"columns {', '.join(needed)}"
            )
    found: list[tuple[str, Mapping[str, str]]] = []
    for number, cells in enumerate(reader, start=1):
        where = f"{place} reading {number}"
        if None in cells:  # a spreadsheet's empty columns have a place in the first line too
            raise InputError(
                where=where,
                found="more cells than columns",
                needed=f"{len(names)} cells",
                fix="decimal commas need semicolons between the cells",
            )
        found.append((where, {k.strip(): _plain(v or "", separator) for k, v in cells.items()}))
    return found


def _plain(cell: str, separator: str) -> str:
    """Write a decimal comma as a point where cells are parted by semicolons."""
    return cell.replace(",", ".") if separator == ";" and DECIMAL.fullmatch(cell.strip()) else cell


def number_in(cells: Mapping[str, str], name: str, where: str) -> float:
    """Return a cell as a number; InputError where it is none."""
    try:
        value = float(cells.get(name, ""))
    except ValueError:
        value = float("nan")
    if not math.isfinite(value):
        raise InputError(
            where=f"{where} {name}", found=repr(cells.get(name, "")), needed="a number, without its unit"
        )
    return value
