"""What is sent to the desk: kept under a name that is only a name, and taken away once it is used."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from slowflight.desk.records import safe_name
from slowflight.desk.runs import FOLDER, start_run
from slowflight.errors import InputError

if TYPE_CHECKING:
    from fastapi import UploadFile  # a run does without the web library

UPLOADS = f"{FOLDER}/uploads"


async def keep_upload(folder: Path, file: UploadFile) -> Path:
    """Put an upload beside the desk's own notes, under a name that is only a name."""
    place = folder / UPLOADS
    place.mkdir(parents=True, exist_ok=True)
    target = place / safe_name(file.filename or "")
    number = 1
    content = await file.read()
    while target.exists() and target.read_bytes() != content:
        number += 1
        plain = Path(safe_name(file.filename or ""))
        target = place / f"{plain.stem}-{number}{plain.suffix}"
    target.write_bytes(content)
    return target


def start_with(folder: Path, kind: str, given: Mapping[str, Any], *, sent: Iterable[Path]) -> None:
    """Start a run that uses what was sent; where it may not start, what was sent is taken away.

    Parameters
    ----------
    folder : Path
    kind : str
        One of `runs.KINDS`.
    given : mapping
        For its verb.
    sent : iterable of Path
        Uploads among them.

    Raises
    ------
    InputError
        Where another run is going on.
    """
    try:
        start_run(folder, kind, given)
    except InputError:
        take_away(folder, [str(one) for one in sent])
        raise


def take_away(folder: Path, given: Iterable[object]) -> None:
    """Take away uploads: they are copied into the project by now, or were refused.

    Parameters
    ----------
    folder : Path
    given : iterable
        Arguments of a run, of which some are paths of uploads or lists of them. Logs that an older project's
        flights.toml names where they were sent stay.
    """
    room = (folder / UPLOADS).resolve()
    try:
        book = (folder / "flights" / "flights.toml").read_text(encoding="utf-8")
    except OSError:
        book = ""
    for value in given:
        for one in value if isinstance(value, list) else [value]:
            path = Path(one) if isinstance(one, str) and one.startswith(str(room)) else None
            if path is not None and path.parent == room and f"uploads/{path.name}" not in book:
                path.unlink(missing_ok=True)
