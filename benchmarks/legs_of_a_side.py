"""Campaigns in which only the first flight of a side calibrates the panel: whether 90 % bands still hold.

What such a calibration is off is off alike in all flights of the side, and their scatter does not show it.
Give the number of campaigns and how much flights differ [kt], 300 and 0.4 if not given.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.airspeed.calibrating import speed_points
from slowflight.flights.airspeed.steady import find_legs
from slowflight.flights.book.entries import FlightEntry
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.reduction.campaign import position_shift
from slowflight.flights.reduction.flown import AircraftFacts, FlownFlight
from slowflight.flights.reduction.one_flight import reduce_one
from slowflight.flights.simulator.flying import simulate
from slowflight.flights.simulator.invented import KNOT, InventedAircraft
from slowflight.flights.simulator.maneuvers import Leg, StallRun
from slowflight.flights.stalls.finding import find_stalls
from slowflight.flights.stalls.reducing import burning
from slowflight.flights.statistics.budget import Term
from slowflight.flights.statistics.gain import Gain, measure_gain

CRAFT = InventedAircraft()
FACTS = AircraftFacts(
    area=CRAFT.area, mass=CRAFT.mass, stall_guess=38.0 * KNOT, cruise_speed=45.0, density_altitude=0.0
)
RATES = (0.6, 0.8, 1.0, 1.3, 1.5, 0.9)


def flown(name: str, side: str, craft: InventedAircraft, *, legs: bool, seed: int) -> FlownFlight:
    """Fly stalls, with legs ahead of them where asked for."""
    stall = craft.stall_speeds[0.0]
    plan: list[Leg | StallRun] = [
        Leg(speed=times * stall, heading=i * math.pi / 2.0, seconds=45.0)
        for times in ((1.025, 1.15, 1.3, 1.55, 1.95) if legs else ())
        for i in range(4)
    ]
    plan += [StallRun(heading=math.pi * (i % 2), entry_rate=rate * KNOT) for i, rate in enumerate(RATES)]
    log = clean(simulate(plan, seed=seed, aircraft=craft).log)
    mass_at = burning(start_mass=craft.mass, fuel_per_second=craft.fuel_burn, start=float(log.time[0]))
    warm = float(np.nanmean(log.channels["outside_temperature"]))
    points = speed_points(find_legs(log), flap_deg=0.0, mass_at=mass_at, temperature=warm) if legs else []
    entry = FlightEntry(
        name=name, side=side, log=Path("x"), columns=None, stall_card=None, leg_card=None, digest="",
        part=None, mass=craft.mass, fuel_burn=craft.fuel_burn, flap_deg=0.0, power="idle",
        centre_of_gravity=0.27, pilot="", notes="", marks=(), where=name,
    )  # fmt: skip
    events = find_stalls(log, stall_speed=38.0 * KNOT, lag=0.5)
    return FlownFlight(
        entry=entry,
        mass_at=mass_at,
        points={0.0: tuple(points)} if points else {},
        events=tuple(events),
        pictures=(None,) * len(events),
    )


def gains(flights: Sequence[FlownFlight]) -> tuple[Gain, Gain]:
    """Return the gain with and without the error that the flights of a side share."""
    reduced = [reduce_one(one, flights, facts=FACTS) for one in flights]
    shared = position_shift(reduced, base=0.0)[0]
    records = [record for one in reduced for record in one.records]
    return (
        measure_gain(records, terms=(Term(name="shared calibration", half_width=shared),)),
        measure_gain(records, terms=()),
    )


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    between = (float(sys.argv[2]) if len(sys.argv) > 2 else 0.4) * KNOT
    held: list[bool] = []
    held_without: list[bool] = []
    values, halves, refused = [], [], 0
    for number in range(count):
        seed = 50_000 + 137 * number
        random = np.random.default_rng(seed + 7)
        flights = []
        for flight in range(3):
            for side, offset in (("before", 0), ("after", 50)):
                shift = between * random.standard_normal()
                craft = replace(
                    CRAFT, stall_speeds={flap: speed + shift for flap, speed in CRAFT.stall_speeds.items()}
                )
                name = f"{side} {flight}"
                flights.append(flown(name, side, craft, legs=flight == 0, seed=seed + offset + flight))
        try:
            both = gains(flights)
        except InputError:  # a side that stalled more than 2 kt below its slowest leg does not count
            refused += 1
            continue
        for gain, found in zip(both, (held, held_without), strict=True):
            low, high = gain.band(0.90)
            found.append(low <= 0.0 <= high)
            if found is held:
                values.append(gain.value / KNOT)
                halves.append(0.5 * (high - low) / KNOT)
    print(f"{count} campaigns in which nothing changed, flights differing by {between / KNOT:g} kt")
    print(f"{refused} of them refused: a side stalled too far below its slowest leg")
    print(f"90 % bands hold, what is shared counted in  {100 * np.mean(held):5.1f} %")
    print(f"90 % bands hold, scatter of flights alone   {100 * np.mean(held_without):5.1f} %")
    print(f"gain {np.mean(values):+.3f} kt, scatter {np.std(values):.3f} kt, band {np.mean(halves):.2f} kt")


if __name__ == "__main__":
    main()
