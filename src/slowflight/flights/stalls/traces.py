"""What the search for stalls looks at, prepared once for a whole log."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from slowflight.errors import InputError
from slowflight.flights.logs.log import FloatArray, Log
from slowflight.flights.stalls.settings import StallSettings
from slowflight.flights.stalls.smoothing import slope, smoothed


@dataclass(frozen=True, kw_only=True, eq=False)
class Traces:
    """Channels as the search needs them, each of shape (n,).

    Parameters
    ----------
    interval : float
        Usual time from row to row [s].
    time : FloatArray
        [s].
    speed : FloatArray
        As recorded [m/s].
    smooth, rate : FloatArray
        Speed without gusts [m/s] and how it changes [m/s^2].
    load : FloatArray or None
        Load factor over half a second, so that shaking averages out [-].
    pitch, roll, pitch_rate, roll_rate : FloatArray or None
        [rad], [rad/s].
    climb : FloatArray or None
        Vertical speed, up positive [m/s].
    stick, engine : FloatArray or None
        As recorded: share of travel, full aft 1 [-]; engine speed [1/s].
    """

    interval: float
    time: FloatArray
    speed: FloatArray
    smooth: FloatArray
    rate: FloatArray
    load: FloatArray | None
    pitch: FloatArray | None
    roll: FloatArray | None
    pitch_rate: FloatArray | None
    roll_rate: FloatArray | None
    climb: FloatArray | None
    stick: FloatArray | None
    engine: FloatArray | None


def traces(log: Log, *, speed: FloatArray | None, settings: StallSettings) -> Traces:
    """Prepare a log for the search.

    Parameters
    ----------
    log : Log
        Cleaned.
    speed : FloatArray or None
        The airspeed to search in [m/s], shape (n,), for example from ground speed and wind; indicated
        airspeed without it.
    settings : StallSettings
        Smoothing.

    Returns
    -------
    Traces

    Raises
    ------
    InputError
        Where the log is too short, or has no airspeed and none is given.
    """
    if len(log) < 20:
        raise InputError(
            where=f"{log.source}, flight {log.part}",
            found=f"{len(log)} readings",
            needed="at least 20 to look for stalls in",
        )
    recorded = log.channel("indicated_airspeed") if speed is None else speed
    time = log.time
    smooth = smoothed(time, recorded, cut_off=settings.cut_off)
    pitch, roll = _maybe(log, "pitch"), _maybe(log, "roll")
    return Traces(
        interval=log.interval,
        time=time,
        speed=recorded,
        smooth=smooth,
        rate=slope(time, smooth, seconds=2.0),
        load=_averaged(time, _maybe(log, "load_factor"), 0.5),
        pitch=pitch,
        roll=roll,
        pitch_rate=_rate(time, _maybe(log, "pitch_rate"), pitch),
        roll_rate=_rate(time, _maybe(log, "roll_rate"), roll),
        climb=_climb(log),
        stick=_maybe(log, "stick"),
        engine=_maybe(log, "engine_speed"),
    )


def _maybe(log: Log, name: str) -> FloatArray | None:
    return log.channels[name] if log.has(name) else None


def _averaged(time: FloatArray, values: FloatArray | None, seconds: float) -> FloatArray | None:
    if values is None:
        return None
    size = max(round(seconds / max(float(np.median(np.diff(time))), 1e-3)), 1)
    there = np.isfinite(values)
    filled = np.interp(time, time[there], values[there])
    found = np.asarray(ndimage.uniform_filter1d(filled, size=size, mode="nearest"), dtype=np.float64)
    found[~there] = np.nan
    return found


def _rate(time: FloatArray, measured: FloatArray | None, angle: FloatArray | None) -> FloatArray | None:
    if measured is not None:
        return _averaged(time, measured, 0.3)
    return None if angle is None else slope(time, angle, seconds=0.6)


def _climb(log: Log) -> FloatArray | None:
    if log.has("vertical_speed"):
        return log.channels["vertical_speed"]
    name = next((name for name in ("pressure_altitude", "altitude") if log.has(name)), None)
    # Heights are coarse: less than five seconds of them give no vertical speed worth having.
    return None if name is None else slope(log.time, log.channels[name], seconds=5.0)
