"""A page takes the old one's place only once it is whole."""

from __future__ import annotations

from pathlib import Path

from slowflight.errors import SlowflightError


def write_page(text: str, file: Path, *, what: str) -> Path:
    """Write a page beside its place, then put it there.

    Parameters
    ----------
    text : str
    file : Path
    what : str
        The command, for messages.

    Returns
    -------
    Path
        ``file``.

    Raises
    ------
    SlowflightError
        Where it cannot be written.
    """
    draft = file.with_name(f".{file.name}.part")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        draft.write_text(text, encoding="utf-8")
        draft.replace(file)
    except OSError as trouble:
        raise SlowflightError(
            f"{what}: {file} cannot be written ({trouble.strerror}); needs a folder that can be written to"
        ) from None
    return file
