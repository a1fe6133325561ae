"""Thrust of a propeller that was tied to a spring scale, and the air it throws back over the wing."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.errors import RangeError

SOURCES = ("Glauert1926",)
MOST_ROUNDS = 60


@dataclass(frozen=True, kw_only=True)
class Propeller:
    """A propeller at full throttle.

    Parameters
    ----------
    static_thrust : float
        Standing [N].
    diameter : float
        [m].
    line : float
        Its axis above the fuselage datum [rad].

    Raises
    ------
    RangeError
        Where thrust or diameter are not above zero.
    """

    static_thrust: float
    diameter: float
    line: float = 0.0

    def __post_init__(self) -> None:
        for name in ("static_thrust", "diameter"):
            if not (math.isfinite(getattr(self, name)) and getattr(self, name) > 0.0):
                raise RangeError(
                    where=f"propeller {name}", found=str(getattr(self, name)), needed="a number above zero"
                )

    @property
    def disc(self) -> float:
        """Area swept [m2]."""
        return 0.25 * math.pi * self.diameter**2


def thrust_at(propeller: Propeller, *, speed: float, density: float) -> float:
    """Return full-throttle thrust at a true airspeed [N].

    Parameters
    ----------
    propeller : Propeller
    speed : float
        True airspeed [m/s], 0 to about twice the stall speed.
    density : float
        Of the air [kg/m3]; the static thrust is taken as measured in the same air.

    Returns
    -------
    float

    Notes
    -----
    Actuator disc (momentum theory, Glauert 1926): the power that goes into the air at rest,
    ``T0 sqrt(T0 / (2 rho A))``, is the same in flight, ``T (V + v)`` with ``T = 2 rho A v (V + v)``. A fixed
    pitch that is stalled at rest does better in flight than this, an engine that is held below its
    revolutions likewise: a band of 15 % either way (own choice) goes with it.

    Examples
    --------
    >>> p = Propeller(static_thrust=1500.0, diameter=1.7)
    >>> round(thrust_at(p, speed=0.0, density=1.225)), round(thrust_at(p, speed=20.0, density=1.225))
    (1500, 961)
    """
    mass_flow = 2.0 * density * propeller.disc
    power = propeller.static_thrust * math.sqrt(propeller.static_thrust / mass_flow)
    low, high = 0.0, propeller.static_thrust
    for _ in range(MOST_ROUNDS):
        thrust = 0.5 * (low + high)
        added = 0.5 * (-speed + math.sqrt(speed**2 + 4.0 * thrust / mass_flow))
        if thrust * (speed + added) > power:
            high = thrust
        else:
            low = thrust
    return 0.5 * (low + high)


def slipstream_pressure(*, thrust: float, speed: float, density: float, disc: float) -> float:
    """Return dynamic pressure in the developed slipstream over that of flight [-].

    Notes
    -----
    Momentum theory: ``1 + T / (q A)``, far behind the disc; at the disc about half of the rise is there.

    Examples
    --------
    >>> disc = 0.25 * math.pi * 1.8**2
    >>> round(slipstream_pressure(thrust=1750.0, speed=16.0, density=1.225, disc=disc), 1)
    5.4
    """
    return 1.0 + thrust / (0.5 * density * speed**2 * disc)
