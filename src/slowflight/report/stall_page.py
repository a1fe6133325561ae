"""One page with every stall as its log has it, large enough to judge, for the pilot to accept or strike."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from slowflight.report.extras import require_extras
from slowflight.report.written_page import write_page


def write_stall_page(record: Mapping[str, Any], *, file: Path, folder: str) -> Path:
    """Write the page.

    Parameters
    ----------
    record : mapping
        The record of ``fly`` as saved.
    file : Path
        The page; an older one is replaced as a whole.
    folder : str
        The project folder, as it stands in the commands shown.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    SlowflightError
        Where the report's own libraries are not installed, or the page cannot be written.
    """
    require_extras()
    # Only now: these need the libraries just asked for, and everything else must run without them.
    from slowflight.report.pictures.stall_event import draw_stall_event
    from slowflight.report.render import environment

    flights = [
        {
            "flight": flight,
            "stalls": [
                {
                    "stall": one,
                    "picture": draw_stall_event(one, flight=flight["name"], unit=record["unit"]),
                    "command": _command(folder, flight["name"], one),
                }
                for one in flight["stalls"]
            ],
        }
        for flight in record["flights"]
    ]
    text = (
        environment()
        .get_template("stall_page.html")
        .render(record=record, flights=flights, per=record["unit"].replace("/", "_per_"))
    )
    return write_page(text, file, what="stalls")


def _command(folder: str, flight: str, one: Mapping[str, Any]) -> str:
    """Return what the pilot types to change whether a stall counts."""
    verb = "strike" if one["accepted"] else "restore"
    name = f'"{flight}"' if " " in flight else flight
    place = f'"{folder}"' if " " in folder else folder
    return f'slowflight fly {place} {verb} {name} {one["stall"]} --reason "..."'
