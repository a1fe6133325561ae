"""Text of single cells and columns to numbers."""

from __future__ import annotations

import csv
import math
import re

import numpy as np

from slowflight.flights.logs.log import FloatArray
from slowflight.flights.logs.log_units import LogQuantity

BLANK_WORDS = frozenset(
    {"", "-", "--", "---", "----", "nan", "null", "none", "n/a", "na", "xxx", "***", "inf"}
)
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+")
_TIME_LIKE = re.compile(r"\d{1,4}[-/.:]\d{1,2}[-/.:]\d{1,4}.*|\d{1,2}:\d{2}.*")
_NUMBER_AND_UNIT = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([^\d\s].*)?")


def split_line(line: str, delimiter: str) -> list[str]:
    """Cut a line into its cells; quotation marks are understood."""
    if delimiter == " ":
        return line.split()
    if '"' in line:
        return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    return line.split(delimiter)


def is_data(cell: str, *, decimal: str = ".") -> bool:
    """Whether a cell holds a number, a date or a time."""
    text = cell.strip()
    if decimal == "," and _COMMA_NUMBER.fullmatch(text):
        return True
    return bool(_NUMBER.fullmatch(text) or _TIME_LIKE.fullmatch(text))


def is_comma_number(cell: str) -> bool:
    """Whether a cell holds a number with a decimal comma."""
    return bool(_COMMA_NUMBER.fullmatch(cell.strip()))


def is_blank(cell: str) -> bool:
    """Whether a cell says that there was no reading."""
    return cell.strip().strip('"*').lower() in BLANK_WORDS


def numbers(
    cells: list[str], *, decimal: str, quantity: LogQuantity, unit: str
) -> tuple[FloatArray, list[int], int]:
    """Bring a column of cells to SI.

    Parameters
    ----------
    cells : list of str
        As written, n of them.
    decimal : str
        ``"."`` or ``","``.
    quantity : LogQuantity
        What the column measures.
    unit : str
        The column's unit; a cell that names another one is read in that.

    Returns
    -------
    values : FloatArray
        In SI, NaN for blanks and what is no number, shape (n,).
    bad : list of int
        Places of cells that are neither blank nor a number.
    other : int
        How many cells named a unit other than the column's.
    """
    scale = quantity.units[unit]
    try:
        values = np.array(list(map(float, cells)), dtype=np.float64)
    except ValueError:
        pass
    else:
        values[~np.isfinite(values)] = np.nan
        return scale.factor * values + scale.offset, [], 0
    values = np.full(len(cells), np.nan)
    bad, other = [], 0
    for place, cell in enumerate(cells):
        text = cell.replace(",", ".") if decimal == "," else cell
        try:
            value, in_unit = float(text), scale
        except ValueError:
            if is_blank(cell):
                continue
            found = _NUMBER_AND_UNIT.fullmatch(text)
            named = quantity.unit(found[2] or "") if found else None
            if found is None or named is None:
                bad.append(place)
                continue
            value, in_unit = float(found[1]), quantity.units[named]
            other += named != unit
        if math.isfinite(value):
            values[place] = in_unit.factor * value + in_unit.offset
    return values, bad, other
