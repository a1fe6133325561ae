"""Full turns at one airspeed, found in a log: each is a calibrated speed of its own."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from scipy import ndimage

from slowflight import air
from slowflight.errors import InputError
from slowflight.flights.airspeed.calibrating import READING_UNCERTAINTY, SpeedPoint
from slowflight.flights.airspeed.circle_fit import Leg
from slowflight.flights.airspeed.conversion import from_true
from slowflight.flights.airspeed.position_error import CalibrationPoint
from slowflight.flights.airspeed.steady import FoundLeg, turn_rates
from slowflight.flights.airspeed.turning import fit_turn
from slowflight.flights.logs.log import Log

# Common practice, no source.
SLOWEST_TURN = math.radians(1.5)  # of track, which wind slows on one side of the circle [rad/s]
LONGEST = 300.0  # [s]: longer, and the wind has changed
SAME_SPEED = 0.8  # deviation of indicated airspeed round the turn [m/s]
SAME_HEIGHT = 60.0  # from its highest to its lowest [m]
STEEPEST = math.radians(35.0)


def turn_points(
    log: Log,
    *,
    flap_deg: float | None,
    mass_at: Callable[[float], float],
    temperature: float | None = None,
) -> dict[float, list[SpeedPoint]]:
    """Find full turns at one indicated airspeed and make a calibrated speed of each.

    Parameters
    ----------
    log : Log
        Cleaned.
    flap_deg : float or None
        Where the log has no flap [degrees].
    mass_at : callable
        Mass [kg] at a time [s].
    temperature : float, optional
        Outside [K]; standard for the height without it.

    Returns
    -------
    dict of float to list of SpeedPoint
        By flap setting [degrees]. Empty without ground speed, track, indicated airspeed and pressure height.

    Notes
    -----
    Wind and true airspeed as `fit_turn`. In the turn the wing carries more than the weight: the load factor
    as recorded, or that of the bank, goes with the point, whose position error then belongs to that lift.
    """
    if not log.has("ground_speed", "track", "indicated_airspeed", "pressure_altitude"):
        return {}
    rate = turn_rates(log)
    labels, count = ndimage.label(np.abs(rate) > SLOWEST_TURN)
    found: dict[float, list[SpeedPoint]] = {}
    for place in ndimage.find_objects(labels, max_label=count):
        part = log.rows_of(place[0])
        point = _point(part, mass_at=mass_at, temperature=temperature, flap_deg=flap_deg)
        if point is not None:
            found.setdefault(point.point.flap_deg, []).append(point)
    return found


def _point(
    part: Log,
    *,
    mass_at: Callable[[float], float],
    temperature: float | None,
    flap_deg: float | None,
) -> SpeedPoint | None:
    track = part.channels["track"]
    seen = track[np.isfinite(track)]
    lasted = float(part.time[-1] - part.time[0])
    if seen.size < 24 or lasted > LONGEST or abs(np.unwrap(seen)[-1] - seen[0]) < 2.0 * math.pi:
        return None
    shown, height = part.channels["indicated_airspeed"], part.channels["pressure_altitude"]
    load = _load(part)
    flap = flap_deg
    if part.has("flap"):
        flap = float(round(math.degrees(float(np.nanmean(part.channels["flap"])))))
    if not (np.isfinite(shown).any() and np.isfinite(height).any()):
        return None
    high = float(np.nanmax(height) - np.nanmin(height))
    steady = float(np.nanstd(shown)) <= SAME_SPEED and high <= SAME_HEIGHT
    if flap is None or load is None or not steady:
        return None
    try:
        wind = fit_turn(part)
    except InputError:
        return None
    here = air.standard_air(altitude=float(np.nanmean(height)))
    if temperature is not None:
        here = air.air(pressure=here.pressure, temperature=temperature)
    calibrated = from_true(wind.true_airspeed.value, air=here).calibrated
    share = calibrated / wind.true_airspeed.value
    indicated = float(np.nanmean(shown))
    middle = 0.5 * float(part.time[0] + part.time[-1])
    leg = FoundLeg(
        leg=Leg(ground_speed=float(np.nanmean(part.channels["ground_speed"])), track=0.0, seconds=lasted),
        start=float(part.time[0]),
        stop=float(part.time[-1]),
        indicated=indicated,
        pressure_altitude=float(np.nanmean(height)),
        first_row=int(part.rows[0]),
        last_row=int(part.rows[-1]),
    )
    return SpeedPoint(
        point=CalibrationPoint(
            indicated=indicated,
            calibrated=calibrated,
            flap_deg=flap,
            mass=mass_at(middle),
            load_factor=load,
            uncertainty=math.hypot(share * wind.standard_uncertainty, READING_UNCERTAINTY),
        ),
        wind=wind,
        legs=(leg,),
    )


def _load(part: Log) -> float | None:
    """Mean load factor of the turn, recorded or of its bank; None where neither is known or it is steep."""
    steepest = 1.0 / math.cos(STEEPEST)
    if part.has("load_factor"):
        found = float(np.nanmean(part.channels["load_factor"]))
    elif part.has("roll"):
        found = float(np.nanmean(1.0 / np.cos(part.channels["roll"])))
    else:
        return None
    return found if 0.95 <= found <= steepest else None
