"""The speed at which a wing carries a weight at a given lift coefficient, power off.

Thrust and tail load are left out: the propeller's pull and a download on the tail move a stall speed by
several per cent each, in opposite directions.
"""

from __future__ import annotations

import math

from slowflight.air import GRAVITY, SEA_LEVEL_DENSITY
from slowflight.errors import RangeError


def stall_speed(
    *,
    mass: float,
    area: float,
    cl_max: float,
    density: float = SEA_LEVEL_DENSITY,
    load_factor: float = 1.0,
) -> float:
    """Return the true airspeed at which the whole wing's largest lift just carries the weight.

    Parameters
    ----------
    mass : float
        All-up mass [kg].
    area : float
        Reference area of the lift coefficient [m^2].
    cl_max : float
        Maximum lift coefficient of the whole wing, not of its section [-].
    density : float, optional
        Of the air [kg/m^3]; at the sea-level standard the result is the equivalent airspeed.
    load_factor : float, optional
        Lift over weight [-], 1 in level flight; 2 in a level turn at 60 degrees of bank.

    Returns
    -------
    float
        [m/s].

    Raises
    ------
    RangeError
        Where a number is not finite and positive.

    Notes
    -----
    Vertical balance: ``n m g = rho V^2 S CL / 2``. Valid for small thrust and a slow entry (1 kt/s or less).

    Examples
    --------
    >>> round(stall_speed(mass=500.0, area=11.0, cl_max=1.7), 2)
    20.69
    """
    return speed_at_lift(mass=mass, area=area, cl=cl_max, density=density, load_factor=load_factor)


def speed_at_lift(
    *,
    mass: float,
    area: float,
    cl: float,
    density: float = SEA_LEVEL_DENSITY,
    load_factor: float = 1.0,
) -> float:
    """Return the true airspeed of unaccelerated flight at a lift coefficient; see `stall_speed`."""
    _check(mass, area, density, load_factor, lift_coefficient=cl)
    return math.sqrt(2.0 * load_factor * mass * GRAVITY / (density * area * cl))


def lift_at_speed(
    *,
    mass: float,
    area: float,
    speed: float,
    density: float = SEA_LEVEL_DENSITY,
    load_factor: float = 1.0,
) -> float:
    """Return the lift coefficient [-] that carries the weight at a speed [m/s]; see `stall_speed`.

    Examples
    --------
    >>> round(lift_at_speed(mass=500.0, area=11.0, speed=20.69), 2)
    1.7
    """
    _check(mass, area, density, load_factor, speed=speed)
    return 2.0 * load_factor * mass * GRAVITY / (density * area * speed**2)


def _check(mass: float, area: float, density: float, load_factor: float, **others: float) -> None:
    given = {"mass": mass, "area": area, "density": density, "load factor": load_factor, **others}
    for name, value in given.items():
        if not (math.isfinite(value) and value > 0.0):
            raise RangeError(
                where=name.replace("_", " "), found=f"{value:g}", needed="a finite number above zero"
            )
