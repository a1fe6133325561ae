"""Records that stand in a project's runs under a name of their own."""

from __future__ import annotations

import json
from typing import Any

from slowflight.errors import InputError
from slowflight.project import Project
from slowflight.study.store import RunStore


def saved_record(project: Project, file: str, *, what: str, fix: str) -> dict[str, Any] | None:
    """Return a record, or ``None`` where there is none.

    Parameters
    ----------
    project : Project
    file : str
        Its name in ``runs``, ending in ``.json``.
    what : str
        What it should be, for the message.
    fix : str
        What to do about a damaged one.

    Raises
    ------
    InputError
        Where the file is damaged.
    """
    content = RunStore(project.runs).read(file.removesuffix(".json"), suffix=".json")
    if content is None:
        return None
    try:
        record = json.loads(content)
    except ValueError:
        record = None
    if not isinstance(record, dict):
        raise InputError(where=str(project.runs / file), found="a damaged file", needed=what, fix=fix)
    return record
