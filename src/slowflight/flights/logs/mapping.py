"""Which column of a table is what: guessed once, confirmed by the owner, saved beside the logs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import tomlkit

from slowflight.errors import InputError
from slowflight.flights.logs.channel import CHANNELS
from slowflight.flights.logs.column_guess import SURE, UNSURE, guess_columns
from slowflight.flights.logs.opening import open_log
from slowflight.flights.logs.table_shape import TableShape, table_shape
from slowflight.flights.logs.time_guess import CLOCK_UNITS, DATE_UNITS, ELAPSED_UNITS, TIME_CHANNELS
from slowflight.wing.tomlfile import read_toml

_DELIMITER_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "space"}
_HEAD = """\
Which column of this kind of table is what.
Check every line, mend what is wrong, then set confirmed = true. Columns without a channel are left out.
"""


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column of a table.

    Parameters
    ----------
    name : str
        As the file names it.
    channel : str or None
        A channel of `CHANNELS`, a time channel (``timestamp``, ``date``, ``clock``, ``elapsed``, ``offset``),
        or None where the column is left out.
    unit : str
        In which it is written.
    remark : str
        How sure the guess was and why; "" once confirmed by hand.
    """

    name: str
    channel: str | None
    unit: str
    remark: str = ""


@dataclass(frozen=True, kw_only=True)
class Mapping:
    """How to read one kind of table.

    Parameters
    ----------
    delimiter, decimal : str
        Between cells, and in numbers.
    columns : tuple of Column
        In the order of the file.
    utc_offset : float or None
        Of the recorder's clock, local minus UTC [s]; None where it is not known.
    confirmed : bool
        Whether the owner has looked at it.
    """

    delimiter: str
    decimal: str
    columns: tuple[Column, ...]
    utc_offset: float | None = None
    confirmed: bool = False

    def unsure(self) -> tuple[Column, ...]:
        """Columns whose guess has to be looked at first."""
        return tuple(column for column in self.columns if column.remark.startswith(UNSURE) and column.channel)

    def confirm(self) -> Mapping:
        """Return the same mapping as one that the owner has looked at."""
        return replace(self, confirmed=True)


def guess_mapping(path: Path | str) -> Mapping:
    """Guess how to read a table.

    Parameters
    ----------
    path : Path or str
        The table.

    Returns
    -------
    Mapping
        Not confirmed; each column's remark says how sure the guess is and why.

    Raises
    ------
    InputError
        Where the file is no table.
    """
    return mapping_of(table_shape(open_log(path).head, where=str(path)))


def mapping_of(shape: TableShape) -> Mapping:
    """Guess the mapping of a table whose shape is known."""
    columns = tuple(
        Column(
            name=guess.name,
            channel=guess.channel,
            unit=guess.unit,
            remark="" if guess.confidence == SURE else f"{guess.confidence}: {guess.why}",
        )
        for guess in guess_columns(shape)
    )
    return Mapping(delimiter=shape.delimiter, decimal=shape.decimal, columns=columns)


def save_mapping(mapping: Mapping, path: Path | str) -> None:
    """Write a mapping as TOML for the owner to check.

    Parameters
    ----------
    mapping : Mapping
        What was guessed or confirmed.
    path : Path or str
        File to write; replaced where it exists.
    """
    document = tomlkit.document()
    for line in _HEAD.splitlines():
        document.add(tomlkit.comment(line))
    document.add("confirmed", tomlkit.item(mapping.confirmed))
    document.add("delimiter", tomlkit.item(_DELIMITER_NAMES[mapping.delimiter]))
    document.add("decimal", tomlkit.item(mapping.decimal))
    offset = "unknown" if mapping.utc_offset is None else _offset_text(mapping.utc_offset)
    document.add("utc_offset", tomlkit.item(offset))
    columns = tomlkit.aot()
    for column in mapping.columns:
        table = tomlkit.table()
        table.add("name", column.name)
        table.add("channel", column.channel or "none")
        if column.unit:
            table.add("unit", column.unit)
        if column.remark:
            table.add("remark", column.remark)
        columns.append(table)
    document.add("column", columns)
    Path(path).write_text(tomlkit.dumps(document), encoding="utf-8")


