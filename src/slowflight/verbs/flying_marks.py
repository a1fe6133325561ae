"""The pilot looks at each stall as it was drawn, and strikes or restores it, the reason kept."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from slowflight.errors import InputError
from slowflight.flights.book.writing import mark_stall
from slowflight.project import open_project
from slowflight.report.stall_page import write_stall_page
from slowflight.verbs.flying import fly, open_book, saved_flights

STALLS = "stalls.html"


def strike_stall(folder: str | Path, flight: str, stall: int | str, *, reason: str) -> dict[str, Any]:
    """Strike one stall: it is shown, with the reason, and no longer counts.

    Parameters
    ----------
    folder : str or Path
        A project folder with flights.
    flight : str
        Name of the flight, as in flights.toml.
    stall : int or str
        Its number as listed by `fly`, from 1.
    reason : str
        Why, as the pilot saw it.

    Returns
    -------
    dict
        What was written and where, plain data.

    Raises
    ------
    InputError
        Where there is no such flight or stall, or no reason.
    """
    return _marked(folder, flight, stall, reason=reason, counts=False)


def restore_stall(folder: str | Path, flight: str, stall: int | str, *, reason: str) -> dict[str, Any]:
    """Let a stall count again; parameters, result and errors as for `strike_stall`.

    What no reason mends (a warning only, an unusable event) is refused when the flights are reduced.
    """
    return _marked(folder, flight, stall, reason=reason, counts=True)


def draw_stalls(folder: str | Path) -> dict[str, Any]:
    """Draw every stall of a project on one page, to be accepted or struck.

    Parameters
    ----------
    folder : str or Path
        A project folder with flights; they are reduced first.

    Returns
    -------
    dict
        The page and what is on it, plain data.

    Raises
    ------
    InputError
        As for `fly`.
    SlowflightError
        Where the report's own libraries are not installed.
    """
    project = open_project(folder)
    record = fly(folder)
    page = write_stall_page(record, file=project.ready(project.flights) / STALLS, folder=str(folder))
    stalls = [one for flight in record["flights"] for one in flight["stalls"]]
    return {
        "page": str(page),
        "stalls": len(stalls),
        "counted": sum(one["accepted"] for one in stalls),
        "cautions": list(record["cautions"]),
    }


def _marked(
    folder: str | Path, flight: str, stall: int | str, *, reason: str, counts: bool
) -> dict[str, Any]:
    project = open_project(folder)
    book = open_book(project)
    number = int(stall) if str(stall).strip().isdecimal() else 0
    if number < 1:
        raise InputError(where="fly", found=f"stall {stall!r}", needed="its number as listed, from 1")
    if not reason.strip():
        raise InputError(
            where="--reason",
            found="no reason",
            needed="why, as you saw it: a stall taken out without one is a result made to please",
        )
    _refuse_missing(saved_flights(project), flight, number)
    mark_stall(book.path, flight=flight, stall=number, counts=counts, reason=reason.strip())
    open_book(project)
    return {
        "book": str(book.path),
        "flight": flight,
        "stall": number,
        "counts": counts,
        "reason": reason.strip(),
        "next": [f"slowflight fly {project.folder}"],
    }


def _refuse_missing(record: dict[str, Any] | None, flight: str, number: int) -> None:
    """Refuse a number that the last reduction does not know; without one nothing can be said."""
    known = next((one for one in (record or {}).get("flights", []) if one["name"] == flight), None)
    if known is not None and not known["problem"] and number > len(known["stalls"]):
        raise InputError(
            where=f"flight {flight}",
            found=f"stall {number}",
            needed=f"one of the {len(known['stalls'])} that were found",
            fix="look at them: slowflight fly DIR stalls",
        )
