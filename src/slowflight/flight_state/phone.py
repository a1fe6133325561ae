"""An angle read with a phone laid on a rib, and read again turned round, which cancels the phone's zero."""

from __future__ import annotations

import math
from dataclasses import dataclass

LARGEST_ZERO = math.radians(3.0)  # a phone that is further off was not turned end for end
AGREES = math.radians(1.5)


@dataclass(frozen=True, kw_only=True)
class Turned:
    """What two readings tell: the angle, the instrument's own error [rad], and what is odd."""

    angle: float
    zero: float
    caution: str


def turned_round(first: float, second: float, *, expected: float | None = None) -> Turned:
    """Return the angle from a reading and one with the instrument turned end for end [rad].

    Parameters
    ----------
    first, second : float
        As read, nose up positive in the first [rad].
    expected : float, optional
        What another way of measuring gave [rad].

    Returns
    -------
    Turned
        ``(first - second) / 2`` and ``(first + second) / 2``.

    Examples
    --------
    >>> found = turned_round(math.radians(15.2), math.radians(-14.6))
    >>> round(math.degrees(found.angle), 2), round(math.degrees(found.zero), 2)
    (14.9, 0.3)
    """
    angle, zero = 0.5 * (first - second), 0.5 * (first + second)
    caution = ""
    if abs(zero) > LARGEST_ZERO:
        caution = (
            f"the two readings on the rib make the instrument {math.degrees(zero):.1f} deg wrong: turn it end"
            " for end on the same rib and give the second reading with its sign"
        )
    elif expected is not None and abs(angle - expected) > AGREES:
        caution = (
            f"the rib on three wheels stands at {math.degrees(angle):.1f} deg by the instrument turned round,"
            f" attitude plus incidence make {math.degrees(expected):.1f} deg: one of them is wrong"
        )
    return Turned(angle=angle, zero=zero, caution=caution)
