"""From which record each file in DIR/share was drawn: what is shown later says when that is no longer it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from slowflight.report.written_page import write_page

MADE_FROM = "made-from.json"
OF_THE_DAY = ("predicted_on", "reduced_on")  # the same answer on another day is the same


def note_made(folder: Path, files: Iterable[str], record: Mapping[str, Any] | None, *, kind: str) -> None:
    """Note of what files were made.

    Parameters
    ----------
    folder : Path
        ``DIR/share``.
    files : iterable of str
        Their names in it.
    record : mapping or None
        They were drawn from; None where there was none.
    kind : str
        ``"prediction"`` or ``"flights"``.
    """
    noted = _noted(folder)
    noted.update({name: {"kind": kind, "record": digest(record)} for name in files})
    write_page(json.dumps(noted, indent=1), folder / MADE_FROM, what="share")


def of_older(folder: Path, records: Mapping[str, Mapping[str, Any] | None]) -> dict[str, str]:
    """Return what files in ``DIR/share`` were made of a record that is no longer the one that is saved.

    Parameters
    ----------
    folder : Path
        ``DIR/share``.
    records : mapping
        As saved now, by kind.

    Returns
    -------
    dict of str
        Kind by file name.
    """
    return {
        name: made["kind"]
        for name, made in _noted(folder).items()
        if made.get("kind") in records and made.get("record") != digest(records[made["kind"]])
    }


def digest(record: Mapping[str, Any] | None) -> str:
    """Return what tells one record from another; the day it was made is no difference."""
    if record is None:
        return ""
    said = {key: value for key, value in record.items() if key not in OF_THE_DAY}
    return hashlib.sha256(json.dumps(said, sort_keys=True, default=str).encode()).hexdigest()[:24]


def _noted(folder: Path) -> dict[str, dict[str, str]]:
    try:
        found = json.loads((folder / MADE_FROM).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return (
        {name: one for name, one in found.items() if isinstance(one, dict)} if isinstance(found, dict) else {}
    )
