"""The air the wing flies in: standard atmosphere, viscosity, density altitude, Reynolds number, airspeeds.

Dry air as an ideal gas. Altitudes are geopotential unless a name says geometric; at 20 km the two differ by
63 m, below 4 km by less than 3 m. Speeds are low enough that compressibility does not matter: at 60 m/s and
3 km, equivalent and calibrated airspeed differ by less than 0.1 m/s.

Sources: U.S. Standard Atmosphere, 1976 (key ``USSA1976``; equation numbers below are its own), which agrees
with ICAO Doc 7488 below 32 km.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.errors import RangeError

SOURCES = ("USSA1976",)

GRAVITY = 9.80665  # standard gravity [m/s^2]
GAS_CONSTANT = 287.05287  # of dry air [J/(kg K)]
HEAT_CAPACITY_RATIO = 1.4  # [-]
EARTH_RADIUS = 6_356_766.0  # at which geopotential is reckoned [m]

SEA_LEVEL_TEMPERATURE = 288.15  # [K]
SEA_LEVEL_PRESSURE = 101_325.0  # [Pa]
SEA_LEVEL_DENSITY = SEA_LEVEL_PRESSURE / (GAS_CONSTANT * SEA_LEVEL_TEMPERATURE)  # [kg/m^3]
LAPSE_RATE = 0.0065  # below the tropopause [K/m]
TROPOPAUSE = 11_000.0  # [m]

LOWEST_ALTITUDE = -5_000.0  # where the tables begin [m]
HIGHEST_ALTITUDE = 20_000.0  # where the isothermal layer ends [m]

SUTHERLAND_FACTOR = 1.458e-6  # [kg/(m s K^0.5)]
SUTHERLAND_TEMPERATURE = 110.4  # [K]

_TROPOPAUSE_TEMPERATURE = SEA_LEVEL_TEMPERATURE - LAPSE_RATE * TROPOPAUSE
_PRESSURE_POWER = GRAVITY / (GAS_CONSTANT * LAPSE_RATE)
_SCALE_HEIGHT = GAS_CONSTANT * _TROPOPAUSE_TEMPERATURE / GRAVITY


@dataclass(frozen=True)
class Air:
    """The state of the air at one place.

    Parameters
    ----------
    temperature : float
        [K].
    pressure : float
        [Pa].
    density : float
        [kg/m^3].
    viscosity : float
        Dynamic viscosity [Pa s].
    speed_of_sound : float
        [m/s].
    """

    temperature: float
    pressure: float
    density: float
    viscosity: float
    speed_of_sound: float

    @property
    def kinematic_viscosity(self) -> float:
        """Viscosity over density [m^2/s], equation 52."""
        return self.viscosity / self.density


def standard_air(*, altitude: float) -> Air:
    """Air of the standard atmosphere.

    Parameters
    ----------
    altitude : float
        Geopotential altitude, or density altitude where only density matters [m], -5 to 20 km.

    Returns
    -------
    Air

    Raises
    ------
    RangeError
        Outside that range.

    Examples
    --------
    >>> round(standard_air(altitude=0.0).density, 4)
    1.225

    Notes
    -----
    Source: USSA1976, equations 23, 33a, 33b, 42.
    """
    return air(
        pressure=standard_pressure(altitude=altitude), temperature=standard_temperature(altitude=altitude)
    )


def air(*, pressure: float, temperature: float) -> Air:
    """Dry air from what an altimeter set to standard and a thermometer say.

    Parameters
    ----------
    pressure : float
        Static pressure [Pa]; `standard_pressure` gives it for a pressure altitude. 1 to 200 kPa.
    temperature : float
        Static temperature [K], 150 to 350.

    Returns
    -------
    Air

    Raises
    ------
    RangeError
        Outside those ranges.

    Notes
    -----
    Source: USSA1976, equations 42 (ideal gas) and 50 (speed of sound). Humidity is left out: saturated air at
    30 °C is 1.6 % lighter.
    """
    _within("temperature", temperature, 150.0, 350.0, "K")
    _within("pressure", pressure, 1e3, 2e5, "Pa")
    return Air(
        temperature=temperature,
        pressure=pressure,
        density=pressure / (GAS_CONSTANT * temperature),
        viscosity=sutherland_viscosity(temperature=temperature),
        speed_of_sound=math.sqrt(HEAT_CAPACITY_RATIO * GAS_CONSTANT * temperature),
    )


def standard_temperature(*, altitude: float) -> float:
    """Temperature of the standard atmosphere.

    Parameters
    ----------
    altitude : float
        Geopotential altitude [m], -5 to 20 km.

    Returns
    -------
    float
        [K].

    Raises
    ------
    RangeError
        Outside that range.

    Notes
    -----
    Source: USSA1976, equation 23.
    """
    _within("altitude", altitude, LOWEST_ALTITUDE, HIGHEST_ALTITUDE, "m")
    return SEA_LEVEL_TEMPERATURE - LAPSE_RATE * min(altitude, TROPOPAUSE)


def standard_pressure(*, altitude: float) -> float:
    """Pressure of the standard atmosphere, hence pressure from pressure altitude.

    Parameters
    ----------
    altitude : float
        Geopotential altitude [m], -5 to 20 km.

    Returns
    -------
    float
        [Pa].

    Raises
    ------
    RangeError
        Outside that range.

    Notes
    -----
    Source: USSA1976, equations 33a (lapse) and 33b (isothermal).
    """
    temperature = standard_temperature(altitude=altitude)
    lapsed: float = SEA_LEVEL_PRESSURE * (temperature / SEA_LEVEL_TEMPERATURE) ** _PRESSURE_POWER
    return lapsed * math.exp(-max(altitude - TROPOPAUSE, 0.0) / _SCALE_HEIGHT)


def pressure_altitude(*, pressure: float) -> float:
    """Altitude at which the standard atmosphere has this pressure.

    Parameters
    ----------
    pressure : float
        [Pa].

    Returns
    -------
    float
        [m], -5 to 20 km.

    Raises
    ------
    RangeError
        Where no altitude in that range has this pressure.

    Notes
    -----
    Source: USSA1976, equations 33a and 33b solved for altitude.
    """
    highest = standard_pressure(altitude=LOWEST_ALTITUDE)
    _within("pressure", pressure, standard_pressure(altitude=HIGHEST_ALTITUDE), highest, "Pa")
    return _altitude(
        value=pressure, sea_level=SEA_LEVEL_PRESSURE, tropopause=_TROPOPAUSE_PRESSURE, power=_PRESSURE_POWER
    )


def density_altitude(*, density: float) -> float:
    """Altitude at which the standard atmosphere has this density.

    Parameters
    ----------
    density : float
        [kg/m^3].

    Returns
    -------
    float
        [m], -5 to 20 km.

    Raises
    ------
    RangeError
        Where no altitude in that range has this density.

    Examples
    --------
    >>> hot = air(pressure=standard_pressure(altitude=1000.0), temperature=298.15)
    >>> round(density_altitude(density=hot.density))
    1576

    Notes
    -----
    Source: USSA1976, equations 33a, 33b and 42 solved for altitude.
    """
    thickest = standard_air(altitude=LOWEST_ALTITUDE).density
    _within("density", density, standard_air(altitude=HIGHEST_ALTITUDE).density, thickest, "kg/m^3")
    return _altitude(
        value=density,
        sea_level=SEA_LEVEL_DENSITY,
        tropopause=_TROPOPAUSE_PRESSURE / (GAS_CONSTANT * _TROPOPAUSE_TEMPERATURE),
        power=_PRESSURE_POWER - 1.0,
    )


def geopotential_altitude(*, geometric: float) -> float:
    """Geopotential altitude of a height above mean sea level.

    Parameters
    ----------
    geometric : float
        Height [m], -5 to 1000 km.

    Returns
    -------
    float
        [m].

    Raises
    ------
    RangeError
        Outside that range.

    Notes
    -----
    Source: USSA1976, equation 18.
    """
    _within("geometric altitude", geometric, -6e3, 1e6, "m")
    return EARTH_RADIUS * geometric / (EARTH_RADIUS + geometric)


def geometric_altitude(*, geopotential: float) -> float:
    """Height above mean sea level of a geopotential altitude.

    Parameters
    ----------
    geopotential : float
        [m], -6 to 860 km.

    Returns
    -------
    float
        [m].

    Raises
    ------
    RangeError
        Outside that range.

    Notes
    -----
    Source: USSA1976, equation 19.
    """
    _within("geopotential altitude", geopotential, -6.01e3, 8.7e5, "m")
    return EARTH_RADIUS * geopotential / (EARTH_RADIUS - geopotential)


def sutherland_viscosity(*, temperature: float) -> float:
    """Dynamic viscosity of air.

    Parameters
    ----------
    temperature : float
        [K], 100 to 1500.

    Returns
    -------
    float
        [Pa s].

    Raises
    ------
    RangeError
        Outside that range.

    Notes
    -----
    Source: USSA1976, equation 51.
    """
    _within("temperature", temperature, 100.0, 1500.0, "K")
    return SUTHERLAND_FACTOR * temperature * math.sqrt(temperature) / (temperature + SUTHERLAND_TEMPERATURE)


def reynolds_number(*, speed: float, chord: float, air: Air) -> float:
    """Reynolds number of a chord.

    Parameters
    ----------
    speed : float
        True airspeed [m/s], 0 to 1000.
    chord : float
        [m], 1 mm to 1 km.
    air : Air
        What the wing flies in.

    Returns
    -------
    float
        [-].

    Raises
    ------
    RangeError
        Where speed or chord is outside that range.

    Notes
    -----
    By definition, speed times chord over kinematic viscosity.
    """
    _within("speed", speed, 0.0, 1e3, "m/s")
    _within("chord", chord, 1e-3, 1e3, "m")
    return speed * chord / air.kinematic_viscosity


def dynamic_pressure(*, speed: float, density: float) -> float:
    """Pressure rise where the air is brought to rest, without compressibility.

    Parameters
    ----------
    speed : float
        True airspeed [m/s], below a third of the speed of sound for 3 %.
    density : float
        [kg/m^3].

    Returns
    -------
    float
        [Pa].

    Notes
    -----
    By definition, half density times speed squared (Bernoulli).
    """
    return 0.5 * density * speed * speed


def true_airspeed(*, equivalent: float, density: float) -> float:
    """True airspeed of an equivalent airspeed.

    Parameters
    ----------
    equivalent : float
        Equivalent airspeed [m/s].
    density : float
        Of the air flown in [kg/m^3], 0.001 to 10.

    Returns
    -------
    float
        [m/s].

    Raises
    ------
    RangeError
        Where the density is outside that range.

    Notes
    -----
    By definition of equivalent airspeed: the same dynamic pressure at standard sea-level density.
    """
    _within("density", density, 1e-3, 10.0, "kg/m^3")
    return equivalent * math.sqrt(SEA_LEVEL_DENSITY / density)


def equivalent_airspeed(*, true: float, density: float) -> float:
    """Equivalent airspeed of a true airspeed; the inverse of `true_airspeed`.

    Parameters
    ----------
    true : float
        True airspeed [m/s].
    density : float
        Of the air flown in [kg/m^3], 0.001 to 10.

    Returns
    -------
    float
        [m/s].

    Raises
    ------
    RangeError
        Where the density is outside that range.
    """
    _within("density", density, 1e-3, 10.0, "kg/m^3")
    return true * math.sqrt(density / SEA_LEVEL_DENSITY)


def _altitude(*, value: float, sea_level: float, tropopause: float, power: float) -> float:
    """Solve ``value = sea_level (T/T0)^power`` below the tropopause, the exponential law above it."""
    if value >= tropopause:
        ratio: float = (value / sea_level) ** (1.0 / power)
        return SEA_LEVEL_TEMPERATURE * (1.0 - ratio) / LAPSE_RATE
    return TROPOPAUSE - _SCALE_HEIGHT * math.log(value / tropopause)


def _within(where: str, value: float, lowest: float, highest: float, unit: str) -> None:
    if not lowest <= value <= highest:  # written so that NaN fails too
        needed = f"a number from {lowest:g} to {highest:g} {unit}"
        raise RangeError(where=where, found=f"{value:g} {unit}", needed=needed)


_TROPOPAUSE_PRESSURE = standard_pressure(altitude=TROPOPAUSE)
