"""Wind, true airspeed and calibration out of simulated logs whose truth is known."""

import math

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flights.airspeed.calibrating import speed_points
from slowflight.flights.airspeed.near_stall import true_airspeed_from_ground
from slowflight.flights.airspeed.position_error import fit_position_error
from slowflight.flights.airspeed.steady import find_legs
from slowflight.flights.airspeed.turning import fit_turn
from slowflight.flights.airspeed.turns import turn_points
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.simulator.flying import SimulatedFlight, simulate
from slowflight.flights.simulator.invented import KNOT, Instruments, InventedAircraft, Weather
from slowflight.flights.simulator.maneuvers import Leg, StallRun, Turn
from slowflight.flights.stalls.reducing import burning

CRAFT = InventedAircraft()
CALIBRATED = (42.0, 46.0, 52.0, 62.0, 78.0)


def square(speeds: tuple[float, ...], seconds: float = 45.0) -> list[Leg | Turn | StallRun]:
    return [
        Leg(speed=knots * KNOT, heading=i * math.pi / 2.0, seconds=seconds)
        for knots in speeds
        for i in range(4)
    ]


def true_speed(flight: SimulatedFlight, part: int) -> float:
    start, stop = flight.load_times[part]
    inside = (flight.log.time >= start) & (flight.log.time <= stop)
    return float(np.mean(flight.true_airspeed[inside]))


@pytest.mark.parametrize("rate", [1.0, 10.0])
def test_legs_are_found_where_they_were_flown(rate: float) -> None:
    flight = simulate(square(CALIBRATED), seed=2, instruments=Instruments(rate=rate))
    legs = find_legs(clean(flight.log))
    assert len(legs) == len(flight.load_times)
    for leg, (start, stop) in zip(legs, flight.load_times, strict=True):
        assert start - 1.5 <= leg.start <= leg.stop <= stop + 1.5
        assert leg.leg.seconds > 30.0
        assert leg.first_row < leg.last_row


def test_wind_and_true_airspeed_of_each_speed() -> None:
    flight = simulate(square(CALIBRATED), seed=2, weather=Weather(wind_north=5.0, wind_east=-3.0))
    found = speed_points(find_legs(clean(flight.log)), flap_deg=0.0, mass_at=lambda time: 600.0)
    assert len(found) == len(CALIBRATED)
    for i, one in enumerate(found):
        assert one.wind.true_airspeed.low <= true_speed(flight, 4 * i) <= one.wind.true_airspeed.high
        assert one.wind.wind_north == pytest.approx(5.0, abs=0.3)
        assert one.wind.wind_east == pytest.approx(-3.0, abs=0.3)


def test_position_error_comes_back_from_logs_alone() -> None:
    # Twenty flights: the bands of the fitted curve hold the simulator's own position error.
    panel, hits, tries = Instruments(), 0, 0
    for seed in range(20):
        flight = simulate(square(CALIBRATED), seed=seed, weather=Weather(warmer=8.0))
        temperature = float(np.mean(flight.log.channels["outside_temperature"]))
        found = speed_points(
            find_legs(clean(flight.log)),
            flap_deg=0.0,
            mass_at=burning(
                start_mass=CRAFT.mass, fuel_per_second=CRAFT.fuel_burn, start=float(flight.log.time[0])
            ),
            temperature=temperature,
        )
        assert len(found) == len(CALIBRATED)
        curve = fit_position_error([one.point for one in found], area=CRAFT.area)
        for lift in (0.6, 1.0, 1.4):
            value, uncertainty = curve.at(lift)
            truth = panel.position_error[0] + panel.position_error[1] * lift
            hits += abs(value - truth) <= curve.factor * uncertainty
            tries += 1
            assert abs(value - truth) < 0.5
    assert hits / tries >= 0.9


def test_a_turn_gives_wind_and_airspeed() -> None:
    for seed in range(5):
        flight = simulate(
            [Turn(speed=55.0 * KNOT, heading=0.3, through=4.0 * math.pi)],
            seed=seed,
            weather=Weather(wind_north=-4.0, wind_east=6.0),
        )
        fit = fit_turn(clean(flight.log))
        assert fit.legs == 12
        assert fit.true_airspeed.low <= true_speed(flight, 0) <= fit.true_airspeed.high
        assert (fit.wind_north, fit.wind_east) == pytest.approx((-4.0, 6.0), abs=0.3)


