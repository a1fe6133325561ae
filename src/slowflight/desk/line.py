"""What is asked of the minutes tier while it computes something else: it stands in line meanwhile.

Each question is a file of its own, made by the desk and taken away by the run that answered it: neither ever
writes over what the other did.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from slowflight.desk.runs import FOLDER

ASKED = "asked-{}.json"


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Questions that stand in line, taken together.

    Parameters
    ----------
    stations : tuple of float
        Further places of the row [share of the chord], each once.
    every_row : bool
        Whether all rows of the sceptic's question are wanted.
    files : tuple of Path
        Where they stand.
    """

    stations: tuple[float, ...]
    every_row: bool
    files: tuple[Path, ...]


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
    place = folder / FOLDER / ASKED.format(secrets.token_hex(8))
    place.parent.mkdir(parents=True, exist_ok=True)
    fresh = place.with_name(f".{place.name}.part")
    fresh.write_text(json.dumps({"station": station, "every_row": every_row}), encoding="utf-8")
    fresh.replace(place)


def waiting(folder: Path) -> Asked | None:
    """Return what stands in line; None where nothing does."""
    found = list(_readable((folder / FOLDER).glob(ASKED.format("*"))))
    if not found:
        return None
    stations = dict.fromkeys(station for _, station, _ in found if station is not None)
    return Asked(
        stations=tuple(sorted(stations)),
        every_row=any(every for _, _, every in found),
        files=tuple(place for place, _, _ in found),
    )


def answered(asked: Asked) -> None:
    """Take what was answered out of line; what was asked meanwhile stays. Until then a stop loses nothing."""
    for place in asked.files:
        place.unlink(missing_ok=True)


def forget(folder: Path) -> None:
    """Empty the line."""
    for place in (folder / FOLDER).glob(ASKED.format("*")):
        place.unlink(missing_ok=True)


def _readable(places: Iterable[Path]) -> Iterator[tuple[Path, float | None, bool]]:
    for place in places:
        try:
            asked = json.loads(place.read_text(encoding="utf-8"))
            station = asked["station"]
            yield place, None if station is None else float(station), bool(asked["every_row"])
        except (OSError, ValueError, TypeError, KeyError):
            continue
