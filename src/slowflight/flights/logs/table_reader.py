"""Tables as displays, loggers and phones write them, read in a stream."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.logs.block import Block, Tally
from slowflight.flights.logs.cells import numbers, split_line
from slowflight.flights.logs.channel import CHANNELS
from slowflight.flights.logs.log import FloatArray
from slowflight.flights.logs.mapping import Column, Mapping, check_column
from slowflight.flights.logs.opening import LogText
from slowflight.flights.logs.table_shape import TableShape, table_shape
from slowflight.flights.logs.table_time import TableClock

BLOCK_ROWS = 20_000


def read_table(text: LogText, mapping: Mapping, tally: Tally) -> Iterator[Block]:
    """Read a table.

    Parameters
    ----------
    text : LogText
        The opened file.
    mapping : Mapping
        Which column is what; its columns are found by name, so their order may differ.
    tally : Tally
        Gets what had to be left out.

    Yields
    ------
    Block
        Of at most 20,000 rows.

    Raises
    ------
    InputError
        Where a mapped column is missing or no time column is mapped.
    """
    where = str(text.path)
    shape = table_shape(text.head, where=where)
    columns = _placed(shape, mapping, where=where)
    clock = TableClock(columns, utc_offset=mapping.utc_offset, where=where)
    width = len(shape.names)
    header_cells = [name.strip().strip('"') for name in shape.names]
    cells: list[list[str]] = []
    lines: list[int] = []
    fresh = False
    for number, line in text.lines():
        if number < shape.first_line or not line or line.isspace():
            continue
        row = split_line(line, shape.delimiter)
        if len(row) == width + 1 and not row[-1].strip():
            row.pop()
        if len(row) != width:
            tally.note("lines with too few or too many cells", number)
            continue
        if row[0][:1].isalpha() and [cell.strip().strip('"') for cell in row] == header_cells:
            if cells:
                yield _block(cells, lines, columns, clock, shape, tally, fresh=fresh)
            cells, lines, fresh = [], [], True
            continue
        cells.append(row)
        lines.append(number)
        if len(cells) >= BLOCK_ROWS:
            yield _block(cells, lines, columns, clock, shape, tally, fresh=fresh)
            cells, lines, fresh = [], [], False
    if cells:
        yield _block(cells, lines, columns, clock, shape, tally, fresh=fresh)


def _placed(shape: TableShape, mapping: Mapping, *, where: str) -> dict[str, tuple[int, Column]]:
    names = list(shape.names)
    placed: dict[str, tuple[int, Column]] = {}
    for column in mapping.columns:
        if column.channel is None:
            continue
        check_column(column, where=where)
        if column.name not in names:
            raise InputError(
                where=f"{where} line {shape.header_line}",
                found=f"no column {column.name!r}; columns are {', '.join(map(repr, names))}",
                needed="the columns that the saved mapping names",
                fix="use the mapping of this recorder, or guess a new one",
            )
        placed[column.channel] = (names.index(column.name), column)
    return placed


def _block(
    cells: list[list[str]],
    lines: list[int],
    columns: dict[str, tuple[int, Column]],
    clock: TableClock,
    shape: TableShape,
    tally: Tally,
    *,
    fresh: bool,
) -> Block:
    by_column = list(zip(*cells, strict=True))
    channels: dict[str, FloatArray] = {}
    for channel, (place, column) in columns.items():
        if channel not in CHANNELS:
            continue
        values, bad, other = numbers(
            list(by_column[place]),
            decimal=shape.decimal,
            quantity=CHANNELS[channel].quantity,
            unit=column.unit,
        )
        for at in bad:
            tally.note(f"cells of {column.name!r} that are no number", lines[at])
        if other:
            tally.note(
                f"cells of {column.name!r} in another unit than the column's, read in their own",
                lines[0],
                other,
            )
        channels[channel] = values
    time = clock.times(by_column)
    for missing in np.flatnonzero(np.isnan(time)):
        tally.note("lines without a time that can be read", lines[int(missing)])
    return Block(time=time, rows=np.array(lines, dtype=np.int64), channels=channels, fresh=fresh)
