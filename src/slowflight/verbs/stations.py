"""Places along the chord, as an owner writes them."""

from __future__ import annotations

from slowflight.errors import InputError
from slowflight.verbs import plain_numbers
from slowflight.wing.vane_row import AFTMOST_STATION, FOREMOST_STATION

MOST_STATIONS = 40


def stations_from(text: str, *, where: str) -> tuple[float, ...]:
    """Read places in per cent of chord, parted by commas; none from an empty text.

    Parameters
    ----------
    text : str
        Such as ``"3, 5, 7.5 %"``.
    where : str
        For the message.

    Returns
    -------
    tuple of float
        Shares of the chord.

    Raises
    ------
    InputError
        For what is no number, lies off the part of the chord where vanes may stand, or is too much.
    """
    if not text.strip():
        return ()
    parts = [part.strip().rstrip("%").strip() for part in text.split(",")]
    if len(parts) > MOST_STATIONS:
        raise InputError(where=where, found=f"{len(parts)} of them", needed=f"at most {MOST_STATIONS}")
    return tuple(
        plain_numbers.number(
            part, where=where, lowest=100.0 * FOREMOST_STATION, highest=100.0 * AFTMOST_STATION,
            what="per cent of chord",
        )
        / 100.0
        for part in parts
    )  # fmt: skip
