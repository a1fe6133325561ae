"""How many vanes of each hand to make, what they weigh and cost."""

from __future__ import annotations

import math
from collections.abc import Sequence

from slowflight.errors import RangeError
from slowflight.layout.fit import Part
from slowflight.layout.hand import HANDS, SIDES
from slowflight.layout.placed import Parts, PlacedVane


def count_parts(vanes: Sequence[PlacedVane], *, part: Part, mass_each: float | None) -> Parts:
    """Count vanes by wing and hand, with spares.

    Parameters
    ----------
    vanes : sequence of PlacedVane
        On both wings.
    part : Part
        Its own mass comes before the one given here.
    mass_each : float or None
        Of one vane as its candidate says [kg].

    Returns
    -------
    Parts

    Raises
    ------
    RangeError
        Where the mass is none.
    """
    mass = mass_each if part.mass_each is None else part.mass_each
    if mass is not None and not (math.isfinite(mass) and mass > 0.0):
        raise RangeError(where="mass of one vane", found=f"{mass} kg", needed="a mass above zero")
    count = {
        (side, hand): sum(1 for vane in vanes if vane.side == side and vane.hand == hand)
        for side in SIDES
        for hand in HANDS
    }
    # Rounding must not turn 10 % of 40 into 5.
    spare_a, spare_b = (
        math.ceil(part.spares * (count["left", hand] + count["right", hand]) - 1e-9) for hand in HANDS
    )
    return Parts(
        left_a=count["left", "A"],
        left_b=count["left", "B"],
        right_a=count["right", "A"],
        right_b=count["right", "B"],
        spare_a=spare_a,
        spare_b=spare_b,
        mass_each=mass,
        cost_each=part.cost_each,
        currency=part.currency,
    )