def test_an_exact_turn_is_exact() -> None:
    quiet = Instruments(ground_speed_noise=0.0, track_noise=0.0)
    flight = simulate([Turn(speed=28.0, heading=0.0)], seed=0, instruments=quiet)
    fit = fit_turn(clean(flight.log))
    assert fit.true_airspeed.value == pytest.approx(true_speed(flight, 0), abs=0.02)


def test_half_a_turn_is_refused() -> None:
    flight = simulate([Turn(speed=28.0, heading=0.0, through=2.0)], seed=0)
    with pytest.raises(InputError, match="half way round"):
        fit_turn(clean(flight.log))


def test_drifting_wind_is_caught_by_a_leg_flown_again() -> None:
    steady = simulate([*square((55.0,)), *square((55.0,))[:1]], seed=1)
    drifting = simulate([*square((55.0,)), *square((55.0,))[:1]], seed=1, weather=Weather(wind_drift=60.0))
    residuals = [
        speed_points(find_legs(clean(f.log)), flap_deg=0.0, mass_at=lambda time: 600.0)[0].wind.residual
        for f in (steady, drifting)
    ]
    assert residuals[1] > 3.0 * residuals[0]


def test_ground_speed_near_the_stall_with_and_without_sink() -> None:
    flight = simulate([StallRun(heading=0.5), StallRun(heading=0.5 + math.pi)], seed=3)
    log = clean(flight.log)
    for stall in flight.stalls:
        part = log.between(stall.time - 3.0, stall.time)
        inside = (log.time >= part.time[0]) & (log.time <= part.time[-1])
        found = true_airspeed_from_ground(
            ground_speed=part.channels["ground_speed"],
            track=part.channels["track"],
            vertical_speed=part.channels["vertical_speed"],
            wind_north=flight.wind_north[inside],
            wind_east=flight.wind_east[inside],
        )
        assert np.mean(found - flight.true_airspeed[inside]) == pytest.approx(0.0, abs=0.08)


def test_an_error_of_the_wind_cancels_in_a_reciprocal_pair() -> None:
    # Exact but for the crosswind's second order: an error along the track is +d one way and -d the other.
    still = {"vertical_speed": np.array([-2.0]), "wind_north": 1.0, "wind_east": 0.0}
    truth = math.hypot(20.0, 2.0)
    one = true_airspeed_from_ground(ground_speed=np.array([20.0]), track=np.array([0.0]), **still)  # type: ignore[arg-type]
    other = true_airspeed_from_ground(ground_speed=np.array([20.0]), track=np.array([math.pi]), **still)  # type: ignore[arg-type]
    assert float(one[0] + other[0]) / 2.0 == pytest.approx(truth, abs=0.003)
    assert abs(float(one[0]) - truth) > 0.9


@pytest.mark.parametrize("recorded", [True, False], ids=["load recorded", "bank recorded"])
def test_full_turns_calibrate_as_legs_do(recorded: bool) -> None:
    """The position error of the simulated indicator, at the lift of the turn, comes back from turns alone."""
    speeds = (46.0, 55.0, 70.0)
    flight = simulate(
        [Turn(speed=knots * KNOT, heading=0.2, through=2.5 * math.pi) for knots in speeds],
        seed=4,
        weather=Weather(wind_north=-4.0, wind_east=6.0, gust=0.2 * KNOT),
    )
    log = clean(flight.log)
    if not recorded:
        log = log.done(channels={n: v for n, v in log.channels.items() if n != "load_factor"})
    warm = float(np.nanmean(log.channels["outside_temperature"]))
    (points,) = turn_points(log, flap_deg=0.0, mass_at=lambda _: CRAFT.mass, temperature=warm).values()
    assert len(points) == len(speeds)
    offset, slope = Instruments().position_error
    for point, knots in zip(points, speeds, strict=True):
        assert point.point.calibrated / KNOT == pytest.approx(knots, abs=0.6)
        lift = CRAFT.lift(speed=knots * KNOT, mass=CRAFT.mass, load_factor=point.point.load_factor)
        error = (point.point.calibrated - point.point.indicated - offset - slope * lift) / KNOT
        assert abs(error) < 0.6


def test_legs_and_the_turns_between_them_make_no_turn_point() -> None:
    log = clean(simulate(square((55.0, 70.0)), seed=2).log)
    assert turn_points(log, flap_deg=0.0, mass_at=lambda _: CRAFT.mass) == {}
    bare = log.done(channels={n: v for n, v in log.channels.items() if n != "track"})
    assert turn_points(bare, flap_deg=0.0, mass_at=lambda _: CRAFT.mass) == {}
