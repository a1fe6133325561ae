"""Legs read off a receiver and written on a card."""

from __future__ import annotations

from pathlib import Path

from slowflight.flights.airspeed.circle_fit import Leg
from slowflight.flights.airspeed.steady import FoundLeg
from slowflight.flights.logs.hand_card import read_card
from slowflight.flights.logs.log_units import ANGLE_IN_LOGS, LENGTH_IN_LOGS, SPEED_IN_LOGS

COLUMNS = {
    "ground speed": SPEED_IN_LOGS,
    "track": ANGLE_IN_LOGS,
    "indicated": SPEED_IN_LOGS,
    "height": LENGTH_IN_LOGS,
}
APART = 60.0  # legs of a card are taken to follow each other by this [s]


def read_leg_card(path: Path | str) -> list[FoundLeg]:
    """Read legs from a card.

    Parameters
    ----------
    path : Path or str
        A table with the columns ``ground speed``, ``track`` and ``indicated``, and ``height`` (pressure
        altitude) where noted, each with its unit; one line for each leg, in the order flown.

    Returns
    -------
    list of FoundLeg
        Ready for `speed_points`.

    Raises
    ------
    InputError
        As for `read_card`.
    """
    rows = read_card(path, numbers=COLUMNS, required=("ground speed", "track", "indicated"))
    return [
        FoundLeg(
            leg=Leg(ground_speed=row.numbers["ground speed"], track=row.numbers["track"]),
            start=APART * i,
            stop=APART * (i + 1),
            indicated=row.numbers["indicated"],
            pressure_altitude=row.numbers.get("height"),
            first_row=row.line,
            last_row=row.line,
        )
        for i, row in enumerate(rows)
    ]
