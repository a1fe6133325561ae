"""Change one value in the text of a TOML file and leave every other character as it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Item, Table

from slowflight.errors import InputError


def with_value(text: str, *, key: str, value: str | bool | int | float, where: str) -> str:
    """Return the text with one value changed, or added below the last key of its table.

    Parameters
    ----------
    text : str
        Of a TOML file.
    key : str
        Such as ``"aircraft.mass"`` or ``"wing.section.0.chord"``; a table of a list by its number from 0.
    value : str, bool, int or float
        What to put there: words, a list where it starts with ``[``, or a plain value.
    where : str
        The file, for messages.

    Returns
    -------
    str

    Raises
    ------
    InputError
        Where the text is no TOML, the key names no place in it, or the list is none.
    """
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise InputError(
            where=where, found=f"a slip in the TOML: {error}", needed="a file that can be read"
        ) from None
    *tables, name = key.split(".")
    if not tables or not all(part.strip() for part in (*tables, name)):
        raise InputError(
            where=where, found=f"the key {key!r}", needed='table and key such as "aircraft.mass"'
        )
    fresh = _item(value, where=f"{where}: {key}")
    if tables[0] not in document and len(tables) == 1:
        document[tables[0]] = tomlkit.table()
    table = _table(document, tables, key=key, where=where)
    if name in table:
        if isinstance(table[name], Mapping | AoT):
            raise InputError(
                where=where, found=f"the key {key!r}, a whole table", needed="the key of one value"
            )
        table[name] = fresh
    else:
        _add(table, name, fresh)
    return tomlkit.dumps(document)


def _item(value: str | bool | int | float, *, where: str) -> Item:
    if not isinstance(value, str):
        return tomlkit.item(value)
    if not value.lstrip().startswith("["):
        return tomlkit.string(value)
    try:
        return tomlkit.value(value.strip())
    except TOMLKitError as error:
        raise InputError(
            where=where,
            found=f"{value!r} ({error})",
            needed='a list such as ["0 deg", "15 deg"]',
            fix="put quotes round each value with a unit",
        ) from None


def _table(document: tomlkit.TOMLDocument, tables: list[str], *, key: str, where: str) -> Table:
    """Walk down to the table that holds the key."""
    place: object = document
    for depth, part in enumerate(tables):
        so_far = ".".join(tables[: depth + 1])
        if isinstance(place, Mapping) and part in place:
            place = place[part]
        elif isinstance(place, Sequence) and not isinstance(place, str) and part.isascii() and part.isdigit():
            if int(part) >= len(place):
                raise InputError(
                    where=where,
                    found=f"the key {key!r}, but {len(place)} of {'.'.join(tables[:depth])}",
                    needed=f"a number from 0 to {len(place) - 1}",
                    fix="add the table to the file first",
                )
            place = place[int(part)]
        else:
            raise InputError(
                where=where,
                found=f"the key {key!r}, but no {so_far}",
                needed="a table that is in the file",
                fix="add the table to the file first, or mend the key",
            )
    if not isinstance(place, Mapping):
        raise InputError(
            where=where,
            found=f"the key {key!r}, whose {'.'.join(tables)} is no table",
            needed="table and key",
            fix='a table of a list is named by its number: "wing.section.0.chord"',
        )
    return place  # type: ignore[return-value]


def _add(table: Table, name: str, fresh: Item) -> None:
    """Add a key below the last one.

    The library would put it at the very end of the table, below comments that belong to the next one.
    """
    last = None
    if isinstance(table, Table):
        for key, item in table.value.body:
            if key is not None and not isinstance(item, Table | AoT):
                last = item
    if last is None:
        table[name] = fresh
        return
    end = "\r\n" if last.trivia.trail.endswith("\r\n") else "\n"
    line = f"{tomlkit.key(name).as_string()} = {fresh.as_string()}"
    last.trivia.trail = f"{last.trivia.trail or end}{last.trivia.indent}{line}{end}"
