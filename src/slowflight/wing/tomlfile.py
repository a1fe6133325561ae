"""Read the owner's TOML files field by field, with errors that name file and field.

A `Table` hands out each value once, in SI, and at the end refuses every key that nobody asked for.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError

LARGEST_FILE = 1_000_000


def read_toml(path: Path | str) -> dict[str, object]:
    """Read a TOML file.

    Parameters
    ----------
    path : Path or str
        The file.

    Returns
    -------
    dict
        Its top-level keys.

    Raises
    ------
    InputError
        Where the file is missing, a folder, no text, too large or no TOML; a slip names its line.
    """
    place = Path(path)
    text = read_text(place, needed="a TOML file")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            where=str(place),
            found=f"a slip in the TOML: {error}",
            needed='lines like key = "value"',
            fix="put quotes round a value with a unit",
        ) from None


def read_text(path: Path, *, needed: str, largest: int = LARGEST_FILE) -> str:
    """Read a small text file, in UTF-8 with or without a byte order mark, else in Latin-1.

    Parameters
    ----------
    path : Path
        The file.
    needed : str
        What it should be, for the message.
    largest : int, optional
        Greatest size [bytes].

    Returns
    -------
    str

    Raises
    ------
    InputError
        Where the file is missing, a folder, unreadable, too large, empty or no text.
    """
    where = str(path)
    if path.is_dir():
        raise InputError(where=where, found="a folder", needed=needed)
    try:
        with path.open("rb") as stream:
            raw = stream.read(largest + 1)
    except FileNotFoundError:
        raise InputError(
            where=where, found="no such file", needed=needed, fix="check the name and the folder"
        ) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(where=where, found=f"a file that cannot be read ({reason})", needed=needed) from None
    if len(raw) > largest:
        raise InputError(where=where, found=f"more than {largest:,} bytes", needed=f"{needed}, a small one")
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return _decoded(raw, "utf-16", where=where, needed=needed)
    if b"\0" in raw:
        raise InputError(where=where, found="a binary file", needed=f"{needed}, which is text")
    if not raw.strip():
        raise InputError(where=where, found="an empty file", needed=needed)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("latin-1")


def _decoded(raw: bytes, encoding: str, *, where: str, needed: str) -> str:
    try:
        return raw.decode(encoding)
    except UnicodeDecodeError:
        raise InputError(where=where, found="a binary file", needed=f"{needed}, which is text") from None


def refuse_unknown(keys: Iterable[str], *, known: Iterable[str], where: str) -> None:
    """Refuse the first key that is not known, with the nearest known one.

    Parameters
    ----------
    keys, known : iterable of str
        What is there, and what may be.
    where : str
        File and table.

    Raises
    ------
    InputError
        Naming the key.
    """
    names = list(known)
    for key in keys:
        if key not in names:
            near = difflib.get_close_matches(key, names, n=1, cutoff=0.6)
            fix = f"did you mean {near[0]!r}?" if near else "take it out"
            raise InputError(
                where=where,
                found=f"the unknown key {key!r}",
                needed=f"keys among {', '.join(names)}",
                fix=fix,
            )


class Table:
    """One TOML table being read.

    Parameters
    ----------
    values : mapping
        The table as the TOML library gives it; anything else is refused.
    where : str
        File and table, for messages.

    Raises
    ------
    InputError
        Where `values` is no table.
    """

    def __init__(self, values: object, *, where: str) -> None:
        if not isinstance(values, dict):
            raise InputError(
                where=where, found=repr(values), needed='a table of keys, one to a line: key = "value"'
            )
        self._values: dict[str, object] = values
        self._asked: list[str] = []
        self.where = where

    def field(self, key: str) -> str:
        """File, table and key, for messages."""
        return f"{self.where} {key}"

    def has(self, key: str) -> bool:
        """Tell whether the key is there, and count it as known."""
        if key not in self._asked:
            self._asked.append(key)
        return key in self._values

    def value(self, key: str, *, needed: str) -> object:
        """Return the value as the file has it.

        Parameters
        ----------
        key : str
            Which one.
        needed : str
            What belongs there, for the message where it is missing.

        Raises
        ------
        InputError
            Where the key is missing.
        """
        if not self.has(key):
            near = difflib.get_close_matches(key, set(self._values) - set(self._asked), n=1, cutoff=0.6)
            raise InputError(
                where=self.where,
                found=f"no {key!r}" + (f" but {near[0]!r}" if near else ""),
                needed=needed,
                fix=f"rename {near[0]!r} to {key!r}" if near else f"add a line {key} = ...",
            )
        return self._values[key]

    def length(self, key: str) -> float:
        """Return a length [m]; errors as for `value` and `units.length`."""
        return units.length(self.value(key, needed='a length such as "60 mm"'), where=self.field(key))

    def angle(self, key: str) -> float:
        """Return an angle [rad]; errors as for `value` and `units.angle`."""
        return units.angle(self.value(key, needed='an angle such as "17 deg"'), where=self.field(key))

    def fraction(self, key: str) -> float:
        """Return a share [-]; errors as for `value` and `units.fraction`."""
        return units.fraction(self.value(key, needed='a share such as "9 %"'), where=self.field(key))

    def choice(self, key: str, options: tuple[str, ...], *, default: str | None = None) -> str:
        """Return one of some words.

        Parameters
        ----------
        key : str
            Which one.
        options : tuple of str
            The words allowed.
        default : str, optional
            What stands where the key is missing; without one, missing is an error.

        Raises
        ------
        InputError
            Where the key is missing or the word is none of them.
        """
        needed = "one of " + ", ".join(f'"{option}"' for option in options)
        if default is not None and not self.has(key):
            return default
        found = self.value(key, needed=needed)
        if found not in options:
            near = difflib.get_close_matches(str(found), options, n=1, cutoff=0.6)
            fix = f"did you mean {near[0]!r}?" if near else ""
            raise InputError(where=self.field(key), found=repr(found), needed=needed, fix=fix)
        return str(found)

    def finish(self) -> None:
        """Refuse every key that was not asked for; InputError with the nearest known one."""
        refuse_unknown(self._values, known=self._asked, where=self.where)
