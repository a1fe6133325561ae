"""Cards written by hand in flight, typed into a small table: named columns, one line for each run."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from slowflight.errors import InputError, UnitError
from slowflight.flights.logs.log_units import LogQuantity
from slowflight.wing.tomlfile import read_text


@dataclass(frozen=True, kw_only=True)
class CardRow:
    """One line of a card.

    Parameters
    ----------
    line : int
        Of the file, the first being 1.
    numbers : mapping of str to float
        In SI, by column; blank cells are left out.
    words : mapping of str to str
        Other cells as written.
    """

    line: int
    numbers: Mapping[str, float]
    words: Mapping[str, str]


def read_card(
    path: Path | str,
    *,
    numbers: Mapping[str, LogQuantity],
    words: tuple[str, ...] = (),
    required: tuple[str, ...],
) -> list[CardRow]:
    """Read a card.

    Parameters
    ----------
    path : Path or str
        A table with commas, semicolons or tabs, whose first line names the columns with their units, such as
        ``speed kt, flap deg, ending``. Lines that begin with ``#`` are remarks.
    numbers : mapping of str to LogQuantity
        Columns of numbers and what they measure.
    words : tuple of str, optional
        Columns of words.
    required : tuple of str
        Columns that every line must fill.

    Returns
    -------
    list of CardRow
        In the order of the file.

    Raises
    ------
    InputError
        Where the file is missing or empty, a column is missing or unknown, or a cell is no number.
    UnitError
        Where a column of numbers has no unit or a wrong one.
    """
    where = str(path)
    lines = [
        (number, line)
        for number, line in enumerate(read_text(Path(path), needed="a card typed as a table").splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if len(lines) < 2:
        raise InputError(where=where, found=f"{len(lines)} lines", needed="column names and at least one run")
    delimiter = max((";", "\t", ","), key=lines[0][1].count)
    columns = [
        _column(cell, numbers, words, where=f"{where} line {lines[0][0]}")
        for cell in next(csv.reader([lines[0][1]], delimiter=delimiter))
    ]
    missing = [name for name in required if name not in [column for column, _ in columns]]
    if missing:
        raise InputError(
            where=f"{where} line {lines[0][0]}",
            found=f"no column {missing[0]!r}",
            needed=f"columns {', '.join(required)}, with units",
        )
    return [
        _row(
            number,
            next(csv.reader([line], delimiter=delimiter)),
            columns,
            numbers,
            required,
            delimiter,
            where,
        )
        for number, line in lines[1:]
    ]


def _column(
    cell: str, numbers: Mapping[str, LogQuantity], words: tuple[str, ...], *, where: str
) -> tuple[str, str]:
    text = " ".join(cell.replace("(", " ").replace(")", " ").split()).lower()
    if text in words:
        return text, ""
    name, _, unit = text.rpartition(" ")
    if text in numbers and "" not in numbers[text].spellings:
        quantity = numbers[text]
        raise UnitError(
            where=where,
            found=f"{text!r} without a unit",
            needed=f"the unit of {quantity.name} behind it: {', '.join(quantity.units)}",
        )
    if text in numbers:
        return text, numbers[text].spellings[""]
    if name not in numbers:
        raise InputError(
            where=where, found=f"column {cell.strip()!r}", needed=f"one of {', '.join((*numbers, *words))}"
        )
    known = numbers[name].unit(unit)
    if known is None:
        raise UnitError(
            where=where,
            found=f"{name!r} in {unit!r}",
            needed=f"{numbers[name].name} in {', '.join(numbers[name].units)}",
        )
    return name, known


def _row(
    line: int,
    cells: list[str],
    columns: list[tuple[str, str]],
    numbers: Mapping[str, LogQuantity],
    required: tuple[str, ...],
    delimiter: str,
    where: str,
) -> CardRow:
    place = f"{where} line {line}"
    if len(cells) > len(columns):
        raise InputError(
            where=place, found=f"{len(cells)} cells", needed=f"{len(columns)}, one for each column"
        )
    found: dict[str, float] = {}
    words: dict[str, str] = {}
    for (name, unit), cell in zip(columns, cells, strict=False):
        text = cell.strip()
        if not text:
            continue
        if name not in numbers:
            words[name] = text
            continue
        scale = numbers[name].units[unit]
        try:
            value = float(text.replace(",", ".") if delimiter != "," else text)
        except ValueError:
            raise InputError(where=f"{place}, {name}", found=repr(text), needed="a number") from None
        found[name] = scale.factor * value + scale.offset
    blank = next((name for name in required if name not in found and name not in words), None)
    if blank is not None:
        raise InputError(where=place, found=f"no {blank}", needed="a value in every line")
    return CardRow(line=line, numbers=found, words=words)
