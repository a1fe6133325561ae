"""Ground speed and track from positions, for recorders that give no velocity; a poor substitute, said so."""

from __future__ import annotations

import math

import numpy as np

from slowflight.air import EARTH_RADIUS
from slowflight.flights.logs.log import FloatArray, Log, Step

SECONDS = 5.0  # over which positions are compared; shorter makes noise into speed, common practice [s]


def with_speed_from_positions(log: Log, *, seconds: float = SECONDS) -> Log:
    """Add ground speed and track where the recorder gave only positions.

    Parameters
    ----------
    log : Log
        With latitude and longitude.
    seconds : float, optional
        Over which positions are compared [s]; turns are cut short by it.

    Returns
    -------
    Log
        As it was where it has a ground speed already; else with both channels and a step that warns.

    Raises
    ------
    InputError
        Where there are no positions either.

    Notes
    -----
    Straight lines through the positions of a few seconds, on a sphere small enough to be flat. Speeds from
    positions read high, because position noise only ever lengthens a path; velocities that the receiver
    measured itself are an order of magnitude better.
    """
    if log.has("ground_speed", "track"):
        return log
    latitude, longitude = log.channel("latitude"), log.channel("longitude")
    middle = float(np.nanmean(latitude))
    north = EARTH_RADIUS * _slope(log.time, latitude, seconds)
    east = EARTH_RADIUS * math.cos(middle) * _slope(log.time, longitude, seconds)
    step = Step(
        what="ground speed and track were worked out from positions; they read a little high",
        by="with_speed_from_positions",
        channel="ground_speed",
        count=len(log),
        settings=(("seconds", seconds),),
    )
    track = np.arctan2(east, north) % (2.0 * math.pi)
    return log.done(step, channels={**log.channels, "ground_speed": np.hypot(north, east), "track": track})


def _slope(time: FloatArray, values: FloatArray, seconds: float) -> FloatArray:
    """Slope of a line through the readings within half of `seconds` on both sides, NaN near gaps and ends."""
    first = np.searchsorted(time, time - 0.5 * seconds - 1e-9)
    last = np.searchsorted(time, time + 0.5 * seconds + 1e-9)
    there = np.isfinite(values)
    t, v = np.where(there, time - time[0], 0.0), np.where(there, values - np.nanmean(values), 0.0)
    sums = [np.concatenate([[0.0], np.cumsum(x)]) for x in (there * 1.0, t, v)]
    n, st, sv = (total[last] - total[first] for total in sums)
    mean_t, mean_v = st / np.maximum(n, 1.0), sv / np.maximum(n, 1.0)
    # Products about each window's own means, or the squares of long times would swamp them.
    rise, run = np.zeros(time.size), np.zeros(time.size)
    for shift in range(int(np.max(last - first, initial=0))):
        place = np.minimum(first + shift, time.size - 1)
        inside = (first + shift < last) & there[place]
        from_mean = np.where(inside, t[place] - mean_t, 0.0)
        rise += from_mean * np.where(inside, v[place] - mean_v, 0.0)
        run += from_mean**2
    whole = (time[np.minimum(last, time.size) - 1] - time[first] > 0.6 * seconds) & (n >= 3.0)
    return np.where(whole, rise / np.where(run > 0.0, run, 1.0), np.nan)
