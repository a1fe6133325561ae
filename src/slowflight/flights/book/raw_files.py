"""What a file that a pilot hands over is, and whether it is still the file that was handed over."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from slowflight.errors import InputError
from slowflight.flights.airspeed.by_hand import read_leg_card
from slowflight.flights.logs.mapping import Mapping, guess_mapping, read_mapping
from slowflight.flights.logs.opening import open_log
from slowflight.flights.logs.reading import kind_of
from slowflight.flights.stalls.by_hand import read_stall_card

STALL_CARD, LEG_CARD = "stall card", "leg card"
PIECE = 1 << 20


@dataclass(frozen=True, kw_only=True)
class RawFile:
    """A file as handed over.

    Parameters
    ----------
    path : Path
    kind : str
        ``"table"``, ``"gpx"``, ``"nmea"``, ``"igc"``, ``"stall card"`` or ``"leg card"``.
    mapping : Mapping or None
        The guess, of a table.
    """

    path: Path
    kind: str
    mapping: Mapping | None = None


def look_at(path: Path) -> RawFile:
    """Find out what a file is.

    Parameters
    ----------
    path : Path
        It is only read.

    Returns
    -------
    RawFile

    Raises
    ------
    InputError
        Where it is no log and no card, or a card with a slip in it.
    """
    text = open_log(path)
    first = next((line for line in text.head.splitlines() if line.strip() and not line.startswith("#")), "")
    names = first.lower()
    if "ending" in names and "rate" in names and "speed" in names:
        read_stall_card(path)
        return RawFile(path=path, kind=STALL_CARD)
    if "ground speed" in names and "track" in names and "indicated" in names and "time" not in names:
        read_leg_card(path)
        return RawFile(path=path, kind=LEG_CARD)
    kind = kind_of(text)
    return RawFile(path=path, kind=kind, mapping=guess_mapping(path) if kind == "table" else None)


def digest(path: Path) -> str:
    """Return the SHA-256 of a file of any size; InputError where it cannot be read."""
    found = hashlib.sha256()
    try:
        with path.open("rb") as stream:
            while piece := stream.read(PIECE):
                found.update(piece)
    except OSError as error:
        raise InputError(
            where=str(path), found=error.strerror or "a file that cannot be read", needed="a readable log"
        ) from None
    return found.hexdigest()


def same_columns(guess: Mapping, folder: Path) -> Path | None:
    """Return a mapping in the folder that knows every column of a table by name, or None.

    Parameters
    ----------
    guess : Mapping
        Of the table.
    folder : Path
        Where mappings are kept, as ``columns-1.toml`` and so on.

    Returns
    -------
    Path or None
    """
    names = {column.name for column in guess.columns}
    for place in sorted(folder.glob("columns-*.toml")):
        known = read_mapping(place)
        if known.delimiter == guess.delimiter and {column.name for column in known.columns} == names:
            return place
    return None
