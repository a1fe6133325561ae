"""A small campaign that is invented from end to end: logs with known truth, cards, and its book.

No aircraft flew it. What the invented wing gains is set here and was not taken from any prediction, so that a
prediction which agrees with it proves nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from slowflight import air
from slowflight.flights.simulator.flying import START_ALTITUDE, simulate
from slowflight.flights.simulator.invented import KNOT, Instruments, InventedAircraft, Weather
from slowflight.flights.simulator.maneuvers import Leg, StallRun, Turn
from slowflight.flights.simulator.writing import USUAL_COLUMNS, write_table

SEED = 20_261
FLAPS = (0.0, 31.0)  # [degrees]
CLEAN_STALLS = {0.0: 38.6 * KNOT, 31.0: 34.9 * KNOT}
TRUE_GAINS = {0.0: 1.6 * KNOT, 31.0: 1.3 * KNOT}
FLIGHT_SCATTER = 0.25 * KNOT
RATES = (1.0, 0.7, 1.2, 0.8, 1.1)  # [kt/s]
LEG_SPEEDS = (1.03, 1.15, 1.35, 1.8)  # times the stall speed
# The indicator reads about 6 kt low at the stall and right in cruise: [m/s], and for each lift coefficient.
POSITION_ERROR = (-1.1, 2.45)
FLIGHTS = 3
LAG = 0.5  # of the indicator [s]
LEFT_OUT = ("latitude", "longitude", "altitude", "pitch_rate", "roll_rate", "outside_temperature", "stick")
# A decimal less than usual keeps the logs small.
COLUMNS = {
    name: (channel, unit, max(digits - 1, 1 if channel == "indicated_airspeed" else 0))
    for name, (channel, unit, digits) in USUAL_COLUMNS.items()
    if channel not in LEFT_OUT
}


@dataclass(frozen=True, kw_only=True)
class InventedFlight:
    """One flight of the campaign.

    Parameters
    ----------
    name, side : str
        As the book has them.
    file : Path
        Its log.
    mass : float
        At the start of the log [kg].
    """

    name: str
    side: str
    file: Path
    mass: float


def write_campaign(folder: Path, *, mass: float, area: float) -> Iterator[InventedFlight]:
    """Write the logs of a campaign, flight by flight.

    Parameters
    ----------
    folder : Path
        That exists.
    mass : float
        Reference mass [kg].
    area : float
        Of the wing [m^2].

    Yields
    ------
    InventedFlight
        Three before and three after; the first of each side has the legs that calibrate the panel. The same
        call writes the same bytes.
    """
    scatter = np.random.default_rng(SEED)
    for side in ("before", "after"):
        for number in range(1, FLIGHTS + 1):
            off = float(scatter.normal(0.0, FLIGHT_SCATTER))
            start = mass + float(scatter.integers(-4, 7))
            gains = TRUE_GAINS if side == "after" else dict.fromkeys(FLAPS, 0.0)
            craft = InventedAircraft(
                mass=start,
                area=area,
                # Stall speeds are those of the reference mass; the simulator takes those of take-off.
                stall_speeds={
                    flap: (CLEAN_STALLS[flap] - gains[flap] + off) * math.sqrt(start / mass) for flap in FLAPS
                },
                zero_lift={0.0: math.radians(-4.0), 31.0: math.radians(-9.0)},
                buffet=0.05,
            )
            flown = simulate(
                list(_plan(craft, calibrate=number == 1)),
                seed=SEED + 10 * number + (side == "after"),
                aircraft=craft,
                weather=_weather(scatter),
                instruments=Instruments(rate=4.0, position_error=POSITION_ERROR, airspeed_lag=LAG),
            )
            file = folder / f"{side}-{number}.csv"
            write_table(flown.log, file, columns=COLUMNS, elapsed=True)
            yield InventedFlight(name=f"{side}-{number}", side=side, file=file, mass=start)


def cruise_runs(*, mass: float, cruise_speed: float) -> Iterator[tuple[str, float, float, float]]:
    """Yield level runs as from a card: flight, true speed [m/s], fuel flow [l/h], mass [kg].

    Parameters
    ----------
    mass : float
        Reference mass [kg].
    cruise_speed : float
        About which they are flown [m/s].
    """
    noise = np.random.default_rng(SEED + 1)
    for side in ("before", "after"):
        for number in range(1, FLIGHTS + 1):
            for share in (0.8, 0.9, 1.0, 1.1):
                speed = share * cruise_speed
                drag = 1.01 if side == "after" else 1.0
                flow = 17.0 * (0.72 * drag * share**3 + 0.28 / share)
                yield (
                    f"{side}-{number}",
                    speed * (1.0 + 0.004 * float(noise.normal())),
                    flow * (1.0 + 0.006 * float(noise.normal())),
                    mass,
                )


CRUISE_HEIGHT = 900.0  # pressure altitude of those runs [m]


def cruise_temperature() -> float:
    """Return the air of those runs, a standard day [K]."""
    return air.standard_temperature(altitude=CRUISE_HEIGHT)


def stall_temperature() -> float:
    """Return the air in which legs and stalls are flown [K]."""
    return air.standard_temperature(altitude=START_ALTITUDE) + Weather().warmer


def _plan(craft: InventedAircraft, *, calibrate: bool) -> Iterator[Leg | Turn | StallRun]:
    for flap in FLAPS:
        stall = craft.stall_speeds[flap]
        for times in LEG_SPEEDS if calibrate else ():
            for i in range(3):
                yield Leg(speed=times * stall, heading=2.0 * math.pi * i / 3.0, seconds=32.0, flap_deg=flap)
        for i, rate in enumerate(RATES):
            yield StallRun(heading=math.pi * (i % 2), entry_rate=rate * KNOT, flap_deg=flap)


def _weather(scatter: np.random.Generator) -> Weather:
    north, east = (float(scatter.normal(0.0, 2.5)) for _ in range(2))
    return replace(Weather(), wind_north=north, wind_east=east, gust=0.35 * KNOT)
