"""No vanes on a flap that moves: a row has to end ahead of the hinge, or stand beside the flap."""

from __future__ import annotations

import math

from slowflight import units
from slowflight.errors import RangeError
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.vane_row import VaneRow

# Which side of the wing's own skin moves with a flap; one that hangs behind the wing takes none of it along.
MOVING_SIDES = {"plain": ("upper", "lower"), "split": ("lower",)}
CLEAR = 0.01  # of the hinge line, where skins slide past each other [share of the chord] (own choice)


def check_off_the_flap(
    row: VaneRow, *, flap: FlapPlan | None, chord_m: float, semi_span: float, where: str
) -> None:
    """Refuse a row that would stand on a moving flap.

    Parameters
    ----------
    row : VaneRow
        Without ends along the span it goes from the centerline to the tip.
    flap : FlapPlan or None
    chord_m : float
        The shortest chord under the row [m].
    semi_span : float
        [m]
    where : str
        File and table, for the message.

    Raises
    ------
    RangeError
        Where any part of a vane would lie on skin that moves with a plain or a split flap. Ailerons are not
        described in wing.toml: of these nothing is known here.
    """
    if flap is None or row.surface not in MOVING_SIDES.get(flap.kind, ()):
        return
    starts, ends = row.span_from or 0.0, semi_span if row.span_to is None else row.span_to
    flap_starts, flap_ends = flap.span_from or 0.0, semi_span if flap.span_to is None else flap.span_to
    hinge = 1.0 - flap.chord
    aft = row.station + row.length * math.cos(row.incidence) / chord_m
    if aft <= hinge - CLEAR or ends <= flap_starts or starts >= flap_ends:
        return
    raise RangeError(
        where=where,
        found=f"vanes that end at {units.format_fraction(aft)} of chord, on the {flap.kind} flap, which"
        f" begins at {units.format_fraction(hinge)}",
        needed=f"vanes that end before {units.format_fraction(hinge - CLEAR)}",
        fix="no vanes on a moving surface: they change its balance and can start flutter",
    )
