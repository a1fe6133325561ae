"""An invented aircraft, its weather and its instruments: everything a simulated flight is made of.

Numbers are round and stand for no real aircraft.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from slowflight.air import GRAVITY, SEA_LEVEL_DENSITY

KNOT = 1852.0 / 3600.0
DEGREE = math.pi / 180.0


@dataclass(frozen=True, kw_only=True)
class InventedAircraft:
    """The aircraft.

    Parameters
    ----------
    mass : float
        At take-off, and the reference mass [kg].
    area : float
        [m^2].
    stall_speeds : dict of float to float
        Equivalent airspeed at 1 g, reference mass and 1 kt/s, by flap setting [degrees]: [m/s].
    entry_effect : float
        Change of stall speed for each m/s^2 of entry rate above 1 kt/s [s].
    lift_slope : float
        Of the wing [1/rad].
    zero_lift : dict of float to float
        Body angle without lift, by flap setting [degrees]: [rad].
    drag : tuple of float
        Zero-lift drag and induced factor at idle [-].
    fuel_burn : float
        [kg/s].
    buffet : float
        Standard deviation of load factor while it shakes before a stall [-].
    """

    mass: float = 600.0
    area: float = 13.6
    stall_speeds: dict[float, float] = field(default_factory=lambda: {0.0: 40.0 * KNOT, 30.0: 35.0 * KNOT})
    entry_effect: float = -0.5
    lift_slope: float = 4.8
    zero_lift: dict[float, float] = field(default_factory=lambda: {0.0: -4.0 * DEGREE, 30.0: -9.0 * DEGREE})
    drag: tuple[float, float] = (0.045, 0.06)
    fuel_burn: float = 15.0 / 3600.0 * 0.72
    buffet: float = 0.08

    def lift(self, *, speed: float, mass: float, load_factor: float = 1.0) -> float:
        """Lift coefficient [-] at an equivalent airspeed [m/s]."""
        return 2.0 * load_factor * mass * GRAVITY / (SEA_LEVEL_DENSITY * self.area * speed**2)


@dataclass(frozen=True, kw_only=True)
class Weather:
    """The air.

    Parameters
    ----------
    wind_north, wind_east : float
        At the start, toward where it blows [m/s].
    wind_drift : float
        Change of the northerly part in an hour [m/s].
    gust : float
        Standard deviation of along-path gusts [m/s].
    gust_memory : float
        How long one lasts [s].
    warmer : float
        Than the standard atmosphere [K].
    """

    wind_north: float = 3.0
    wind_east: float = -4.0
    wind_drift: float = 0.0
    gust: float = 0.5 * KNOT
    gust_memory: float = 1.5
    warmer: float = 5.0


@dataclass(frozen=True, kw_only=True)
class Instruments:
    """What is measured, and how badly.

    Parameters
    ----------
    rate : float
        Of the log [1/s].
    position_error : tuple of float
        What to add to indicated airspeed: constant [m/s] and for each unit of lift coefficient [m/s].
    airspeed_lag : float
        Time constant [s].
    airspeed_noise, ground_speed_noise : float
        Standard deviations [m/s].
    track_noise, pitch_noise : float
        Standard deviations [rad].
    load_noise : float
        Standard deviation [-].
    height_noise : float
        Standard deviation [m].
    blank_below : float
        Indicated airspeeds below this show nothing [m/s].
    dropouts : float
        Share of rows that are lost, in runs of about a second [-].
    datum : float
        Pitch shown when the body angle is zero [rad].
    """

    rate: float = 10.0
    position_error: tuple[float, float] = (-0.5, 1.2)
    airspeed_lag: float = 0.5
    airspeed_noise: float = 0.1
    ground_speed_noise: float = 0.1
    track_noise: float = 0.3 * DEGREE
    pitch_noise: float = 0.3 * DEGREE
    load_noise: float = 0.02
    height_noise: float = 0.5
    blank_below: float = 20.0 * KNOT
    dropouts: float = 0.0
    datum: float = 0.0
