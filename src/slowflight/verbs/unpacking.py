"""Opening a project that came as one file, which may be damaged or made to harm."""

from __future__ import annotations

import calendar
import json
import os
import shutil
import stat
import zipfile
import zlib
from pathlib import Path
from typing import Any

from slowflight.errors import InputError, SlowflightError
from slowflight.project import WING_FILE
from slowflight.verbs.packed_file import check_count, check_size, why_not

STAGED = ".unpack.part"
PIECE = 1024 * 1024  # [bytes]
MAY_BE_THERE = ("desk", STAGED)  # in a folder that counts as empty: notes of the desk, and our own rests
RECORDS = {
    "runs/prediction.json": "prediction",
    "layout/layout.json": "layout",
    "flights/flights.json": "flights",
}
DOOR = "a project that 'slowflight pack' or the desk wrote"


def unpack(file: str | Path, folder: str | Path) -> dict[str, Any]:
    """Open a project's file in a new or empty folder.

    Everything is checked before anything is put in place; wing.toml comes last, so a folder that has it is
    whole.

    Parameters
    ----------
    file : str or Path
        As `slowflight.verbs.pack` wrote it.
    folder : str or Path
        A new or empty one.

    Returns
    -------
    dict
        ``folder`` and ``count``.

    Raises
    ------
    InputError
        Where the folder is not empty, the file is no such file, is damaged or too large, or holds a path that
        leads out of the folder, a link, a name twice or what belongs to no project. Nothing is left then.
    SlowflightError
        Where the folder cannot be written.
    """
    source, place = Path(file), Path(folder)
    _check_free(place)
    staged = place / STAGED
    made = not place.exists()
    try:
        place.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(staged, ignore_errors=True)
        staged.mkdir()
        names = _take_out(source, staged)
        _check_records(staged, source.name)
        tops = sorted({name.split("/")[0] for name in names}, key=lambda top: top == WING_FILE)
        for top in tops:
            (staged / top).replace(place / top)
    except OSError as error:
        raise SlowflightError(
            f"{error.filename or source}: {error.strerror or type(error).__name__}; nothing was opened"
        ) from None
    finally:
        shutil.rmtree(staged, ignore_errors=True)
        if made and place.is_dir() and not any(place.iterdir()):
            place.rmdir()
    return {"folder": str(place), "count": len(names)}


def _check_free(place: Path) -> None:
    if place.exists() and not place.is_dir():
        raise InputError(where=str(place), found="a file", needed="a folder, or a name not yet taken")
    there = sorted(one.name for one in place.iterdir()) if place.is_dir() else []
    held = [name for name in there if name not in MAY_BE_THERE]
    if held:
        raise InputError(
            where=str(place), found=f"{held[0]!r} in it", needed="a new or empty folder",
            fix="give another one: nothing is overwritten",
        )  # fmt: skip


def _take_out(source: Path, staged: Path) -> list[str]:
    """Write every file of the archive below ``staged``; return their paths."""
    try:
        with zipfile.ZipFile(source) as archive:
            entries = _checked(archive, source.name)
            total = 0
            for entry in entries:
                total = _write(archive, entry, staged / entry.filename, total)
    except FileNotFoundError:
        raise InputError(where=str(source), found="no such file", needed=DOOR) from None
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        NotImplementedError,
        RuntimeError,
        UnicodeError,
    ) as trouble:
        raise InputError(
            where=source.name, found=f"no readable zip archive ({trouble})", needed=DOOR,
            fix="fetch it again; nothing was opened",
        ) from None  # fmt: skip
    return [entry.filename for entry in entries]


def _checked(archive: zipfile.ZipFile, where: str) -> list[zipfile.ZipInfo]:
    """Return the archive's files, once every name and every size it claims is fit."""
    check_count(len(archive.infolist()), where=where)
    entries = [entry for entry in archive.infolist() if not entry.is_dir()]
    seen: set[str] = set()
    total = 0
    for entry in entries:
        # As the archive has it: the library already cuts names at a zero byte and turns some slashes.
        name = entry.orig_filename
        kind = stat.S_IFMT(entry.external_attr >> 16)
        why = why_not(name)
        if kind not in (0, stat.S_IFREG):
            why = "a link or a device"
        elif name.lower() in seen:
            why = "a name that is there twice"
        elif entry.flag_bits & 1:
            why = "a file under a password"
        if why:
            raise InputError(
                where=where, found=f"{why}: {name[:80]!r}", needed=DOOR, fix="nothing was opened"
            )
        seen.add(name.lower())
        total += entry.file_size
        check_size(entry.file_size, total=total, where=name)
    if WING_FILE not in seen:
        raise InputError(where=where, found=f"no {WING_FILE}", needed=DOOR, fix="nothing was opened")
    return entries


def _write(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, target: Path, total: int) -> int:
    """Write one file; count what really comes out, whatever the archive claims."""
    target.parent.mkdir(parents=True, exist_ok=True)
    size = 0
    with archive.open(entry) as packed, target.open("xb") as file:
        while piece := packed.read(PIECE):
            size += len(piece)
            check_size(size, total=total + size, where=entry.filename)
            file.write(piece)
    moment = calendar.timegm((*entry.date_time, 0, 0, 0))
    os.utime(target, (moment, moment))
    return total + size


def _check_records(staged: Path, where: str) -> None:
    """Refuse a saved record that is none: every page would stumble over it."""
    for name, kind in RECORDS.items():
        path = staged / name
        if not path.exists():
            continue
        try:
            record = json.loads(path.read_text(encoding="utf-8"))
        except (ValueError, RecursionError):
            record = None
        if not isinstance(record, dict) or record.get("kind") != kind:
            raise InputError(
                where=f"{where}, {name}", found="no such record", needed=DOOR, fix="nothing was opened"
            )
