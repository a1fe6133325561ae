"""Fly a plan with an invented aircraft and record it: a log as instruments write it, and the truth behind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import ndimage, signal

from slowflight import air
from slowflight.air import GRAVITY, SEA_LEVEL_DENSITY
from slowflight.flights.logs.log import FloatArray, IntArray, Log
from slowflight.flights.simulator.invented import KNOT, Instruments, InventedAircraft, Weather
from slowflight.flights.simulator.maneuvers import (
    Flown,
    Leg,
    StallRun,
    Turn,
    fly_leg,
    fly_over,
    fly_stall,
    fly_turn,
)
from slowflight.flights.stall_record import FULL_STICK

START_ALTITUDE = 2000.0  # pressure altitude [m]
START_TIME = 1_780_000_000.0  # [s] since 1970
HOME = (math.radians(47.0), math.radians(8.0))


@dataclass(frozen=True, kw_only=True)
class StallTruth:
    """What really happened at one stall.

    Parameters
    ----------
    run : StallRun
        As flown.
    time : float
        [s].
    speed : float
        Equivalent airspeed [m/s].
    mass : float
        [kg].
    angle_of_attack : float
        Of the body [rad].
    reference_speed : float
        At 1 g, reference mass and the entry rate flown [m/s].
    """

    run: StallRun
    time: float
    speed: float
    mass: float
    angle_of_attack: float
    reference_speed: float


@dataclass(frozen=True, kw_only=True, eq=False)
class SimulatedFlight:
    """A flight with known truth.

    Parameters
    ----------
    log : Log
        As recorded, nothing cleaned.
    stalls : tuple of StallTruth
        In the order flown.
    true_airspeed : FloatArray
        Without gusts [m/s], on the rows of the log, shape (n,).
    wind_north, wind_east : FloatArray
        Toward where it blows [m/s], shape (n,).
    load_times : tuple of (float, float)
        Start and end of each maneuver [s].
    """

    log: Log
    stalls: tuple[StallTruth, ...]
    true_airspeed: FloatArray
    wind_north: FloatArray
    wind_east: FloatArray
    load_times: tuple[tuple[float, float], ...]


def simulate(
    plan: Sequence[Leg | Turn | StallRun],
    *,
    aircraft: InventedAircraft | None = None,
    weather: Weather | None = None,
    instruments: Instruments | None = None,
    seed: int,
) -> SimulatedFlight:
    """Fly a plan and record it.

    Parameters
    ----------
    plan : sequence of Leg, Turn or StallRun
        One after the other; short passages join them.
    aircraft, weather, instruments : optional
        Defaults are invented.
    seed : int
        Of every random number; the same seed gives the same flight.

    Returns
    -------
    SimulatedFlight

    Notes
    -----
    Kinematics with a linear lift curve up to the stall. Gusts are a first-order Gauss-Markov process along
    the path that moves the air and not the aircraft; the airspeed indicator lags as a first-order filter.
    """
    craft, sky, panel = aircraft or InventedAircraft(), weather or Weather(), instruments or Instruments()
    step = 1.0 / panel.rate
    pieces: list[Flown] = []
    flaps: list[FloatArray] = []
    stalls: list[tuple[int, StallRun, float, float]] = []
    spans: list[tuple[int, int]] = []
    count = 0
    for item in plan:
        mass = craft.mass - craft.fuel_burn * count * step
        if isinstance(item, StallRun):
            extra = craft.entry_effect * (item.entry_rate - KNOT)
            reference = craft.stall_speeds[item.flap_deg] + extra
            speed = reference * math.sqrt(item.load_factor * mass / craft.mass)
            piece = fly_stall(item, stall_speed=speed, step=step)
        elif isinstance(item, Turn):
            piece = fly_turn(item, step=step)
        else:
            piece = fly_leg(item, step=step)
        between = fly_over(pieces[-1], piece, step=step) if pieces else None
        if between is not None:
            pieces.append(between)
            flaps.append(np.full(between.speed.size, item.flap_deg))
            count += between.speed.size
        if isinstance(item, StallRun):
            stalls.append((count + (piece.stall_at or 0), item, speed, reference))
        pieces.append(piece)
        flaps.append(np.full(piece.speed.size, item.flap_deg))
        spans.append((count, count + piece.speed.size))
        count += piece.speed.size
    return _record(pieces, np.concatenate(flaps), stalls, spans, craft=craft, sky=sky, panel=panel, seed=seed)


def _record(
    pieces: list[Flown],
    flaps: FloatArray,
    stalls: list[tuple[int, StallRun, float, float]],
    spans: list[tuple[int, int]],
    *,
    craft: InventedAircraft,
    sky: Weather,
    panel: Instruments,
    seed: int,
) -> SimulatedFlight:
    noise = np.random.default_rng(seed)
    step = 1.0 / panel.rate

    def joined(name: str) -> FloatArray:
        return np.concatenate([getattr(piece, name) for piece in pieces])

    speed, load, idle = joined("speed"), joined("load_factor"), joined("idle")
    n = speed.size
    time: FloatArray = START_TIME + step * np.arange(n, dtype=np.float64)
    mass = craft.mass - craft.fuel_burn * step * np.arange(n)
    density, pressure, temperature, altitude = np.empty((4, n))
    lift = 2.0 * load * mass * GRAVITY / (SEA_LEVEL_DENSITY * craft.area * speed**2)
    # Idle glide: what drag and slowing down leave of level flight. Power holds height otherwise.
    # An aircraft takes about a second to follow; without that its path would have corners.
    slowing = ndimage.uniform_filter1d(np.gradient(speed, step), size=max(round(1.5 / step), 1))
    glide = (craft.drag[0] + craft.drag[1] * lift**2) / np.maximum(lift, 0.1) + slowing / GRAVITY
    here = air.air(
        pressure=air.standard_pressure(altitude=START_ALTITUDE),
        temperature=air.standard_temperature(altitude=START_ALTITUDE) + sky.warmer,
    )
    # The block flown is a few hundred meters high: one density serves it, and the truth uses the same.
    density[:], pressure[:], temperature[:] = here.density, here.pressure, here.temperature
    true = speed * math.sqrt(SEA_LEVEL_DENSITY / here.density)
    climb = np.where(idle > 0.0, -true * np.sin(np.clip(glide, -0.5, 0.5)), 0.0) - joined("sink_extra")
    climb = ndimage.uniform_filter1d(climb, size=max(round(1.5 / step), 1))
    altitude[:] = START_ALTITUDE + _leak(climb, step)
    path = np.arcsin(np.clip(climb / true, -0.9, 0.9))
    zero_lift = np.vectorize(craft.zero_lift.get)(flaps).astype(np.float64)
    body = lift / craft.lift_slope + zero_lift
    body += joined("body_angle")  # after the stall the nose falls through the path
    pitch = body + path
    gust = _gauss_markov(noise, n, deviation=sky.gust, memory=sky.gust_memory, step=step)
    wind_north = sky.wind_north + sky.wind_drift * (time - time[0]) / 3600.0
    wind_east = np.full(n, sky.wind_east)
    heading = joined("heading")
    ground_north = true * np.cos(path) * np.cos(heading) + wind_north
    ground_east = true * np.cos(path) * np.sin(heading) + wind_east
    felt = np.maximum(speed + gust * math.sqrt(here.density / SEA_LEVEL_DENSITY), 1.0)
    shown = felt - (panel.position_error[0] + panel.position_error[1] * lift)
    indicated = _lagged(shown, panel.airspeed_lag, step) + noise.normal(0.0, panel.airspeed_noise, n)
    indicated = np.where(indicated < panel.blank_below, 0.0, indicated)
    roll = joined("roll")
    north, east = np.cumsum(ground_north) * step, np.cumsum(ground_east) * step
    rate = np.gradient(pitch, step)
    channels = {
        "indicated_airspeed": indicated,
        "ground_speed": np.hypot(ground_north, ground_east) + noise.normal(0.0, panel.ground_speed_noise, n),
        "track": (np.arctan2(ground_east, ground_north) + noise.normal(0.0, panel.track_noise, n))
        % (2.0 * math.pi),
        "latitude": HOME[0] + north / air.EARTH_RADIUS,
        "longitude": HOME[1] + east / air.EARTH_RADIUS / math.cos(HOME[0]),
        "altitude": altitude + 20.0 + noise.normal(0.0, 2.0 * panel.height_noise, n),
        "pressure_altitude": altitude + noise.normal(0.0, panel.height_noise, n),
        "vertical_speed": climb + noise.normal(0.0, 0.2, n),
        "outside_temperature": temperature + noise.normal(0.0, 0.2, n),
        "pitch": pitch + panel.datum + noise.normal(0.0, panel.pitch_noise, n),
        "roll": roll + noise.normal(0.0, panel.pitch_noise, n),
        "heading": heading % (2.0 * math.pi),
        "load_factor": load
        + noise.normal(0.0, 1.0, n) * np.hypot(panel.load_noise, craft.buffet * joined("buffet")),
        "pitch_rate": rate + noise.normal(0.0, 0.01, n),
        "roll_rate": np.gradient(roll, step) + noise.normal(0.0, 0.01, n),
        "flap": np.radians(flaps),
        "stick": joined("stick"),
        "engine_speed": np.where(idle > 0.0, 15.0, 40.0) + noise.normal(0.0, 0.2, n),
    }
    kept = _kept(noise, n, share=panel.dropouts, length=max(round(panel.rate), 1))
    rows: IntArray = (np.arange(n) + 2)[kept].astype(np.int64)
    log = Log(
        source="simulated",
        kind="table",
        part=1,
        time=time[kept],
        absolute=True,
        rows=rows,
        channels={name: values[kept] for name, values in channels.items()},
    )
    return SimulatedFlight(
        log=log,
        stalls=tuple(
            StallTruth(
                run=run,
                # A pilot who holds the stop is at lowest speed until the release.
                time=float(time[at]) + (2.0 if run.ending == FULL_STICK else 0.0),
                speed=at_speed,
                mass=float(mass[at]),
                angle_of_attack=float(body[at]),
                reference_speed=reference,
            )
            for at, run, at_speed, reference in stalls
        ),
        true_airspeed=true[kept],
        wind_north=wind_north[kept],
        wind_east=wind_east[kept],
        load_times=tuple((float(time[a]), float(time[b - 1])) for a, b in spans),
    )


def _leak(climb: FloatArray, step: float) -> FloatArray:
    """Height from vertical speed, climbed back between stalls so that the block stays where it is."""
    height = signal.lfilter([step], [1.0, -(1.0 - step / 120.0)], climb)
    return np.asarray(height, dtype=np.float64)


def _gauss_markov(
    noise: np.random.Generator, n: int, *, deviation: float, memory: float, step: float
) -> FloatArray:
    keep = math.exp(-step / memory)
    driven = noise.normal(0.0, deviation * math.sqrt(1.0 - keep * keep), n)
    driven[0] = noise.normal(0.0, deviation)
    return np.asarray(signal.lfilter([1.0], [1.0, -keep], driven), dtype=np.float64)


def _lagged(values: FloatArray, lag: float, step: float) -> FloatArray:
    if lag <= 0.0:
        return values
    keep = math.exp(-step / lag)
    settled = np.array([keep * values[0]])
    return np.asarray(signal.lfilter([1.0 - keep], [1.0, -keep], values, zi=settled)[0], dtype=np.float64)


def _kept(
    noise: np.random.Generator, n: int, *, share: float, length: int
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    kept = np.ones(n, dtype=np.bool_)
    for start in noise.integers(0, n, size=round(share * n / length)):
        kept[start : start + length] = False
    return kept
