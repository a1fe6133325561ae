"""Small tables of readings that an owner types."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping
from pathlib import Path

from slowflight.errors import InputError
from slowflight.wing.tomlfile import read_text


def read_readings(path: str | Path, needed: tuple[str, ...]) -> list[tuple[str, Mapping[str, str]]]:
    """Read a small table of readings, remarks left out.

    Parameters
    ----------
    path : str or Path
        Text with commas; its first line names the columns.
    needed : tuple of str
        Columns it must have.

    Returns
    -------
    list of (str, mapping)
        For each line where it stands, for messages, and its cells.

    Raises
    ------
    InputError
        Where the file or a column is missing.
    """
    place = Path(path)
    text = read_text(place, needed=f"a table with the columns {', '.join(needed)}")
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    reader = csv.DictReader(io.StringIO("\n".join(lines)), skipinitialspace=True)
    names = [(name or "").strip() for name in reader.fieldnames or ()]
    for name in needed:
        if name not in names:
            raise InputError(
                where=str(place), found=f"no column {name!r}", needed=f"columns {', '.join(needed)}"
            )
    return [
        (
            f"{place} reading {number}",
            {(k or "").strip(): (v or "") for k, v in cells.items() if isinstance(v, str)},
        )
        for number, cells in enumerate(reader, start=1)
    ]


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
