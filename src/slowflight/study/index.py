"""What is kept, to be asked without opening every file: a table made from the files and never believed.

Each time it is asked, the table is first set beside the folder: what is new or has changed is read, what has
gone is dropped. So it may be deleted, or damaged by a process that is killed, and nothing is lost.
"""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowflight.study.record_file import FORMAT

INDEX = "index.sqlite"
_TABLE = """
CREATE TABLE IF NOT EXISTS results (
    file TEXT PRIMARY KEY, size INTEGER, changed INTEGER,
    key TEXT, format INTEGER, kind TEXT, version TEXT, code TEXT, input TEXT
)
"""
_COLUMNS = "file, key, format, kind, version, code, input"
_READ_AT_ONCE = 500  # files between two commits, so that a first look that is stopped goes on where it was
_LAYOUT = 1  # of the table


@dataclass(frozen=True, kw_only=True)
class Kept:
    """One result that is kept.

    Parameters
    ----------
    file : str
        Its name in the folder.
    key : str
        Of its case.
    format : int
        Of the file; above `record_file.FORMAT` it is later code's and is not read here.
    kind : str
        What was computed.
    version, code : str
        Of slowflight: its version, and the hash of the code that computed.
    input : mapping
        All that it depends on.
    """

    file: str
    key: str
    format: int
    kind: str
    version: str
    code: str
    input: Mapping[str, Any]

    @property
    def readable(self) -> bool:
        """Whether this version reads such files."""
        return self.format == FORMAT


def kept_results(folder: Path, *, where: str = "1", values: tuple[str | float, ...] = ()) -> tuple[Kept, ...]:
    """Return what is kept in a folder of results.

    Parameters
    ----------
    folder : Path
    where : str, optional
        A condition of SQL on the columns ``file``, ``key``, ``format``, ``kind``, ``version``, ``code`` and
        ``input`` (JSON), with question marks for values: ``"json_extract(input, '$.chord_m') > ?"``.
    values : tuple, optional
        For the question marks.

    Returns
    -------
    tuple of Kept
        In the order of their files' names.

    Notes
    -----
    Where the index cannot be written, as on a full disk, the same answer is found without keeping it.
    """
    if not folder.is_dir():
        return ()
    try:
        return _asked(folder / INDEX, folder, where, values)
    except sqlite3.DatabaseError:
        _delete(folder)
    try:
        return _asked(folder / INDEX, folder, where, values)
    except sqlite3.DatabaseError:
        return _asked(":memory:", folder, where, values)


def _asked(
    database: Path | str, folder: Path, where: str, values: tuple[str | float, ...]
) -> tuple[Kept, ...]:
    with contextlib.closing(sqlite3.connect(database, timeout=5.0)) as index:
        _prepare(index)
        _follow(index, folder)
        asked = f"SELECT {_COLUMNS} FROM results WHERE key IS NOT NULL AND ({where}) ORDER BY file"
        rows = index.execute(asked, values).fetchall()
    return tuple(
        Kept(
            file=file, key=key, format=layout, kind=kind, version=version, code=code, input=json.loads(given)
        )
        for file, key, layout, kind, version, code, given in rows
    )


def _prepare(index: sqlite3.Connection) -> None:
    # It can be made again at any time: not worth waiting for the disk.
    index.execute("PRAGMA synchronous = OFF")
    if index.execute("PRAGMA user_version").fetchone()[0] != _LAYOUT:
        index.execute("DROP TABLE IF EXISTS results")
        index.execute(f"PRAGMA user_version = {_LAYOUT}")
    index.execute(_TABLE)


def _follow(index: sqlite3.Connection, folder: Path) -> None:
    """Bring the table to what the folder holds now."""
    known = {
        file: (size, changed)
        for file, size, changed in index.execute("SELECT file, size, changed FROM results")
    }
    there = dict(_files(folder))
    index.executemany("DELETE FROM results WHERE file = ?", [(file,) for file in known.keys() - there.keys()])
    changed = [file for file, facts in there.items() if known.get(file) != facts]
    for number, file in enumerate(changed, start=1):
        index.execute(
            "INSERT OR REPLACE INTO results VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (file, *there[file], *_head(folder / file)),
        )
        if number % _READ_AT_ONCE == 0:
            index.commit()
    index.commit()


def _files(folder: Path) -> Iterator[tuple[str, tuple[int, int]]]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.endswith((".json", ".nc")) and not entry.name.startswith("."):
                with contextlib.suppress(OSError):
                    facts = entry.stat()
                    yield entry.name, (facts.st_size, facts.st_mtime_ns)


def _head(path: Path) -> tuple[str | None, int | None, str | None, str | None, str | None, str | None]:
    """What a file says of itself; nothing where it is none of a study's, or damaged."""
    try:
        layout, key, given = _read_json(path) if path.suffix == ".json" else _read_netcdf(path)
        code = given.get("code")
        facts = code if isinstance(code, dict) else {}
        kind = str(given.get("kind", "unknown"))
        version, content = str(facts.get("slowflight", "unknown")), str(facts.get("code", "unknown"))
        return str(key), int(layout), kind, version, content, json.dumps(given)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RuntimeError):
        return None, None, None, None, None, None


def _read_json(path: Path) -> tuple[Any, Any, dict[str, Any]]:
    record = json.loads(path.read_bytes())
    return record["format"], record["key"], dict(record["input"])


def _read_netcdf(path: Path) -> tuple[Any, Any, dict[str, Any]]:
    import h5py

    with h5py.File(path, "r") as file:
        return file.attrs["format"].item(), file.attrs["key"], dict(json.loads(str(file.attrs["input"])))


def _delete(folder: Path) -> None:
    for name in (INDEX, f"{INDEX}-journal"):
        with contextlib.suppress(OSError):
            (folder / name).unlink()
