"""What is not known about a stall speed besides the scatter of the flights, with its usual size.

The sizes are common practice, no source; each may be replaced by the owner's own. How they act on the speed
is the first derivative of ``V = V_E sqrt(m_ref / (n m))``.
"""

from __future__ import annotations

import math

from slowflight import units
from slowflight.flights.statistics.budget import Term

SOURCES: tuple[str, ...] = ()

_KNOT = units.speed("1 kt", where="stall terms")
_POUND = units.mass("1 lb", where="stall terms")
# Of one set of flights.
MASS_BEFORE_AFTER = 10.0 * _POUND  # [kg] between weighings of one aircraft
MASS_ALONE = 20.0 * _POUND  # [kg] of the scales as well
LOAD_FACTOR_BEFORE_AFTER, LOAD_FACTOR_ALONE = 0.01, 0.02
CENTER_MATCHED = 0.01  # of mean chord
# A chord of 1.4 m and a tail 4.2 m behind it (invented): speed changes by c/(2 l) for one chord.
CENTER_SENSITIVITY = 1.4 / (2.0 * 4.2)
RATE_BEFORE_AFTER, RATE_ALONE = 0.2 * _KNOT, 0.3 * _KNOT  # [m/s^2]
RATE_SENSITIVITY = 0.7  # [s]
IDLE_THRUST = 0.20 * _KNOT
INSTRUMENT, POSITION = 1.0 * _KNOT, 1.5 * _KNOT  # two sigma
# The vanes let the wing go to a higher angle, where the pressure ports read differently again.
POSITION_SHIFT = 0.50 * _KNOT
POSITION_SHIFT_CALIBRATED = 0.20 * _KNOT

POSITION_SHIFT_NAME = "airspeed error at the higher angle of attack"
AIR_NAME = "outside temperature that nobody wrote down"


def difference_terms(
    *,
    speed: float,
    mass: float,
    position_shift: float = POSITION_SHIFT,
    air_unknown: float = 0.0,
) -> tuple[Term, ...]:
    """Return what a difference of stall speeds is uncertain by, the flights' own scatter aside.

    Parameters
    ----------
    speed : float
        Stall speed [m/s].
    mass : float
        Reference mass [kg].
    position_shift : float, optional
        Standard uncertainty of how much the airspeed error differs at the stall with vanes [m/s]; smaller
        where the indicator was calibrated near the stall in both configurations.
    air_unknown : float, optional
        Standard uncertainty that missing temperatures put into a difference, as a share of the speed [-].

    Returns
    -------
    tuple of Term
        In m/s. Terms marked as shared cancel in the difference.
    """
    twice = math.sqrt(2.0)  # each acts before and after, independently
    return (
        Term(name=POSITION_SHIFT_NAME, half_width=position_shift),
        Term(
            name="load factor",
            half_width=LOAD_FACTOR_BEFORE_AFTER,
            distribution="rectangular",
            sensitivity=twice * 0.5 * speed,
        ),
        Term(
            name="mass",
            half_width=MASS_BEFORE_AFTER,
            distribution="rectangular",
            sensitivity=twice * speed / (2.0 * mass),
        ),
        Term(
            name="entry rate",
            half_width=RATE_BEFORE_AFTER,
            distribution="rectangular",
            sensitivity=twice * RATE_SENSITIVITY,
        ),
        Term(
            name="center of gravity",
            half_width=CENTER_MATCHED,
            distribution="rectangular",
            sensitivity=twice * CENTER_SENSITIVITY * speed,
        ),
        *((Term(name=AIR_NAME, half_width=air_unknown * speed),) if air_unknown > 0.0 else ()),
        *(term for term in absolute_terms(speed=speed, mass=mass) if term.shared),
    )


def absolute_terms(*, speed: float, mass: float) -> tuple[Term, ...]:
    """Return what one stall speed by itself is uncertain by, the flights' own scatter aside.

    Parameters
    ----------
    speed : float
        Stall speed [m/s].
    mass : float
        Reference mass [kg].

    Returns
    -------
    tuple of Term
        In m/s; those that are the same before and after are marked as shared.
    """
    return (
        Term(name="airspeed instrument", half_width=INSTRUMENT, distribution="two sigma", shared=True),
        Term(
            name="airspeed error at the clean stall",
            half_width=POSITION,
            distribution="two sigma",
            shared=True,
        ),
        Term(name="idle thrust", half_width=IDLE_THRUST, shared=True),
        Term(
            name="mass", half_width=MASS_ALONE, distribution="rectangular", sensitivity=speed / (2.0 * mass)
        ),
        Term(
            name="entry rate", half_width=RATE_ALONE, distribution="rectangular", sensitivity=RATE_SENSITIVITY
        ),
        Term(
            name="load factor",
            half_width=LOAD_FACTOR_ALONE,
            distribution="rectangular",
            sensitivity=0.5 * speed,
        ),
        Term(
            name="center of gravity",
            half_width=CENTER_MATCHED,
            distribution="rectangular",
            sensitivity=CENTER_SENSITIVITY * speed,
        ),
    )
