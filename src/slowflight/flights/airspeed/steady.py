"""Find legs and full turns in a log: where speed, track and height hold, or the track goes right round."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from slowflight.flights.airspeed.circle_fit import Leg
from slowflight.flights.logs.log import FloatArray, Log


@dataclass(frozen=True, kw_only=True)
class Steadiness:
    """What counts as steady. Common practice, no source.

    Parameters
    ----------
    shortest : float
        Leg [s].
    turn_rate : float
        Largest mean turn on a leg [rad/s].
    speed_spread : float
        Largest standard deviation of ground speed on a leg [m/s].
    """

    shortest: float = 20.0
    turn_rate: float = math.radians(0.8)
    speed_spread: float = 1.0


@dataclass(frozen=True, kw_only=True)
class FoundLeg:
    """A steady leg in a log.

    Parameters
    ----------
    leg : Leg
        Its means.
    start, stop : float
        [s], of the log's time.
    indicated : float or None
        Mean indicated airspeed [m/s].
    pressure_altitude : float or None
        Mean [m].
    first_row, last_row : int
        Lines of the raw file.
    """

    leg: Leg
    start: float
    stop: float
    indicated: float | None
    pressure_altitude: float | None
    first_row: int
    last_row: int


STEADY = Steadiness()


def find_legs(log: Log, steadiness: Steadiness = STEADY) -> list[FoundLeg]:
    """Find steady legs.

    Parameters
    ----------
    log : Log
        Cleaned, with ground speed and track.
    steadiness : Steadiness, optional
        What counts as steady.

    Returns
    -------
    list of FoundLeg
        In the order flown.

    Raises
    ------
    InputError
        Where the log has no ground speed or no track.
    """
    speed, track = log.channel("ground_speed"), log.channel("track")
    there = np.isfinite(speed) & np.isfinite(track)
    found = []
    rate, change = _smooth_rates(log.time, speed, track, there)
    calm = there & (np.abs(rate) < steadiness.turn_rate) & (np.abs(change) < 0.25)
    labels, count = ndimage.label(calm)
    for place in ndimage.find_objects(labels, max_label=count):
        part = place[0]
        # Two seconds at either end still belong to the turn.
        start, stop = log.time[part.start] + 2.0, log.time[part.stop - 1] - 2.0
        if stop - start < steadiness.shortest:
            continue
        inside = log.between(start, stop)
        found_leg = _leg(inside, steadiness)
        if found_leg is not None:
            found.append(found_leg)
    return found


def turn_rates(log: Log) -> FloatArray:
    """Rate at which the track turns, over about four seconds [rad/s], shape (n,); 0 where it is not known."""
    speed, track = log.channel("ground_speed"), log.channel("track")
    there = np.isfinite(speed) & np.isfinite(track)
    rate, _ = _smooth_rates(log.time, speed, track, there)
    return np.where(np.isfinite(rate), rate, 0.0)


def _leg(log: Log, steadiness: Steadiness) -> FoundLeg | None:
    speed, track = log.channels["ground_speed"], log.channels["track"]
    there = np.isfinite(speed) & np.isfinite(track)
    if np.count_nonzero(there) < 5 or float(np.std(speed[there])) > steadiness.speed_spread:
        return None
    north = float(np.mean(speed[there] * np.cos(track[there])))
    east = float(np.mean(speed[there] * np.sin(track[there])))
    return FoundLeg(
        leg=Leg(
            ground_speed=math.hypot(north, east),
            track=math.atan2(east, north) % (2.0 * math.pi),
            seconds=float(log.time[-1] - log.time[0]),
        ),
        start=float(log.time[0]),
        stop=float(log.time[-1]),
        indicated=_mean(log, "indicated_airspeed"),
        pressure_altitude=_mean(log, "pressure_altitude"),
        first_row=int(log.rows[0]),
        last_row=int(log.rows[-1]),
    )


def _mean(log: Log, name: str) -> float | None:
    return float(np.nanmean(log.channels[name])) if log.has(name) else None


def _smooth_rates(
    time: FloatArray,
    speed: FloatArray,
    track: FloatArray,
    there: npt.NDArray[np.bool_],
) -> tuple[FloatArray, FloatArray]:
    """Turn rate [rad/s] and change of ground speed [m/s^2] over about four seconds."""
    rate, change = np.full(time.size, np.inf), np.full(time.size, np.inf)
    places = np.flatnonzero(there)
    if places.size < 10:
        return rate, change
    moments = time[places]
    interval = float(np.median(np.diff(moments)))
    half = max(round(2.0 / max(interval, 1e-3)), 1)
    size = 2 * half + 1
    smooth_track = ndimage.uniform_filter1d(np.unwrap(track[places]), size=size, mode="nearest")
    smooth_speed = ndimage.uniform_filter1d(speed[places], size=size, mode="nearest")
    spacing = np.maximum(np.gradient(moments), 1e-3)
    rate[places] = np.gradient(smooth_track) / spacing
    change[places] = np.gradient(smooth_speed) / spacing
    return rate, change
