"""Simulated flights with stalls, and what was found beside what was true."""

import math
from dataclasses import dataclass

import numpy as np

from slowflight.flights.airspeed.position_error import CalibrationPoint, PositionError, fit_position_error
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.simulator.flying import SimulatedFlight, StallTruth, simulate
from slowflight.flights.simulator.invented import KNOT, Instruments, InventedAircraft, Weather
from slowflight.flights.simulator.maneuvers import Leg, StallRun, Turn
from slowflight.flights.stall_record import ENDINGS, StallRecord
from slowflight.flights.stalls.event import StallEvent
from slowflight.flights.stalls.finding import find_stalls
from slowflight.flights.stalls.reducing import FlightFacts, burning, reduce_flight

CRAFT = InventedAircraft()
GUESS = 38.0 * KNOT


@dataclass(frozen=True)
class Found:
    truth: StallTruth
    event: StallEvent | None
    record: StallRecord | None


def known_curve(flap_deg: float = 0.0) -> PositionError:
    """The simulator's own position error, as if calibrated without any error down to 1.02 stall speeds."""
    offset, slope = Instruments().position_error
    slowest = 1.02 * CRAFT.stall_speeds[flap_deg] / KNOT
    points = []
    for knots in (slowest, slowest + 3.0, 50.0, 60.0, 80.0):
        lift = CRAFT.lift(speed=knots * KNOT, mass=CRAFT.mass)
        points.append(
            CalibrationPoint(
                indicated=knots * KNOT - offset - slope * lift,
                calibrated=knots * KNOT,
                flap_deg=flap_deg,
                mass=CRAFT.mass,
            )
        )
    return fit_position_error(points, area=CRAFT.area)


def plan_of_stalls(count: int, seed: int, endings: tuple[str, ...] = ENDINGS) -> list[Leg | Turn | StallRun]:
    choose = np.random.default_rng(seed)
    plan: list[Leg | Turn | StallRun] = [Leg(speed=55.0 * KNOT, heading=0.0, seconds=60.0)]
    for i in range(count):
        plan.append(
            StallRun(
                heading=math.pi * (i % 2),
                entry_rate=float(choose.choice([0.6, 0.8, 1.0, 1.3, 1.5])) * KNOT,
                ending=endings[i % len(endings)],
                load_factor=float(choose.choice([0.97, 1.0, 1.03])),
            )
        )
    return plan


def fly_and_find(
    seed: int,
    *,
    count: int = 30,
    endings: tuple[str, ...] = ENDINGS,
    instruments: Instruments | None = None,
    weather: Weather | None = None,
    drop: tuple[str, ...] = (),
) -> tuple[list[Found], list[StallEvent], SimulatedFlight]:
    """Fly, record, reduce; `drop` names channels that the recorder does not have."""
    flight = simulate(
        plan_of_stalls(count, seed, endings),
        seed=seed,
        instruments=instruments,
        weather=weather,
        aircraft=CRAFT,
    )
    log = clean(flight.log)
    log = log.done(channels={name: values for name, values in log.channels.items() if name not in drop})
    events = find_stalls(log, stall_speed=GUESS, lag=Instruments().airspeed_lag)
    facts = FlightFacts(
        flight=f"flight {seed}",
        configuration="clean",
        mass_at=burning(start_mass=CRAFT.mass, fuel_per_second=CRAFT.fuel_burn, start=float(log.time[0])),
        reference_mass=CRAFT.mass,
        flap_deg=0.0,
        pitch_datum=0.0,
    )
    records = reduce_flight(events, facts, curves=[known_curve()])
    found = []
    for truth in flight.stalls:
        near = [i for i, event in enumerate(events) if event.start - 1.0 < truth.time < event.stop + 1.0]
        event = events[near[0]] if near else None
        found.append(Found(truth, event, records[near[0]] if near else None))
    return found, events, flight
