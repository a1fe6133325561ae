"""Which flights to fly, in which order: clean, fitted, clean again, with the rest held alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.errors import RangeError
from slowflight.flights.stall_record import CLEAN, VANES

CLEAN_AGAIN = "clean again"
RATES = (0.6, 0.8, 1.0, 1.0, 1.3, 1.5)  # [kt/s] to aim at; common practice, no source

HELD_ALIKE = (
    "one pilot for all flights that are compared",
    "one mass within 10 kg at the first stall, and one center of gravity within 1 % of the chord",
    "one time of day, early, on days of their own: not all clean flights in one week and all others in the"
    " next",
    "one place and height band, one power setting (idle), one set of instruments",
)


@dataclass(frozen=True, kw_only=True)
class PlannedFlight:
    """One flight of the plan.

    Parameters
    ----------
    number : int
        In the order to be flown, from 1.
    configuration : str
        ``"clean"``, ``"vanes"`` or ``"clean again"``.
    block : str
        Flights that share a letter are flown with the same pilot, mass and time of day.
    rates : tuple of float
        Entry rates to aim at, in the order to be flown [kt/s].
    """

    number: int
    configuration: str
    block: str
    rates: tuple[float, ...]


def plan_flights(
    flights: int, *, removable: bool, stalls: int = 6, seed: int = 1
) -> tuple[PlannedFlight, ...]:
    """Lay out a campaign.

    Parameters
    ----------
    flights : int
        On each side.
    removable : bool
        Whether the vanes come off again: a third of the clean flights, at least one, is then flown after
        them, so that a change of the aircraft, its instruments or its pilot is seen.
    stalls : int, optional
        In each flight and flap setting; half of them on the opposite heading.
    seed : int, optional
        Of the random order of entry rates.

    Returns
    -------
    tuple of PlannedFlight

    Raises
    ------
    RangeError
        Where there is no flight or fewer than four stalls.
    """
    if flights < 1 or stalls < 4:
        raise RangeError(
            where="plan",
            found=f"{flights} flights of {stalls} stalls",
            needed="one flight or more, of four or more",
        )
    if removable:
        after = max(1, flights // 3)
        order = [CLEAN] * max(flights - after, 1) + [VANES] * flights + [CLEAN_AGAIN] * after
    else:
        order = [CLEAN] * flights + [VANES] * flights
    random = np.random.default_rng(seed)
    aims = [RATES[number % len(RATES)] for number in range(stalls)]
    seen: dict[str, int] = {}
    planned = []
    for number, configuration in enumerate(order, start=1):
        side = VANES if configuration == VANES else CLEAN
        seen[side] = seen.get(side, 0) + 1
        planned.append(
            PlannedFlight(
                number=number,
                configuration=configuration,
                block=chr(ord("A") + (seen[side] - 1) % 26),
                rates=tuple(float(rate) for rate in random.permutation(aims)),
            )
        )
    return tuple(planned)
