"""Calibrated, equivalent and true airspeed, with compressibility.

Source: Gracey, NASA RP-1046 (1980), chapter II: the isentropic relation between impact pressure and Mach
number, on which airspeed indicators are calibrated at sea level.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight import air
from slowflight.air import SEA_LEVEL_PRESSURE, SEA_LEVEL_TEMPERATURE, Air
from slowflight.errors import RangeError

SOURCES = ("Gracey1980", "USSA1976")
FASTEST = 150.0  # [m/s]; nothing here flies near it
SEA_LEVEL_SPEED_OF_SOUND = air.air(
    pressure=SEA_LEVEL_PRESSURE, temperature=SEA_LEVEL_TEMPERATURE
).speed_of_sound


@dataclass(frozen=True, kw_only=True)
class Airspeeds:
    """One airspeed in its three forms.

    Parameters
    ----------
    calibrated, equivalent, true : float
        [m/s].
    mach : float
        [-].
    """

    calibrated: float
    equivalent: float
    true: float
    mach: float


def from_calibrated(calibrated: float, *, air: Air) -> Airspeeds:
    """Equivalent and true airspeed of a calibrated one.

    Parameters
    ----------
    calibrated : float
        [m/s], 0 to 150.
    air : Air
        What the aircraft flies in.

    Returns
    -------
    Airspeeds

    Raises
    ------
    RangeError
        Outside that range.

    Notes
    -----
    Source: Gracey1980, chapter II, impact pressure at sea level solved for Mach number at the pressure flown.
    """
    _refuse("calibrated airspeed", calibrated)
    impact = SEA_LEVEL_PRESSURE * _impact_ratio(calibrated / SEA_LEVEL_SPEED_OF_SOUND)
    mach = _mach(impact / air.pressure)
    true = mach * air.speed_of_sound
    return Airspeeds(
        calibrated=calibrated,
        equivalent=true * math.sqrt(air.density / _SEA_LEVEL_DENSITY),
        true=true,
        mach=mach,
    )


def from_true(true: float, *, air: Air) -> Airspeeds:
    """Calibrated and equivalent airspeed of a true one; the inverse of `from_calibrated`.

    Parameters
    ----------
    true : float
        [m/s], 0 to 150.
    air : Air
        What the aircraft flies in.

    Returns
    -------
    Airspeeds

    Raises
    ------
    RangeError
        Outside that range.
    """
    _refuse("true airspeed", true)
    mach = true / air.speed_of_sound
    impact = air.pressure * _impact_ratio(mach)
    calibrated = SEA_LEVEL_SPEED_OF_SOUND * _mach(impact / SEA_LEVEL_PRESSURE)
    return Airspeeds(
        calibrated=calibrated,
        equivalent=true * math.sqrt(air.density / _SEA_LEVEL_DENSITY),
        true=true,
        mach=mach,
    )


def _impact_ratio(mach: float) -> float:
    """Impact pressure over static pressure."""
    return math.expm1(3.5 * math.log1p(0.2 * mach * mach))


def _mach(impact_ratio: float) -> float:
    return math.sqrt(5.0 * math.expm1(math.log1p(impact_ratio) / 3.5))


def _refuse(where: str, speed: float) -> None:
    if not 0.0 <= speed <= FASTEST:
        raise RangeError(where=where, found=f"{speed:g} m/s", needed=f"0 to {FASTEST:g} m/s")


_SEA_LEVEL_DENSITY = air.SEA_LEVEL_DENSITY
