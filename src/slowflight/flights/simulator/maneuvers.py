"""What the pilot flies, one piece after another: legs, turns and stalls that end in each of the five ways."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight.flights.logs.log import FloatArray
from slowflight.flights.simulator.invented import DEGREE, KNOT
from slowflight.flights.stall_record import FULL_STICK, NOSE_DROP, UNUSABLE, WARNING_ONLY, WING_DROP

TURN_RATE = 6.0 * DEGREE  # [rad/s]
ROLLING = 1.0  # into a bank [s]


@dataclass(frozen=True, kw_only=True)
class Leg:
    """Steady flight.

    Parameters
    ----------
    speed : float
        Equivalent airspeed [m/s].
    heading : float
        [rad].
    seconds : float
        How long.
    flap_deg : float
        [degrees].
    """

    speed: float
    heading: float
    seconds: float = 60.0
    flap_deg: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Turn:
    """Turning at one speed.

    Parameters
    ----------
    speed : float
        Equivalent airspeed [m/s].
    heading : float
        At the start [rad].
    through : float
        Right positive [rad].
    flap_deg : float
        [degrees].
    """

    speed: float
    heading: float
    through: float = 2.0 * math.pi
    flap_deg: float = 0.0


@dataclass(frozen=True, kw_only=True)
class StallRun:
    """One slow-down and what ended it.

    Parameters
    ----------
    heading : float
        [rad].
    entry_rate : float
        [m/s^2].
    ending : str
        One of the five of `stall_record`; unusable here means banked 20 degrees.
    flap_deg : float
        [degrees].
    load_factor : float
        Just before the stall [-].
    """

    heading: float
    entry_rate: float = 1.0 * KNOT
    ending: str = NOSE_DROP
    flap_deg: float = 0.0
    load_factor: float = 1.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Flown:
    """A piece as flown, on equal steps.

    Parameters
    ----------
    speed, heading, roll, load_factor, body_angle, sink_extra, stick, idle, buffet : FloatArray
        Equivalent airspeed [m/s], [rad], [rad], [-], extra body angle beyond what lift needs [rad], extra
        sink [m/s], stick (1 is full aft), whether at idle, how strongly it shakes (0 to 1),
        each of shape (n,).
    stall_at : int or None
        Row of the stall.
    """

    speed: FloatArray
    heading: FloatArray
    roll: FloatArray
    load_factor: FloatArray
    body_angle: FloatArray
    sink_extra: FloatArray
    stick: FloatArray
    idle: FloatArray
    buffet: FloatArray
    stall_at: int | None = None


def fly_leg(leg: Leg, *, step: float) -> Flown:
    """Fly a leg; `step` is the time from row to row [s]."""
    n = max(round(leg.seconds / step), 1)
    return _flown(speed=np.full(n, leg.speed), heading=np.full(n, leg.heading))


def fly_turn(turn: Turn, *, step: float) -> Flown:
    """Fly a turn; `step` is the time from row to row [s]."""
    n = max(round(abs(turn.through) / (TURN_RATE * step)), 1)
    bank = math.copysign(math.atan(turn.speed * TURN_RATE / 9.81), turn.through)
    heading = turn.heading + turn.through * np.arange(1, n + 1) / n
    from_ends = np.minimum(np.arange(n), np.arange(n)[::-1]) * step
    roll: FloatArray = bank * np.clip(from_ends / ROLLING, 0.0, 1.0)
    return _flown(
        speed=np.full(n, turn.speed),
        heading=heading,
        roll=roll,
        load_factor=1.0 / np.cos(roll),
    )


def fly_over(before: Flown, after: Flown, *, step: float) -> Flown | None:
    """Pass from the end of one piece to the start of the next; None where nothing changes."""
    slower = after.speed[0] - before.speed[-1]
    turn = (after.heading[0] - before.heading[-1] + math.pi) % (2.0 * math.pi) - math.pi
    if abs(slower) < 1e-6 and abs(turn) < 1e-6:
        return None
    n = round(max(4.0, 1.9 * abs(turn) / TURN_RATE, abs(slower)) / step)
    share = _ease(n)
    bank = math.atan(float(np.mean([before.speed[-1], after.speed[0]])) * TURN_RATE / 9.81)
    roll = math.copysign(bank if abs(turn) > 0.1 else 0.0, turn) * np.sin(math.pi * np.arange(1, n + 1) / n)
    return _flown(
        speed=before.speed[-1] + slower * share,
        heading=before.heading[-1] + turn * share,
        roll=roll,
        load_factor=1.0 / np.cos(roll),
    )


def fly_stall(run: StallRun, *, stall_speed: float, step: float) -> Flown:
    """Slow down to the stall and recover.

    Parameters
    ----------
    run : StallRun
        What to fly.
    stall_speed : float
        Equivalent airspeed at which it happens, at this mass, load factor and entry rate [m/s].
    step : float
        From row to row [s].

    Returns
    -------
    Flown
    """
    lowest = stall_speed * (1.06 if run.ending == WARNING_ONLY else 1.0)
    start = 1.4 * stall_speed
    steady = round(6.0 / step)
    slowing = max(round((start - lowest) / run.entry_rate / step), 2)
    held = round(4.0 / step) if run.ending == FULL_STICK else 0
    back = round(12.0 / step)
    speed = np.concatenate(
        [
            np.full(steady, start),
            np.linspace(start, lowest, slowing),
            np.full(held, lowest),
            lowest + (start - lowest) * _ease(back),
        ]
    )
    n = speed.size
    at = steady + slowing - 1
    seconds: FloatArray = (np.arange(n, dtype=np.float64) - at) * step
    load, roll, angle, sink, stick = np.ones(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
    load[: at + 1] = 1.0 + (run.load_factor - 1.0) * np.clip((seconds[: at + 1] + 4.0) / 2.0, 0.0, 1.0)
    stick[: at + 1] = np.clip(1.0 + seconds[: at + 1] / 12.0, 0.3, 1.0)
    after = seconds > held * step
    since = seconds[after] - held * step
    if run.ending in (NOSE_DROP, WING_DROP, UNUSABLE):
        load[after] = 1.0 - 0.35 * _bump(since, 0.15, 1.2) + 0.25 * _bump(since, 2.5, 3.0)
        angle[after] = (
            -22.0 * DEGREE * np.clip(since / 1.3, 0.0, 1.0) * np.exp(-np.maximum(since - 2.5, 0.0) / 2.5)
        )
        sink[after] = 3.0 * _bump(since, 0.3, 3.0)
    else:
        angle[after] = -8.0 * DEGREE * _bump(since, 0.5, 8.0)
    if run.ending == WING_DROP:
        roll[after] = (
            38.0 * DEGREE * np.clip(since / 0.9, 0.0, 1.0) * np.exp(-np.maximum(since - 1.2, 0.0) / 1.2)
        )
    if run.ending == UNUSABLE:
        roll[:] += 20.0 * DEGREE * np.clip(np.arange(n) * step / 3.0, 0.0, 1.0)
    if run.ending == FULL_STICK:
        holding = (seconds >= 0.0) & ~after
        sink[holding] = 4.0 * np.clip(seconds[holding] / 3.0, 0.0, 1.0)
        sink[after] = 4.0 * np.exp(-since / 1.5)
        # The nose stays up while the aircraft sinks: the angle grows by what the path falls.
        angle += sink / lowest
        stick[holding] = 1.0
        load[holding] = load[at]
        load[after] = load[at] + (1.0 - load[at]) * np.clip(since / 1.0, 0.0, 1.0)
    stick[after] = 0.3
    return _flown(
        speed=speed,
        heading=np.full(n, run.heading),
        roll=roll,
        load_factor=load,
        body_angle=angle,
        sink_extra=sink,
        stick=stick,
        idle=(seconds < held * step + 2.0).astype(np.float64),
        buffet=_buffet(speed, stall_speed, at, seconds),
        stall_at=at,
    )


def _flown(
    *,
    speed: FloatArray,
    heading: FloatArray,
    roll: FloatArray | None = None,
    load_factor: FloatArray | None = None,
    body_angle: FloatArray | None = None,
    sink_extra: FloatArray | None = None,
    stick: FloatArray | None = None,
    idle: FloatArray | None = None,
    buffet: FloatArray | None = None,
    stall_at: int | None = None,
) -> Flown:
    zeros = np.zeros(speed.size)
    return Flown(
        speed=speed,
        heading=heading,
        roll=zeros if roll is None else roll,
        load_factor=np.ones(speed.size) if load_factor is None else load_factor,
        body_angle=zeros if body_angle is None else body_angle,
        sink_extra=zeros if sink_extra is None else sink_extra,
        stick=zeros if stick is None else stick,
        idle=zeros if idle is None else idle,
        buffet=zeros if buffet is None else buffet,
        stall_at=stall_at,
    )


def _ease(n: int) -> FloatArray:
    """From 0 to 1, gently at both ends, the first step being small."""
    x = np.arange(1, n + 1) / n
    return np.asarray(x * x * (3.0 - 2.0 * x))


def _bump(seconds: FloatArray, start: float, length: float) -> FloatArray:
    """From 0 up to 1 and back within `length` [s] from `start` [s]."""
    x = np.clip((seconds - start) / length, 0.0, 1.0)
    return np.asarray(np.sin(math.pi * x) ** 2)


def _over(seconds: FloatArray, *, rise: float, hold: float, fade: float) -> FloatArray:
    """From 0 up to 1 within `rise`, held until `hold`, then fading [s]."""
    return np.asarray(np.clip(seconds / rise, 0.0, 1.0) * np.exp(-np.maximum(seconds - hold, 0.0) / fade))


def _buffet(speed: FloatArray, stall_speed: float, at: int, seconds: FloatArray) -> FloatArray:
    """Shaking from 1.06 stall speeds on, until a second after the stall."""
    shakes = (speed < 1.06 * stall_speed) & (seconds < 1.0) & (np.arange(speed.size) > at // 2)
    return shakes.astype(np.float64)
