"""Maneuvering speed: below it the wing stalls before it pulls more than the limit load."""

from __future__ import annotations

import math

from slowflight.errors import RangeError

SOURCES = ("CFR14Part23",)


def maneuvering_speed(*, stall_speed: float, load_factor: float) -> float:
    """Return the speed at which the wing just reaches its limit load factor [as the stall speed].

    Parameters
    ----------
    stall_speed : float
        At load factor one, flaps up, any unit.
    load_factor : float
        Limit [-].

    Returns
    -------
    float

    Notes
    -----
    ``V_A = V_S sqrt(n)``, 14 CFR 23.335(c) as before amendment 23-64. A lower stall speed LOWERS it: the same
    wing pulls the limit load at a slower speed.

    Examples
    --------
    >>> round(maneuvering_speed(stall_speed=50.0, load_factor=3.8), 1)
    97.5
    """
    return stall_speed * math.sqrt(_positive(load_factor, "load factor"))


def load_at(*, speed: float, stall_speed: float) -> float:
    """Return the load factor that full back stick pulls at a speed, ``(V / V_S)^2`` [-]."""
    return (speed / _positive(stall_speed, "stall speed")) ** 2


def at_weight(*, speed: float, mass: float, reference_mass: float) -> float:
    """Carry a stall or maneuvering speed from one mass to another, ``V sqrt(m / m_ref)`` [as the speed]."""
    return speed * math.sqrt(_positive(mass, "mass") / _positive(reference_mass, "reference mass"))


def _positive(value: float, name: str) -> float:
    if not (math.isfinite(value) and value > 0.0):
        raise RangeError(where=name, found=str(value), needed="a finite number above zero")
    return value
