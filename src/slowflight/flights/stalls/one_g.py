"""Stall speed at 1 g and reference mass, maximum lift coefficient, and how far they may be off."""

from __future__ import annotations

import math

from slowflight.air import GRAVITY, SEA_LEVEL_DENSITY
from slowflight.errors import RangeError


def reference_speed(*, equivalent: float, mass: float, load_factor: float, reference_mass: float) -> float:
    """Stall speed brought to 1 g and the reference mass.

    Parameters
    ----------
    equivalent : float
        Equivalent airspeed at the stall [m/s].
    mass, reference_mass : float
        At the stall, and to which it is brought [kg], above 0.
    load_factor : float
        Normal to the flight path at the stall [-], 0.5 to 2.

    Returns
    -------
    float
        [m/s].

    Raises
    ------
    RangeError
        Outside those ranges.

    Notes
    -----
    Source: 14 CFR 25.103, whose load-factor-corrected lift coefficient is held while mass and load factor
    change.
    """
    _positive(equivalent=equivalent, mass=mass, reference_mass=reference_mass)
    if not 0.5 <= load_factor <= 2.0:
        raise RangeError(where="load factor", found=f"{load_factor:g}", needed="0.5 to 2")
    return equivalent * math.sqrt(reference_mass / (load_factor * mass))


def maximum_lift(*, equivalent: float, mass: float, load_factor: float, area: float) -> float:
    """Lift coefficient at the stall.

    Parameters
    ----------
    equivalent : float
        Equivalent airspeed at the stall [m/s].
    mass : float
        [kg].
    load_factor : float
        [-].
    area : float
        Wing area [m^2].

    Returns
    -------
    float
        [-].

    Notes
    -----
    Source: 14 CFR 25.103, lift coefficient ``n W / (q S)``.
    """
    _positive(equivalent=equivalent, mass=mass, area=area)
    return 2.0 * load_factor * mass * GRAVITY / (SEA_LEVEL_DENSITY * area * equivalent**2)


def load_factor_in_bank(roll: float) -> float:
    """Load factor of steady flight in a bank [rad], below a quarter turn: ``1 / cos(roll)``, exact."""
    if not abs(roll) < 0.5 * math.pi:
        raise RangeError(where="bank", found=f"{math.degrees(roll):.0f} deg", needed="less than 90 deg")
    return 1.0 / math.cos(roll)


def speed_uncertainty(
    *,
    reference: float,
    reading: float,
    mass: float,
    mass_uncertainty: float,
    load_factor: float,
    load_uncertainty: float,
) -> float:
    """Standard uncertainty of one reference speed, from what belongs to the event alone.

    Parameters
    ----------
    reference : float
        The reference speed [m/s].
    reading : float
        Standard uncertainty of the equivalent airspeed at the stall [m/s].
    mass, mass_uncertainty : float
        [kg].
    load_factor, load_uncertainty : float
        [-].

    Returns
    -------
    float
        [m/s].

    Notes
    -----
    GUM2008, clause 5.1: the reference speed goes as the root of one over mass and load factor.
    """
    by_mass = 0.5 * reference * mass_uncertainty / mass
    by_load = 0.5 * reference * load_uncertainty / load_factor
    return math.hypot(reading, by_mass, by_load)


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0.0):
            raise RangeError(
                where=name.replace("_", " "), found=f"{value:g}", needed="a finite number above 0"
            )
