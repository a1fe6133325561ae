"""Vanes along both wings: whole pairs, mirrored, clear of what is in the way."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from slowflight.errors import InputError
from slowflight.layout.fit import Fit
from slowflight.layout.hand import SIDES, hand_of
from slowflight.layout.keep_out import in_the_way, refuse_moving
from slowflight.layout.placed import LeftOut, PlacedVane, Stretch
from slowflight.layout.row_line import RowLine
from slowflight.layout.spots import Spot, groups_in, stretches_of, turned
from slowflight.wing.vane_row import VaneRow


@dataclass(frozen=True, kw_only=True)
class Placing:
    """Where vanes stand.

    Parameters
    ----------
    vanes : tuple of PlacedVane
        Left wing first, each from inboard outward.
    stretches : tuple of Stretch
        With the number of pairs asked for and placed in each.
    left_out : tuple of LeftOut
        The difference, one by one.
    """

    vanes: tuple[PlacedVane, ...]
    stretches: tuple[Stretch, ...]
    left_out: tuple[LeftOut, ...]


def place_vanes(
    row: VaneRow, line: RowLine, *, start: float, end: float, fit: Fit, single_toe: str, where: str
) -> Placing:
    """Put vanes along both wings, pair by pair, and keep a list of what could not stand.

    Parameters
    ----------
    row : VaneRow
        One that passed `check_row`.
    line : RowLine
        Where it runs.
    start, end : float
        From the centerline [m].
    fit : Fit
        Zones, keep-outs and moving surfaces.
    single_toe : str
        ``"outboard"`` or ``"inboard"``, for single vanes.
    where : str
        File and table, for messages.

    Returns
    -------
    Placing

    Raises
    ------
    RangeError, InputError
        As for `lay_out`.
    """
    stretches: list[Stretch] = []
    spots: list[Spot] = []
    left_out: list[LeftOut] = []
    for stretch in stretches_of(row, start=start, end=end, zones=fit.zones, where=where):
        placed = 0
        for straight in groups_in(row, stretch):
            group = straight
            if row.arrangement == "co-rotating" and single_toe == "inboard":
                group = turned(straight, row)
            for spot in group:
                refuse_moving(spot, row, line, moving=fit.moving, part=fit.part, where=where)
            reasons = [in_the_way(spot, row, line, keep_outs=fit.keep_outs, part=fit.part) for spot in group]
            reason = next((text for text in reasons if text is not None), None)
            if reason is None:
                placed += 1
                spots += group
            else:
                middle = sum(spot.span_position for spot in group) / len(group)
                left_out.append(LeftOut(span_position=middle, vanes=len(group), reason=reason))
        stretches.append(replace(stretch, placed=placed))
    if not spots:
        raise InputError(
            where=where,
            found=f"keep-outs in the way of every vane, such as {left_out[0].reason}",
            needed="room for one pair",
            fix="move the row, or check the sizes of the keep-outs in fit.toml",
        )
    vanes = tuple(
        _placed(row, line, spot, side=side, number=number)
        for side in SIDES
        for number, spot in enumerate(spots, start=1)
    )
    return Placing(vanes=vanes, stretches=tuple(stretches), left_out=tuple(left_out))


def _placed(row: VaneRow, line: RowLine, spot: Spot, *, side: str, number: int) -> PlacedVane:
    point = line.at(spot.span_position)
    toe = spot.sense * row.incidence
    return PlacedVane(
        side=side,
        number=number,
        hand=hand_of(side=side, surface=row.surface, toe=toe),
        span_position=spot.span_position,
        trailing_span_position=spot.trailing(row),
        chord_distance=point.chord_distance,
        skin_distance=point.skin_distance,
        trailing_skin_distance=point.skin_distance + row.length * math.cos(toe),
        toe=toe,
    )
