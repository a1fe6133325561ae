"""Airspeed from ground velocity and the wind of a flight's own legs, where the panel cannot serve."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from slowflight import air
from slowflight.flights.airspeed.calibrating import SpeedPoint
from slowflight.flights.airspeed.near_stall import true_airspeed_from_ground
from slowflight.flights.logs.log import FloatArray, Log

# How long and how near in height a wind is taken to stay. Common practice, no source.
WIND_STAYS = 600.0  # [s] before its first leg and after its last
SAME_AIR = 150.0  # [m]
NEEDED = ("ground_speed", "track", "vertical_speed", "pressure_altitude")


def airspeed_from_ground(log: Log, points: Mapping[float, Sequence[SpeedPoint]]) -> FloatArray:
    """Equivalent airspeed through a flight.

    Parameters
    ----------
    log : Log
        Cleaned.
    points : mapping of float to sequence of SpeedPoint
        With the winds of its legs, by flap setting.

    Returns
    -------
    FloatArray
        [m/s], shape (n,); NaN where no wind was measured within ten minutes and 150 m.

    Notes
    -----
    The wind triangle, see `true_airspeed_from_ground`: an error of the wind along the track cancels over
    opposite headings.
    """
    found = np.full(len(log), np.nan)
    if not log.has(*NEEDED):
        return found
    height = log.channels["pressure_altitude"]
    nearest = np.full(len(log), np.inf)
    for point in (one for group in points.values() for one in group):
        start, stop = point.legs[0].start, point.legs[-1].stop
        away = np.maximum(np.maximum(start - log.time, log.time - stop), 0.0)
        heights = [leg.pressure_altitude for leg in point.legs if leg.pressure_altitude is not None]
        serves = (away <= WIND_STAYS) & (away < nearest)
        if heights:
            with np.errstate(invalid="ignore"):
                serves &= np.abs(height - float(np.mean(heights))) <= SAME_AIR
        true = true_airspeed_from_ground(
            ground_speed=log.channels["ground_speed"],
            track=log.channels["track"],
            vertical_speed=log.channels["vertical_speed"],
            wind_north=point.wind.wind_north,
            wind_east=point.wind.wind_east,
        )
        found[serves], nearest[serves] = true[serves], away[serves]
    return np.asarray(found * _root_density(log))


def _root_density(log: Log) -> float:
    """Root of the air's density over that at sea level, for the middle of the flight."""
    standard = air.standard_air(altitude=float(np.nanmedian(log.channels["pressure_altitude"])))
    temperature = standard.temperature
    if log.has("outside_temperature"):
        temperature = float(np.nanmedian(log.channels["outside_temperature"]))
    here = air.air(pressure=standard.pressure, temperature=temperature)
    return math.sqrt(here.density / air.SEA_LEVEL_DENSITY)
