"""Airspeed near the stall from ground velocity and wind, where the indicator is not to be trusted."""

from __future__ import annotations

import numpy as np

from slowflight.flights.logs.log import FloatArray


def true_airspeed_from_ground(
    *,
    ground_speed: FloatArray,
    track: FloatArray,
    vertical_speed: FloatArray,
    wind_north: FloatArray | float,
    wind_east: FloatArray | float,
) -> FloatArray:
    """True airspeed along the flight path.

    Parameters
    ----------
    ground_speed : FloatArray
        [m/s], shape (n,).
    track : FloatArray
        From true north [rad], shape (n,).
    vertical_speed : FloatArray
        Of the aircraft through the air, up positive [m/s], shape (n,). Left out (zeros) a glide reads
        slow: by 1.2 % at a path 8.7 degrees down.
    wind_north, wind_east : FloatArray or float
        Toward where the wind blows [m/s].

    Returns
    -------
    FloatArray
        [m/s], shape (n,).

    Notes
    -----
    The wind triangle in three dimensions. Valid where the wind was measured within about ten minutes and
    150 m of height (common practice, no source). An error of the wind along the track enters with opposite
    signs on opposite headings, so stalls are flown in reciprocal pairs.
    """
    north = ground_speed * np.cos(track) - wind_north
    east = ground_speed * np.sin(track) - wind_east
    return np.sqrt(north**2 + east**2 + vertical_speed**2)
