"""What is asked of the minutes tier while it computes something else: it stands in line meanwhile."""

from __future__ import annotations

import json
import os
import threading
from pathlib import Path
from typing import Any

from slowflight.desk.runs import FOLDER

ASKED = "asked.json"
_LOCK = threading.Lock()  # two pages may ask at once


def ask(folder: Path, *, station: float | None = None, every_row: bool = False) -> None:
    """Put a question to the minutes tier in line.

    Parameters
    ----------
    folder : Path
    station : float, optional
        A further place of the row [share of the chord].
    every_row : bool
        Whether all rows of the sceptic's question are wanted.
    """
    with _LOCK:
        now = waiting(folder) or {"stations": [], "every_row": False}
        stations = now["stations"]
        if station is not None and station not in stations:
            stations = [*stations, station]
        _write(folder, {"stations": stations, "every_row": every_row or now["every_row"]})


def waiting(folder: Path) -> dict[str, Any] | None:
    """Return what stands in line: ``stations`` and ``every_row``; None where nothing does."""
    return _read(folder / FOLDER / ASKED)


def answered(folder: Path, asked: dict[str, Any]) -> None:
    """Take what was answered out of line; what was asked meanwhile stays. Until then a stop loses nothing."""
    now = waiting(folder)
    if now is None:
        return
    stations = [station for station in now["stations"] if station not in asked["stations"]]
    every_row = now["every_row"] and not asked["every_row"]
    if stations or every_row:
        _write(folder, {"stations": stations, "every_row": every_row})
    else:
        forget(folder)


def forget(folder: Path) -> None:
    """Empty the line."""
    (folder / FOLDER / ASKED).unlink(missing_ok=True)


def _write(folder: Path, asked: dict[str, Any]) -> None:
    place = folder / FOLDER / ASKED
    place.parent.mkdir(parents=True, exist_ok=True)
    fresh = place.with_name(f".{ASKED}.{os.getpid()}.part")
    fresh.write_text(json.dumps(asked), encoding="utf-8")
    fresh.replace(place)


def _read(place: Path) -> dict[str, Any] | None:
    try:
        asked = json.loads(place.read_text(encoding="utf-8"))
        stations = [float(one) for one in asked["stations"]]
        return {"stations": stations, "every_row": bool(asked["every_row"])}
    except (OSError, ValueError, TypeError, KeyError):
        return None
