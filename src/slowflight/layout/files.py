"""Files that are either the old one or the whole new one."""

from __future__ import annotations

from pathlib import Path

from slowflight.errors import InputError


def replace_file(path: Path | str, content: bytes) -> Path:
    """Write a file beside its place and move it there.

    Parameters
    ----------
    path : Path or str
        The place.
    content : bytes
        What it is to hold.

    Returns
    -------
    Path
        The place.

    Raises
    ------
    InputError
        Where the folder is missing or may not be written to.
    """
    place = Path(path)
    beside = place.with_name(place.name + ".part")
    try:
        beside.write_bytes(content)
        beside.replace(place)
    except OSError as problem:
        beside.unlink(missing_ok=True)
        raise InputError(
            where=str(place), found=problem.strerror or str(problem), needed="a file that can be written"
        ) from None
    return place
