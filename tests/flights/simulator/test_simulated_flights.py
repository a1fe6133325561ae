"""The simulator keeps the laws it is made of, and the same seed gives the same flight."""

import math

import numpy as np
import pytest

from slowflight import air
from slowflight.flights.logs.log import Log
from slowflight.flights.simulator.flying import START_ALTITUDE, simulate
from slowflight.flights.simulator.invented import KNOT, Instruments, InventedAircraft, Weather
from slowflight.flights.simulator.maneuvers import Leg, StallRun, Turn
from slowflight.flights.stall_record import ENDINGS, NOSE_DROP

PERFECT = Instruments(
    airspeed_lag=0.0,
    airspeed_noise=0.0,
    ground_speed_noise=0.0,
    track_noise=0.0,
    pitch_noise=0.0,
    load_noise=0.0,
    height_noise=0.0,
)
STILL = Weather(wind_north=0.0, wind_east=0.0, gust=0.0)


def test_ground_velocity_is_air_velocity_plus_wind() -> None:
    # Exact: the wind triangle.
    plan = [Leg(speed=28.0, heading=h, seconds=20.0) for h in (0.0, 1.0, 4.0)]
    flight = simulate(
        plan, seed=1, instruments=PERFECT, weather=Weather(wind_north=4.0, wind_east=-7.0, gust=0.0)
    )
    log = flight.log
    north = log.channels["ground_speed"] * np.cos(log.channels["track"]) - 4.0
    east = log.channels["ground_speed"] * np.sin(log.channels["track"]) + 7.0
    assert np.hypot(north, east) == pytest.approx(flight.true_airspeed, rel=1e-9)
    assert np.cos(np.arctan2(east, north) - log.channels["heading"]) == pytest.approx(1.0, abs=1e-9)


def test_lift_carries_the_weight_at_every_row() -> None:
    # Exact: the pitch of level flight is what the lift curve needs, by definition of the lift coefficient.
    craft = InventedAircraft(fuel_burn=0.0)
    flight = simulate(
        [Leg(speed=30.0, heading=0.0)], seed=1, instruments=PERFECT, weather=STILL, aircraft=craft
    )
    lift = craft.lift(speed=30.0, mass=craft.mass)
    expected = lift / craft.lift_slope + craft.zero_lift[0.0]
    assert flight.log.channels["pitch"] == pytest.approx(expected, abs=1e-9)


def test_true_over_equivalent_airspeed_is_that_of_the_air() -> None:
    here = air.air(
        pressure=air.standard_pressure(altitude=START_ALTITUDE),
        temperature=air.standard_temperature(altitude=START_ALTITUDE) + STILL.warmer,
    )
    flight = simulate([Leg(speed=30.0, heading=0.0)], seed=1, weather=STILL)
    assert flight.true_airspeed[0] == pytest.approx(air.true_airspeed(equivalent=30.0, density=here.density))


def test_the_panel_reads_wrong_by_the_position_error_and_late_by_the_lag() -> None:
    craft = InventedAircraft(fuel_burn=0.0)
    steady = simulate(
        [Leg(speed=30.0, heading=0.0)], seed=1, instruments=PERFECT, weather=STILL, aircraft=craft
    )
    offset, slope = PERFECT.position_error
    error = offset + slope * craft.lift(speed=30.0, mass=craft.mass)
    assert steady.log.channels["indicated_airspeed"] == pytest.approx(30.0 - error, abs=1e-9)
    # Exact: a first-order lag follows a ramp late by its time constant.
    late = Instruments(**{**PERFECT.__dict__, "airspeed_lag": 0.7, "position_error": (0.0, 0.0)})
    slowing = simulate([StallRun(heading=0.0)], seed=1, instruments=late, weather=STILL, aircraft=craft)
    at = int(np.searchsorted(slowing.log.time, slowing.stalls[0].time))
    behind = slowing.log.channels["indicated_airspeed"][at] - slowing.stalls[0].speed
    assert behind == pytest.approx(0.7 * KNOT, rel=0.1)


def test_gusts_have_the_size_and_memory_asked_for() -> None:
    calm = Weather(wind_north=0.0, wind_east=0.0, gust=0.5, gust_memory=1.5)
    flight = simulate(
        [Leg(speed=30.0, heading=0.0, seconds=4000.0)], seed=4, instruments=PERFECT, weather=calm
    )
    shown = flight.log.channels["indicated_airspeed"]
    here = shown - np.mean(shown)
    # Equivalent airspeed sees a gust reduced by the root of the density ratio, 0.9 at 2 km.
    assert np.std(here) == pytest.approx(0.5 * 0.9, rel=0.1)
    # Exact: the correlation of a Gauss-Markov process after its memory is 1/e.
    assert np.mean(here[15:] * here[:-15]) / np.var(here) == pytest.approx(math.exp(-1.0), abs=0.06)


def test_entry_rate_mass_and_load_factor_move_the_stall_as_said() -> None:
    craft = InventedAircraft()
    runs = [
        StallRun(heading=0.0, entry_rate=rate * KNOT, load_factor=load)
        for rate, load in ((1.0, 1.0), (0.6, 1.0), (1.0, 1.03))
    ]
    flight = simulate(runs, seed=1, weather=STILL)
    one, slow, loaded = flight.stalls
    assert one.reference_speed == craft.stall_speeds[0.0]
    assert slow.reference_speed - one.reference_speed == pytest.approx(craft.entry_effect * -0.4 * KNOT)
    assert loaded.speed / one.speed == pytest.approx(
        math.sqrt(1.03 * loaded.mass / one.mass), rel=1e-4
    )  # each run is flown with the mass at its start
    assert one.mass > slow.mass > loaded.mass


def test_dropouts_are_as_many_as_asked_for() -> None:
    plan = [Leg(speed=30.0, heading=0.0, seconds=2000.0)]
    whole = simulate(plan, seed=1)
    holed = simulate(plan, seed=1, instruments=Instruments(dropouts=0.05))
    assert 0.03 < 1.0 - len(holed.log) / len(whole.log) < 0.055


def test_slow_airspeeds_show_nothing() -> None:
    flight = simulate([Leg(speed=30.0, heading=0.0)], seed=1, instruments=Instruments(blank_below=40.0))
    assert not flight.log.channels["indicated_airspeed"].any()


@pytest.mark.parametrize("ending", ENDINGS)
def test_nothing_jumps_that_an_aircraft_cannot_jump(ending: str) -> None:
    plan: list[Leg | Turn | StallRun] = [
        Leg(speed=30.0, heading=0.0),
        Turn(speed=30.0, heading=0.0),
        StallRun(heading=2.0, ending=ending),
    ]
    log = simulate(
        plan, seed=1, instruments=PERFECT, weather=STILL, aircraft=InventedAircraft(buffet=0.0)
    ).log
    limits = {"ground_speed": 4.0, "pitch": 1.2, "roll": 1.2, "pressure_altitude": 15.0, "load_factor": 2.0}
    for name, most in limits.items():
        assert np.max(np.abs(np.diff(log.channels[name]))) / 0.1 < most, name


def test_same_seed_same_flight_and_another_seed_another() -> None:
    plan = [StallRun(heading=0.0, ending=NOSE_DROP)]

    def values(seed: int) -> dict[str, np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
        log: Log = simulate(plan, seed=seed, instruments=Instruments(dropouts=0.02)).log
        return dict(log.channels)

    first, again, other = values(1), values(1), values(2)
    assert all(np.array_equal(first[name], again[name]) for name in first)
    assert not np.array_equal(first["indicated_airspeed"][:50], other["indicated_airspeed"][:50])
