"""How a table is written: delimiter, decimal mark, and which line names the columns."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from slowflight.errors import InputError
from slowflight.flights.logs.cells import is_blank, is_comma_number, is_data, split_line
from slowflight.flights.logs.log_units import is_a_unit

DELIMITERS = (",", ";", "\t", "|", " ")
MOST_LINES = 300


@dataclass(frozen=True, kw_only=True)
class TableShape:
    """How a table is written.

    Parameters
    ----------
    delimiter : str
        Between cells.
    decimal : str
        ``"."`` or ``","``.
    header_line : int
        Line that names the columns, from 1.
    first_line : int
        First line of data.
    names : tuple of str
        Of the columns, as written.
    units : tuple of str
        As written in a line of units, each "" where there is none.
    sample : tuple of tuple of str
        The first lines of data, cut into cells.
    """

    delimiter: str
    decimal: str
    header_line: int
    first_line: int
    names: tuple[str, ...]
    units: tuple[str, ...]
    sample: tuple[tuple[str, ...], ...]


def table_shape(head: str, *, where: str) -> TableShape:
    """Find out how a table is written from its beginning.

    Parameters
    ----------
    head : str
        The first lines of the file.
    where : str
        The file, for messages.

    Returns
    -------
    TableShape

    Raises
    ------
    InputError
        Where no delimiter makes a table, there is no line of names, or commas are both delimiter and decimal
        mark.
    """
    lines = [line.replace("\0", "") for line in head.split("\n")[:MOST_LINES]]
    if len(lines) > 1 and len(head) >= 60_000:
        lines.pop()  # it may be cut
    delimiter = max(DELIMITERS, key=lambda sign: _score(lines, sign))
    if _score(lines, delimiter) <= 0.0:
        raise InputError(
            where=where,
            found="no lines of numbers in columns",
            needed="a table: one line of column names, then one line for each reading",
        )
    cut = [split_line(line, delimiter) for line in lines]
    data = [place for place, cells in enumerate(cut) if _is_data_line(cells)]
    width = _usual_width([cut[place] for place in data])
    first = next(place for place in data if abs(len(cut[place]) - width) <= 1)
    sample = tuple(
        tuple(cell.strip() for cell in cut[i]) for i in data if i >= first and len(cut[i]) == width
    )
    commas = sum(is_comma_number(cell) for cells in sample for cell in cells)
    points = sum("." in cell and is_data(cell) for cells in sample for cell in cells)
    decimal = "," if delimiter != "," and commas > points else "."
    header, units = _header(lines, first, delimiter, width, where=where)
    names = [cell.strip().strip('"') for cell in header[1]]
    while len(names) > width and not names[-1]:
        names.pop()
    names += [""] * (width - len(names) if width - len(names) == 1 else 0)
    if delimiter == "," and len(names) < width <= 2 * len(names):
        raise InputError(
            where=f"{where} line {first + 1}",
            found=f"{width} cells under {len(names)} names",
            needed="as many cells as names",
            fix="if commas are decimal marks too, export with semicolons between the columns or with points",
        )
    if len(names) != width:
        raise InputError(
            where=f"{where} line {first + 1}",
            found=f"{width} cells under {len(names)} names",
            needed="as many cells as names",
            fix="mend the line of names",
        )
    return TableShape(
        delimiter=delimiter,
        decimal=decimal,
        header_line=header[0] + 1,
        first_line=first + 1,
        names=tuple(names),
        units=tuple(unit.strip() for unit in units) if units else ("",) * width,
        sample=sample,
    )


def _score(lines: list[str], delimiter: str) -> float:
    """Cells that hold data in lines of the usual width, less those that hold something else."""
    cut = [
        cells for line in lines if line.strip() for cells in [split_line(line, delimiter)] if len(cells) > 1
    ]
    data = [cells for cells in cut if _is_data_line(cells)]
    if not data:
        return 0.0
    width = _usual_width(data)
    alike = [cells for cells in data if len(cells) == width]
    good = sum(is_data(cell, decimal="," if delimiter != "," else ".") for cells in alike for cell in cells)
    odd = sum(len(cells) for cells in alike) - good - sum(is_blank(cell) for cells in alike for cell in cells)
    # Spaces last: they also stand inside dates.
    return (good - 2.0 * odd) * (0.5 if delimiter == " " else 1.0)


def _is_data_line(cells: list[str]) -> bool:
    filled = [cell for cell in cells if not is_blank(cell)]
    good = sum(is_data(cell, decimal=",") or _number_with_unit(cell) for cell in filled)
    return len(cells) > 1 and good >= 2 and good >= 0.5 * len(filled)


def _number_with_unit(cell: str) -> bool:
    text = cell.strip()
    cut = next((i for i, sign in enumerate(text) if sign.isalpha() or sign == "°"), None)
    return bool(cut) and is_data(text[:cut], decimal=",") and is_a_unit(text[cut:])


def _usual_width(cut: list[list[str]]) -> int:
    return Counter(len(cells) for cells in cut).most_common(1)[0][0]


def _header(
    lines: list[str], first: int, delimiter: str, width: int, *, where: str
) -> tuple[tuple[int, list[str]], list[str] | None]:
    units: list[str] | None = None
    for place in range(first - 1, -1, -1):
        line = lines[place].lstrip("# ").rstrip()
        if not line.strip(f" {delimiter}"):
            continue
        cells = split_line(line, delimiter)
        if len(cells) < 2:  # names may be parted by another sign than the numbers
            cells = max((split_line(line, sign) for sign in DELIMITERS[:-1]), key=len)
        if len(cells) < 2:
            continue
        filled = [cell for cell in cells if cell.strip()]
        if units is None and sum(_unit_like(cell) for cell in filled) >= 0.6 * len(filled) > 0 and place > 0:
            units = [cell.strip().strip("()[]") for cell in cells]
            units += [""] * (width - len(units))
            continue
        return (place, cells), units
    raise InputError(
        where=where,
        found="no line that names the columns",
        needed="column names above the numbers",
        fix='add a first line such as "time s, IAS kt, ground speed kt, track deg"',
    )


def _unit_like(cell: str) -> bool:
    text = cell.strip().strip("()[]").lower()
    return is_a_unit(text) or text in {"s", "sec", "ms", "utc", "hh:mm:ss", "yyyy-mm-dd", "-", "#", "%"}
