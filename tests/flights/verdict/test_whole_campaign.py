"""From simulated logs with known truth, through calibration and stalls, to gain and verdict."""

import math
from dataclasses import replace

import numpy as np
import pytest

from slowflight.flights.airspeed.calibrating import speed_points
from slowflight.flights.airspeed.position_error import fit_position_error
from slowflight.flights.airspeed.steady import find_legs
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.simulator.flying import simulate
from slowflight.flights.simulator.invented import KNOT, InventedAircraft
from slowflight.flights.simulator.maneuvers import Leg, StallRun, Turn
from slowflight.flights.stall_record import CLEAN, FULL_STICK, NOSE_DROP, VANES, StallRecord
from slowflight.flights.stalls.finding import find_stalls
from slowflight.flights.stalls.reducing import FlightFacts, burning, reduce_flight
from slowflight.flights.statistics.speed_rule import SpeedRule
from slowflight.flights.verdict.decision import Decision, FlapSetting, decide
from slowflight.flights.verdict.judge import FLY_MORE, KEEP, REMOVE
from tests.flights.verdict.campaigns import BENIGN, cruise

CLEAN_CRAFT = InventedAircraft()
RATES = (0.6, 0.8, 1.0, 1.3, 1.5, 0.9)


def flight(
    name: str, configuration: str, craft: InventedAircraft, *, seed: int, ending: str
) -> list[StallRecord]:
    legs: list[Leg | Turn | StallRun] = [
        Leg(speed=times * craft.stall_speeds[0.0], heading=i * math.pi / 2.0, seconds=45.0)
        for times in (1.025, 1.15, 1.3, 1.55, 1.95)
        for i in range(4)
    ]
    runs = [
        StallRun(heading=math.pi * (i % 2), entry_rate=rate * KNOT, ending=ending)
        for i, rate in enumerate(RATES)
    ]
    log = clean(simulate([*legs, *runs], seed=seed, aircraft=craft).log)
    facts = FlightFacts(
        flight=name,
        configuration=configuration,
        mass_at=burning(start_mass=craft.mass, fuel_per_second=craft.fuel_burn, start=float(log.time[0])),
        reference_mass=craft.mass,
        centre_of_gravity=0.27,
    )
    warm = float(np.nanmean(log.channels["outside_temperature"]))
    points = speed_points(find_legs(log), flap_deg=0.0, mass_at=facts.mass_at, temperature=warm)
    curve = fit_position_error([one.point for one in points], area=craft.area)
    events = find_stalls(log, stall_speed=craft.stall_speeds[0.0], lag=0.5)
    return reduce_flight(events, facts, curves=[curve])


def campaign(gain: float, *, ending: str = NOSE_DROP, seed: int = 100) -> list[StallRecord]:
    speeds = {flap: speed - gain * KNOT for flap, speed in CLEAN_CRAFT.stall_speeds.items()}
    fitted = replace(CLEAN_CRAFT, stall_speeds=speeds)
    records = []
    for number in range(3):
        records += flight(f"c{number}", CLEAN, CLEAN_CRAFT, seed=seed + number, ending=NOSE_DROP)
        records += flight(f"v{number}", VANES, fitted, seed=seed + 50 + number, ending=ending)
    return records


def decided(records: list[StallRecord]) -> Decision:
    return decide(
        records,
        flaps=(FlapSetting(name="flap up", flap_deg=0.0, landing=True),),
        reference_mass=CLEAN_CRAFT.mass,
        handling={"flap up": (BENIGN, BENIGN)},
        cruise=cruise(),
        rule=SpeedRule(),
    )


def test_a_true_gain_is_found_with_its_band_and_kept() -> None:
    found = decided(campaign(4.0))
    gain = found.settings[0].gain
    assert gain is not None
    low, high = gain.band(0.95)
    assert low <= 4.0 * KNOT <= high
    assert gain.value / KNOT == pytest.approx(4.0, abs=0.8)
    assert gain.flights == (3, 3)
    assert gain.unlike == ()
    assert found.verdict.finding == KEEP


def test_nothing_gained_is_not_kept() -> None:
    found = decided(campaign(0.0, seed=300))
    gain = found.settings[0].gain
    assert gain is not None
    assert gain.band(0.95)[0] <= 0.0 <= gain.band(0.95)[1]
    assert found.verdict.finding in {REMOVE, FLY_MORE}


def test_a_break_that_became_a_mush_is_not_compared() -> None:
    found = decided(campaign(4.0, ending=FULL_STICK))
    assert found.verdict.finding == FLY_MORE
    assert any("no longer end alike" in reason for reason in found.verdict.reasons)
