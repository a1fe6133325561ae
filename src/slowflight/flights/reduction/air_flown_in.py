"""Pressure height and temperature of a flight: recorded, or written down, or said to be missing."""

from __future__ import annotations

import math

import numpy as np

from slowflight import air
from slowflight.flights.book.entries import FlightEntry
from slowflight.flights.logs.log import FloatArray, Log, Step

NO_TEMPERATURE = (
    "outside temperature neither recorded nor written down: that of the standard atmosphere is taken, and 10"
    " degrees C of error are 1.8 % of every calibrated speed; write temperature into flights.toml"
)
NO_SETTING = (
    "height above sea level taken for pressure height; write pressure_setting into flights.toml: 10 hPa off"
    " are 270 ft and 0.4 % of every calibrated speed"
)
NO_HEIGHT = "no height in the log: legs cannot calibrate the airspeed indicator"
# Air that nobody measured is taken to lie within 10 K of standard, evenly: common practice, no source. Speed
# goes with the root of temperature.
UNKNOWN_AIR = 10.0 / math.sqrt(3.0) / (2.0 * air.SEA_LEVEL_TEMPERATURE)
"""Standard uncertainty of a calibrated airspeed, as a share of it, where temperature is not known [-]."""


def with_air(log: Log, entry: FlightEntry) -> tuple[Log, list[str]]:
    """Give a log pressure height and temperature.

    Parameters
    ----------
    log : Log
        Cleaned.
    entry : FlightEntry
        With what the pilot wrote down.

    Returns
    -------
    log : Log
        Recorded channels stay as they are; what was added stands in its history.
    remarks : list of str
        What is missing, and what that costs.

    Notes
    -----
    Pressure height is height above sea level and the standard height of the pressure setting (U.S. Standard
    Atmosphere 1976), good to a few ft in the lowest 10,000 ft as the air is standard between.
    """
    remarks: list[str] = []
    channels, steps = dict(log.channels), []
    if not log.has("pressure_altitude"):
        if log.has("static_pressure"):
            channels["pressure_altitude"] = _standard_height(log.channels["static_pressure"])
            steps.append(Step(what="pressure height from static pressure", by="with_air"))
        elif log.has("altitude"):
            lift = 0.0
            if entry.pressure_setting is None:
                remarks.append(NO_SETTING)
            else:
                lift = air.pressure_altitude(pressure=entry.pressure_setting)
            channels["pressure_altitude"] = log.channels["altitude"] + lift
            steps.append(
                Step(
                    what="pressure height from height above sea level",
                    by="with_air",
                    settings=(("added_m", lift),),
                )
            )
        else:
            remarks.append(NO_HEIGHT)
    if not log.has("outside_temperature"):
        if entry.temperature is None:
            remarks.append(NO_TEMPERATURE)
        else:
            channels["outside_temperature"] = np.full(len(log), entry.temperature)
            steps.append(Step(what="outside temperature as written down", by="with_air"))
    return (log.done(*steps, channels=channels) if steps else log), remarks


def _standard_height(pressure: FloatArray) -> FloatArray:
    lowest, highest = (air.standard_pressure(altitude=height) for height in (15_000.0, -1_000.0))
    return np.array(
        [
            air.pressure_altitude(pressure=float(one)) if lowest <= one <= highest else math.nan
            for one in pressure
        ]
    )
