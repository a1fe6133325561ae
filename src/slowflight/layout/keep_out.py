"""What vanes keep clear of: left out beside a fuel cap, refused on skin that moves."""

from __future__ import annotations

import math
from collections.abc import Iterable

from slowflight import units
from slowflight.errors import InputError
from slowflight.layout.fit import KeepOut, Moving, Part
from slowflight.layout.row_line import RowLine
from slowflight.layout.spots import Spot
from slowflight.wing.vane_row import VaneRow


def in_the_way(
    spot: Spot, row: VaneRow, line: RowLine, *, keep_outs: Iterable[KeepOut], part: Part
) -> str | None:
    """Say what a vane at a spot would touch, with its clearance.

    Parameters
    ----------
    spot : Spot
        Where its forward tip is to stand.
    row : VaneRow
        What kind of vane, on which surface.
    line : RowLine
        Where the row runs.
    keep_outs : iterable of KeepOut
        On either wing: what is in the way on one leaves its mirror image out on the other.
    part : Part
        How wide its base is.

    Returns
    -------
    str or None
        None where nothing is in the way.

    Notes
    -----
    Vane and base count as the upright rectangle round them, which is a little more than they cover.
    """
    span_from, span_to, skin_from, skin_to = _box(spot, row, line, part)
    for keep in keep_outs:
        clear = keep.clearance
        if (
            keep.surface == row.surface
            and span_to > keep.span_from - clear
            and span_from < keep.span_to + clear
            and skin_to > keep.skin_from - clear
            and skin_from < keep.skin_to + clear
        ):
            where = "both wings" if keep.side == "both" else f"{keep.side} wing, left out on the other too"
            named = keep.name if keep.name == keep.kind else f"{keep.name} ({keep.kind})"
            return f"{named}, {where}; {units.format_length(clear, 'mm', decimals=0)} clear"
    return None


def refuse_moving(
    spot: Spot, row: VaneRow, line: RowLine, *, moving: Iterable[Moving], part: Part, where: str
) -> None:
    """Refuse a row of which a vane would stand on moving skin or in the gap it moves in.

    Parameters
    ----------
    spot, row, line, part
        As for `in_the_way`.
    moving : iterable of Moving
        Ailerons, flaps, slats and the like, on either surface.
    where : str
        File and table, for the message.

    Raises
    ------
    InputError
        Naming the surface; it is never just left out, as that would look like leave to go on.
    """
    span_from, span_to, _, _ = _box(spot, row, line, part)
    point = line.at(spot.span_position)
    half = 0.5 * part.base_width
    first = point.chord_distance - half
    # Along the chord a vane covers no more than along the skin.
    last = point.chord_distance + row.length * math.cos(row.incidence) + half
    for surface in moving:
        begins = surface.begins * point.chord - surface.gap_travel
        ends = surface.ends * point.chord + surface.gap_travel
        if span_to > surface.span_from and span_from < surface.span_to and last > begins and first < ends:

            def mm(value: float) -> str:
                return units.format_length(value, "mm", decimals=0)

            raise InputError(
                where=where,
                found=f"a vane {mm(spot.span_position)} from the centerline, {mm(first)} to {mm(last)} along"
                f" the chord, on {surface.name!r} or in its gap, which takes {mm(max(begins, 0.0))} to"
                f" {mm(min(ends, point.chord))}",
                needed="vanes on skin that does not move",
                fix="move or shorten the row: vanes on a moving surface change its balance and can start"
                " flutter",
            )


def _box(spot: Spot, row: VaneRow, line: RowLine, part: Part) -> tuple[float, float, float, float]:
    """The rectangle round vane and base: span from and to, skin from and to [m]."""
    half = 0.5 * part.base_width
    low, high = sorted((spot.span_position, spot.trailing(row)))
    skin = line.at(spot.span_position).skin_distance
    return low - half, high + half, skin - half, skin + row.length * math.cos(row.incidence) + half
