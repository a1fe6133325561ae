"""Files that belong to flights: copied into the project as they are, their columns kept beside the book."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

from slowflight.errors import InputError
from slowflight.flights.book.raw_files import RawFile, digest, same_columns
from slowflight.flights.logs.mapping import Mapping, read_mapping, save_mapping
from slowflight.project import Project

LOGS = "logs"
DESK = "desk"


def columns_of(
    group: Sequence[RawFile], given: Mapping | None, project: Project, *, confirm: bool
) -> tuple[Path | None, Mapping | None]:
    """Keep the mapping of a table beside the book; one that knows the same columns is used again.

    Parameters
    ----------
    group : sequence of RawFile
        Of one flight, its log first.
    given : Mapping or None
        From elsewhere.
    project : Project
    confirm : bool
        The owner has looked at it.

    Returns
    -------
    tuple of Path, Mapping
        None and None where the log is no table.
    """
    log = group[0]
    if log.kind != "table" or log.mapping is None:
        return None, None
    known = None if given is not None else same_columns(log.mapping, project.flights)
    if known is not None:
        mapping = read_mapping(known)
        if confirm and not mapping.confirmed:
            mapping = mapping.confirm()
            save_mapping(mapping, known)
        return known, mapping
    mapping = given or log.mapping
    if confirm:
        mapping = mapping.confirm()
    number = 1 + len(list(project.flights.glob("columns-*.toml")))
    place = project.flights / f"columns-{number}.toml"
    save_mapping(mapping, place)
    return place, mapping


def kept(path: Path, folder: Path, project: Project) -> Path:
    """Copy a file into the project as it is; one that lies there already stays where it is.

    Parameters
    ----------
    path : Path
        As handed over.
    folder : Path
        To copy it to, under a name of its own.
    project : Project

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where it cannot be copied.
    """
    if path.resolve().is_relative_to(project.folder.resolve()):
        inside = path.resolve().relative_to(project.folder.resolve())
        # What was sent to the desk lies there only until it is used.
        if inside.parts[0] != DESK:
            return path.resolve()
    content = digest(path)
    for number in range(1, 1000):
        stem = path.stem if number == 1 else f"{path.stem}-{number}"
        place = folder / f"{stem}{path.suffix}"
        if place.exists():
            if digest(place) == content:
                return place
            continue
        fresh = place.with_name(f".{place.name}.part")
        try:
            shutil.copyfile(path, fresh)
            fresh.replace(place)
        except OSError as error:
            fresh.unlink(missing_ok=True)
            raise InputError(
                where=str(place), found=error.strerror or "no room", needed="a place to copy the log to"
            ) from None
        return place
    raise InputError(where=str(path), found="a thousand logs of that name", needed="a name of its own")


def relative(file: Path | None, project: Project) -> str | None:
    """Seen from the book, so that the project folder can be zipped and sent."""
    if file is None:
        return None
    base = project.flights.resolve()
    found = file.resolve()
    if found.is_relative_to(base):
        return found.relative_to(base).as_posix()
    return "../" + found.relative_to(project.folder.resolve()).as_posix()


def shown(mapping: Mapping) -> list[dict[str, str]]:
    """Return the columns of a mapping as plain words."""
    return [
        {
            "name": column.name,
            "channel": column.channel or "left out",
            "unit": column.unit,
            "remark": column.remark,
        }
        for column in mapping.columns
    ]
