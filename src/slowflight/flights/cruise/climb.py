"""Climb: what the altimeter's rate was in true height, and excess power at reference mass and sea level."""

from __future__ import annotations

import math

from slowflight.errors import RangeError

SOURCES: tuple[str, ...] = ()


def true_rate(*, pressure_height_rate: float, temperature: float, standard_temperature: float) -> float:
    """Return the rate of climb in true height from the rate of pressure height.

    Parameters
    ----------
    pressure_height_rate : float
        [m/s].
    temperature, standard_temperature : float
        Of the air, and of the standard atmosphere at the same pressure height [K].

    Returns
    -------
    float
        [m/s]; hydrostatics: a layer of given pressure difference is thicker in warm air.

    Raises
    ------
    RangeError
        Where a temperature is not above 0 K.
    """
    if min(temperature, standard_temperature) <= 0.0:
        raise RangeError(
            where="climb", found=f"{temperature} K and {standard_temperature} K", needed="kelvin above 0"
        )
    return pressure_height_rate * temperature / standard_temperature


def reference_climb(*, true_rate: float, density_ratio: float, mass: float, reference_mass: float) -> float:
    """Return the rate of climb that the same excess thrust and angle give at reference mass and sea level.

    Parameters
    ----------
    true_rate : float
        [m/s].
    density_ratio : float
        Over sea level [-].
    mass, reference_mass : float
        [kg].

    Returns
    -------
    float
        [m/s]: ``rate sqrt(sigma) sqrt(m_ref/m)``, to be set against ``V_E sqrt(m_ref/m)``. Derived from the
        reduction of level flight: at one angle of attack speed goes as the root of mass over density.
    """
    return true_rate * math.sqrt(density_ratio) * math.sqrt(reference_mass / mass)
