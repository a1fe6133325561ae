"""A project as one file: everything another person needs to look at it, and the cautions with it."""

from __future__ import annotations

import json
import os
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from slowflight.errors import InputError, SlowflightError
from slowflight.project import WING_FILE, Project, open_project
from slowflight.verbs.flying_tufts import saved_tufts
from slowflight.verbs.packed_file import (
    CAUTIONS,
    ENDING,
    FOLDERS,
    MARK,
    READ_FIRST,
    check_count,
    check_size,
    why_not,
)
from slowflight.verbs.predicting import PREDICTION, picture_files, saved_prediction
from slowflight.verbs.second_opinion import OPINION
from slowflight.verbs.staleness import named_airfoils

OLDEST = (1980, 1, 1, 0, 0, 0)  # a zip archive knows no earlier day
LOGS = "flights/logs/"
WORDS = (".json", ".html", ".txt", ".toml", ".csv")


def pack(folder: str | Path, file: str | Path | None = None, *, logs: bool = True) -> dict[str, Any]:
    """Put a project into one file, to keep or to send.

    Left out are single runs behind the prediction (another computer predicts again), uploads and notes of the
    desk, hidden and half-written files, and links.

    Parameters
    ----------
    folder : str or Path
        A project folder.
    file : str or Path, optional
        Where to write, ending in ``.zip``; without it beside the folder, under the folder's name.
    logs : bool, optional
        With flight logs, which tell where and when you flew.

    Returns
    -------
    dict
        ``file``, ``count``, ``bytes``, and ``outside``: files that wing.toml names and that are not inside.

    Raises
    ------
    InputError
        Where the folder is no project, the ending is another, or it is too large.
    SlowflightError
        Where the file cannot be written.
    """
    project = open_project(folder)
    place = project.folder.resolve()
    target = place.parent / f"{place.name}{ENDING}" if file is None else Path(file)
    if target.suffix.lower() != ENDING:
        raise InputError(where=str(target), found=repr(target.suffix), needed=f"a name that ends in {ENDING}")
    names = sorted(_files(project, logs=logs))
    check_count(len(names), where=str(place))
    fresh = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with zipfile.ZipFile(fresh, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr(_entry(READ_FIRST, time.time()), _read_first(place.name, logs=logs))
            total = 0
            for name in names:
                content = _without_places((place / name).read_bytes(), name, place)
                total += len(content)
                check_size(len(content), total=total, where=name)
                archive.writestr(_entry(name, (place / name).stat().st_mtime), content)
        size = fresh.stat().st_size
        fresh.replace(target)
    except OSError as error:
        raise SlowflightError(f"{target}: cannot be written ({error.strerror or error})") from None
    finally:
        fresh.unlink(missing_ok=True)
    return {
        "file": str(target), "count": len(names) + 1, "bytes": size, "outside": _outside(project, names),
        "logs": any(name.startswith(LOGS) for name in names),
    }  # fmt: skip


def _files(project: Project, *, logs: bool) -> Iterator[str]:
    """Every path that goes in, from the project's folder."""
    base = project.folder.resolve()
    runs = _runs(project)
    for path in base.iterdir():
        if path.is_file() and not path.is_symlink() and path.name != READ_FIRST and not why_not(path.name):
            yield path.name
    for place in FOLDERS:
        # Links are not followed: what they lead to may be anything of this machine.
        if (base / place).is_symlink():
            continue
        for here, folders, files in os.walk(base / place):
            folders[:] = [one for one in folders if not one.startswith(".")]
            for one in files:
                path = Path(here) / one
                name = path.relative_to(base).as_posix()
                if why_not(name) or path.is_symlink() or not path.is_file():
                    continue
                if (logs or not name.startswith(LOGS)) and (place != "runs" or name in runs):
                    yield name


def _runs(project: Project) -> set[str]:
    prediction = saved_prediction(project)
    saved_tufts(project)  # a damaged one is told of here, not to whoever opens the file
    if prediction is None:
        return set()
    return {
        f"runs/{PREDICTION}",
        f"runs/{OPINION}",
        *(f"runs/{name}" for name in picture_files(project, prediction)),
    }


def _outside(project: Project, names: list[str]) -> list[str]:
    """Return files that wing.toml names and that lie elsewhere."""
    return [one for one in named_airfoils(project) if (project.folder / one).is_file() and one not in names]


def _without_places(content: bytes, name: str, place: Path) -> bytes:
    """Take out where on this machine the project lies: nobody else's business, and false elsewhere."""
    if name == "layout/layout.json":
        record = json.loads(content)
        if isinstance(record, dict) and isinstance(record.get("files"), list):
            record["files"] = [Path(str(one)).name for one in record["files"]]
        return json.dumps(record, indent=1).encode()
    if not name.endswith(WORDS) or name == WING_FILE:
        return content
    return content.replace(f"{place}{os.sep}".encode(), b"")


def _entry(name: str, moment: float) -> zipfile.ZipInfo:
    # In universal time, so that files keep their order of age wherever they are opened.
    entry = zipfile.ZipInfo(name, max(time.gmtime(moment)[:6], OLDEST))
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    return entry


def _read_first(name: str, *, logs: bool) -> str:
    cautions = "\n".join(f"- {one}" for one in CAUTIONS)
    flown = (
        "flights/logs holds flight logs: where and when you flew."
        if logs
        else "Flight logs were left out; the reduction of the flights is in flights/flights.json."
    )
    return (
        f"{name}\n\n{MARK}\n\n{cautions}\n\n"
        "wing.toml is what the owner measured. report/index.html is the page to read. "
        "runs/prediction.json is what was predicted, layout what was laid out, flights what was flown.\n"
        f"{flown}\n"
        "Open it with 'slowflight unpack FILE DIR', or on the first page of 'slowflight desk' in an empty "
        "folder. What is in it was computed elsewhere: predict again before you believe it.\n"
    )
