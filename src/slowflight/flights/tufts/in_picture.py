"""Where each tuft is in the picture of a camera that does not move against the wing."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from slowflight.errors import InputError
from slowflight.wing.tomlfile import read_text

COLUMNS = ("tuft", "base x", "base y", "tip x", "tip y")
SHORTEST = 6.0  # shorter than this no direction can be read [pixels]


@dataclass(frozen=True, kw_only=True)
class TuftInPicture:
    """A tuft in the picture, lying in attached flow.

    Parameters
    ----------
    name : str
        As in the plan.
    base, tip : tuple of float
        Where the tape ends, and where the yarn does: x from the left, y from the top [pixels].
    """

    name: str
    base: tuple[float, float]
    tip: tuple[float, float]

    @property
    def length(self) -> float:
        """Of the yarn in the picture [pixels]."""
        return math.dist(self.base, self.tip)

    @property
    def direction(self) -> float:
        """Of attached flow in the picture: from the x axis toward the y axis, which points down [rad]."""
        return math.atan2(self.tip[1] - self.base[1], self.tip[0] - self.base[0])


def read_places(path: Path) -> tuple[TuftInPicture, ...]:
    """Read where tufts are in a picture.

    Parameters
    ----------
    path : Path
        A table with the columns tuft, base x, base y, tip x, tip y, in pixels.

    Returns
    -------
    tuple of TuftInPicture

    Raises
    ------
    InputError
        Where the table cannot be used; it names the line.
    """
    rows = table_rows(path, COLUMNS)
    found: list[TuftInPicture] = []
    for line, row in rows:
        numbers = [number(row[name], where=f"{path} line {line}, {name}") for name in COLUMNS[1:]]
        one = TuftInPicture(name=row["tuft"], base=(numbers[0], numbers[1]), tip=(numbers[2], numbers[3]))
        if one.length < SHORTEST:
            raise InputError(
                where=f"{path} line {line}",
                found=f"yarn of {one.length:.0f} pixels",
                needed=f"{SHORTEST:.0f} or more to have a direction",
                fix="a closer camera or a larger picture; or leave this tuft out",
            )
        if any(other.name == one.name for other in found):
            raise InputError(where=f"{path} line {line}", found=f"tuft {one.name} twice", needed="each once")
        found.append(one)
    return tuple(found)


def table_rows(path: Path, columns: Sequence[str]) -> list[tuple[int, dict[str, str]]]:
    """Read a table whose first line names these columns; line numbers and cells.

    Parameters
    ----------
    path : Path
        Commas, semicolons or tabs between cells; lines that begin with ``#`` are remarks.
    columns : sequence of str
        That it must have.

    Returns
    -------
    list of (int, dict)

    Raises
    ------
    InputError
        Where the file is missing or empty, a column is missing or a cell is blank.
    """
    lines = [
        (line, text)
        for line, text in enumerate(read_text(path, needed="a table").splitlines(), 1)
        if text.strip() and not text.lstrip().startswith("#")
    ]
    if not lines:
        raise InputError(where=str(path), found="an empty file", needed=f"columns {', '.join(columns)}")
    delimiter = max((";", "\t", ","), key=lines[0][1].count)
    head = [cell.strip().lower() for cell in next(csv.reader([lines[0][1]], delimiter=delimiter))]
    missing = [name for name in columns if name not in head]
    if missing or len(lines) < 2:
        raise InputError(
            where=str(path),
            found=f"no column {missing[0]!r}" if missing else "no line below the names",
            needed=f"columns {', '.join(columns)}, and a line for each tuft",
        )
    found = []
    for line, text in lines[1:]:
        cells = [cell.strip() for cell in next(csv.reader([text], delimiter=delimiter))]
        row = dict(zip(head, cells, strict=False))
        blank = next((name for name in columns if not row.get(name)), None)
        if blank is not None:
            raise InputError(where=f"{path} line {line}", found=f"no {blank}", needed="a value in every line")
        found.append((line, row))
    return found


def number(text: str, *, where: str) -> float:
    """Return a finite number; InputError where it is none."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError(where=where, found=repr(text), needed="a number")
    return value