def read_mapping(path: Path | str) -> Mapping:
    """Read a mapping back.

    Parameters
    ----------
    path : Path or str
        A file that `save_mapping` wrote, possibly mended by hand.

    Returns
    -------
    Mapping

    Raises
    ------
    InputError
        Where a key, channel or unit is unknown, or one channel is named twice.
    """
    where = str(path)
    found = read_toml(path)
    names = {name: sign for sign, name in _DELIMITER_NAMES.items()}
    delimiter = _one_of(found.get("delimiter"), tuple(names), where=f"{where}: delimiter")
    decimal = _one_of(found.get("decimal"), (".", ","), where=f"{where}: decimal")
    tables = found.get("column")
    if not isinstance(tables, list) or not tables:
        raise InputError(
            where=where, found="no [[column]]", needed="one [[column]] for each column of the table"
        )
    columns = tuple(_column(table, where=f"{where}: column {i + 1}") for i, table in enumerate(tables))
    used = [column.channel for column in columns if column.channel]
    twice = next((channel for channel in used if used.count(channel) > 1), None)
    if twice:
        raise InputError(where=where, found=f"channel {twice!r} twice", needed="each channel once")
    return Mapping(
        delimiter=names[delimiter],
        decimal=decimal,
        columns=columns,
        utc_offset=_offset(found.get("utc_offset", "unknown"), where=f"{where}: utc_offset"),
        confirmed=found.get("confirmed") is True,
    )


def check_column(column: Column, *, where: str) -> None:
    """Refuse a channel or unit that does not exist; InputError says which ones do."""
    if column.channel is None:
        return
    if column.channel in CHANNELS:
        quantity = CHANNELS[column.channel].quantity
        if column.unit not in quantity.units:
            raise InputError(
                where=f"{where}, {column.name!r}",
                found=f"unit {column.unit!r}",
                needed=f"a unit of {quantity.name}: {', '.join(quantity.units)}",
            )
        return
    known = {
        "date": DATE_UNITS,
        "timestamp": DATE_UNITS,
        "clock": CLOCK_UNITS,
        "elapsed": tuple(ELAPSED_UNITS),
    }
    if column.channel in known:
        _one_of(column.unit, known[column.channel], where=f"{where}, {column.name!r}: unit")
    elif column.channel not in TIME_CHANNELS:
        raise InputError(
            where=f"{where}, {column.name!r}",
            found=f"channel {column.channel!r}",
            needed=f"one of {', '.join((*TIME_CHANNELS, *CHANNELS))} or none",
        )


def _column(table: object, *, where: str) -> Column:
    if not isinstance(table, dict) or not isinstance(table.get("name"), str):
        raise InputError(where=where, found="no name", needed='name = "..." as the table has it')
    channel, unit = str(table.get("channel", "none")), str(table.get("unit", ""))
    if channel in CHANNELS:
        unit = CHANNELS[channel].quantity.unit(unit) or unit
    column = Column(
        name=table["name"],
        channel=None if channel == "none" else channel,
        unit=unit,
        remark=str(table.get("remark", "")),
    )
    check_column(column, where=where)
    return column


def _one_of(value: object, known: tuple[str, ...], *, where: str) -> str:
    if value not in known:
        raise InputError(where=where, found=repr(value), needed=f"one of {', '.join(map(repr, known))}")
    return str(value)


def _offset(value: object, *, where: str) -> float | None:
    text = str(value).strip()
    if text == "unknown":
        return None
    try:
        sign = -1.0 if text.startswith("-") else 1.0
        hours, _, minutes = text.lstrip("+-").partition(":")
        offset = sign * (3600.0 * int(hours) + 60.0 * int(minutes or 0))
    except ValueError:
        offset = float("nan")
    if not abs(offset) <= 14 * 3600:
        raise InputError(
            where=where, found=repr(value), needed='local time minus UTC, like "+02:00", or "unknown"'
        )
    return offset


def _offset_text(offset: float) -> str:
    minutes = round(abs(offset) / 60.0)
    return f"{'-' if offset < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"
