"""Wind and true airspeed from turning flight at one airspeed: a full turn is a circle of velocities."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.airspeed.circle_fit import fit_velocities
from slowflight.flights.airspeed.wind import WindFit
from slowflight.flights.logs.log import FloatArray, Log

SECTORS = 12
# Of the mean over one sector of a turn, common practice, no source [m/s].
SECTOR_UNCERTAINTY = 0.35


def fit_turn(log: Log, *, sector_uncertainty: float = SECTOR_UNCERTAINTY) -> WindFit:
    """Wind and true airspeed from at least one full turn at one indicated airspeed.

    Parameters
    ----------
    log : Log
        The rows of the turn, cleaned, with ground speed and track; cut them out with `Log.between`.
    sector_uncertainty : float, optional
        Standard uncertainty of the mean ground velocity over a twelfth of a turn [m/s].

    Returns
    -------
    WindFit
        `legs` counts sectors.

    Raises
    ------
    InputError
        Where the track does not go right round, or channels are missing.

    Notes
    -----
    Readings within a turn are not independent (gusts last longer than a sample), so each twelfth of the
    circle counts as one. Sectors are cut by direction through the air. The mean of a sector's vectors is
    shorter than the radius, as a chord lies inside its arc; each is lengthened by what its directions say.
    """
    speed, track = log.channel("ground_speed"), log.channel("track")
    there = np.isfinite(speed) & np.isfinite(track)
    north, east = speed[there] * np.cos(track[there]), speed[there] * np.sin(track[there])
    first = _whole_circle(north, east, where=f"{log.source}, turn")
    center_north, center_east = first.wind_north, first.wind_east
    fit = first
    for _ in range(3):
        direction = np.arctan2(east - center_east, north - center_north)
        places = np.floor((direction % (2.0 * math.pi)) / (2.0 * math.pi / SECTORS)).astype(int)
        mean_north, mean_east = [], []
        for sector in range(SECTORS):
            inside = places == sector
            if np.count_nonzero(inside) < 2:
                continue
            shortened = float(
                np.hypot(np.mean(np.cos(direction[inside])), np.mean(np.sin(direction[inside])))
            )
            mean_north.append(center_north + (float(np.mean(north[inside])) - center_north) / shortened)
            mean_east.append(center_east + (float(np.mean(east[inside])) - center_east) / shortened)
        fit = fit_velocities(np.array(mean_north), np.array(mean_east), leg_uncertainty=sector_uncertainty)
        center_north, center_east = fit.wind_north, fit.wind_east
    remarks = (
        *fit.remarks,
        "from a turn: the bank costs a little height or speed; legs are better where flown",
    )
    return replace(fit, remarks=remarks)


def _whole_circle(north: FloatArray, east: FloatArray, *, where: str) -> WindFit:
    if north.size < 12:
        raise InputError(where=where, found=f"{north.size} readings", needed="at least 12 round the turn")
    try:
        return fit_velocities(north, east, leg_uncertainty=SECTOR_UNCERTAINTY)
    except InputError:
        raise InputError(
            where=where, found="a track that does not go half way round", needed="at least one full turn"
        ) from None
