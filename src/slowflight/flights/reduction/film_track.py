"""What the log says at the times of a film: calibrated speed at 1 g and reference mass, attitude."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from slowflight import air
from slowflight.errors import InputError
from slowflight.flights.airspeed.conversion import from_calibrated
from slowflight.flights.airspeed.position_error import calibrate
from slowflight.flights.book.entries import FlightEntry, TuftFilm
from slowflight.flights.logs.log import FloatArray, Log
from slowflight.flights.reduction.air_flown_in import with_air
from slowflight.flights.reduction.flown import AircraftFacts
from slowflight.flights.reduction.one_flight import ReducedFlight
from slowflight.flights.reduction.panel import nearest
from slowflight.flights.reduction.recorders import read_recorders

SMOOTH = 1.0  # of speed and load factor [s]
BEYOND = 3.0 * 1852.0 / 3600.0  # how far below its slowest leg a calibration is carried for a picture [m/s]


@dataclass(frozen=True, kw_only=True, eq=False)
class FilmTrack:
    """The flight while the film ran, at each time asked for.

    Parameters
    ----------
    speed : FloatArray
        At 1 g and reference mass [m/s], NaN where it is not known; calibrated, or as indicated where
        `calibrated` is false, shape (n,).
    indicated, pitch : FloatArray
        [m/s], [rad]; NaN where not recorded.
    flap_deg : float or None
        Of the middle of the film [degrees].
    calibrated : bool
        Whether the panel was calibrated at this setting.
    """

    speed: FloatArray
    indicated: FloatArray
    pitch: FloatArray
    flap_deg: float | None
    calibrated: bool


def film_track(
    film: TuftFilm, entry: FlightEntry, flight: ReducedFlight, times: FloatArray, *, facts: AircraftFacts
) -> FilmTrack:
    """Follow a flight along a film.

    Parameters
    ----------
    film : TuftFilm
        With the moment at which it begins.
    entry : FlightEntry
        Of the flight.
    flight : ReducedFlight
        With its calibrations.
    times : FloatArray
        From the first frame [s], shape (n,).
    facts : AircraftFacts
        Of the aircraft.

    Returns
    -------
    FilmTrack

    Raises
    ------
    InputError
        Where the flight has no log with indicated airspeed, or the film runs outside it.
    """
    log, _, _ = read_recorders(entry)
    log, _ = with_air(log, entry)
    indicated = log.channel("indicated_airspeed")
    start = float(log.time[0]) + film.begins
    moments = start + times
    if moments[0] > log.time[-1] or moments[-1] < log.time[0]:
        raise InputError(
            where=f"tufts {film.name}",
            found=f"a film from {film.begins:.0f} to {film.begins + float(times[-1]):.0f} s of the log",
            needed=f"inside it: 0 to {float(log.time[-1] - log.time[0]):.0f} s",
            fix="mend begins, the time of the first frame from the first reading of the log",
        )
    shown = _at(log, indicated, moments)
    load = _at(log, log.channels["load_factor"], moments) if log.has("load_factor") else np.ones(times.size)
    flap = entry.flap_deg
    if log.has("flap"):
        middle = float(moments[moments.size // 2])
        flap = round(math.degrees(float(np.interp(middle, log.time, log.channels["flap"]))), 1)
    curve = None if flap is None else nearest(flight.curves, flap)
    height = _middle(log, "pressure_altitude", moments)
    warm = _middle(log, "outside_temperature", moments)
    standard = air.standard_air(altitude=height or 0.0)
    here = air.air(pressure=standard.pressure, temperature=standard.temperature if warm is None else warm)
    speed = np.full(times.size, np.nan)
    for place, (one, g) in enumerate(zip(shown.tolist(), load.tolist(), strict=True)):
        if not (math.isfinite(one) and one > 5.0 and 0.5 < g < 2.0):
            continue
        mass = flight.flown.mass_at(float(moments[place]))
        true_reading = one
        if curve is not None:
            found = calibrate(one, curve.curve, mass=mass, load_factor=g, furthest=BEYOND)
            if found is None:
                continue
            true_reading = from_calibrated(found.speed.value, air=here).equivalent
        speed[place] = true_reading * math.sqrt(facts.mass / (mass * g))
    pitch = _at(log, log.channels["pitch"], moments) if log.has("pitch") else np.full(times.size, np.nan)
    return FilmTrack(speed=speed, indicated=shown, pitch=pitch, flap_deg=flap, calibrated=curve is not None)


def _at(log: Log, values: FloatArray, moments: FloatArray) -> FloatArray:
    """A channel smoothed over a second, at these moments; NaN outside the log."""
    there = np.isfinite(values)
    if np.count_nonzero(there) < 2:
        return np.full(moments.size, np.nan)
    size = max(round(SMOOTH / max(log.interval, 1e-3)), 1)
    smooth = ndimage.uniform_filter1d(np.interp(log.time, log.time[there], values[there]), size=size)
    return np.asarray(np.interp(moments, log.time, smooth, left=np.nan, right=np.nan), dtype=np.float64)


def _middle(log: Log, name: str, moments: FloatArray) -> float | None:
    if not log.has(name):
        return None
    found = _at(log, log.channels[name], moments)
    return float(np.nanmean(found)) if np.isfinite(found).any() else None
