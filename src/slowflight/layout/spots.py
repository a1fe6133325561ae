"""Pairs along the span: the row cut at the borders of its zones, whole pairs at each zone's own pitch."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from slowflight import units
from slowflight.errors import RangeError
from slowflight.layout.fit import Zone
from slowflight.layout.placed import Stretch
from slowflight.wing.vane_row import VaneRow

# More than this is a slip in the unit of the pitch: 1,000 pairs on a wing of 5 m stand 5 mm apart.
MOST_PER_SIDE = 1000
# Spans add up from decimal millimeters, so a row meant to hold n pairs exactly may lack a rounding.
ROUNDING_M = 1e-9


@dataclass(frozen=True)
class Spot:
    """One vane before it has a side.

    Parameters
    ----------
    span_position : float
        Of its forward tip [m].
    sense : int
        Which way that tip lies of the trailing one: 1 outboard.
    """

    span_position: float
    sense: int

    def trailing(self, row: VaneRow) -> float:
        """Span position of its trailing tip [m]."""
        return self.span_position - self.sense * row.length * math.sin(row.incidence)


def stretches_of(
    row: VaneRow, *, start: float, end: float, zones: Sequence[Zone], where: str
) -> tuple[Stretch, ...]:
    """Cut a row at the borders of its zones and count the pairs of each.

    Parameters
    ----------
    row : VaneRow
        The row, with the pitch that holds where no zone says otherwise.
    start, end : float
        From the centerline [m].
    zones : sequence of Zone
        From inboard outward, none over another.
    where : str
        File and table, for messages.

    Returns
    -------
    tuple of Stretch
        From inboard outward, touching; each holds whole pairs, centered, none of them over its border.

    Raises
    ------
    RangeError
        Where no pair fits at all, vanes would overlap, or there are too many.
    """
    edges = {start, end}
    for zone in zones:
        edges |= {border for border in (zone.span_from, zone.span_to) if start < border < end}
    lines = sorted(edges)
    found = [_stretch(row, low, high, zones, where) for low, high in itertools.pairwise(lines)]
    if sum(stretch.groups for stretch in found) > 0:
        return tuple(found)
    what = "vane" if row.arrangement == "co-rotating" else "pair"
    raise RangeError(
        where=f"{where} span_from and span_to",
        found=f"a row {_mm(end - start)} long, from {start:.3f} m to {end:.3f} m"
        + (f", in {len(found)} zones" if len(found) > 1 or found[0].pitch is None else ""),
        needed=f"room for one whole {what}, {_mm(row.footprint)}",
        fix="lengthen the row, or check the units of gap and length",
    )


def groups_in(row: VaneRow, stretch: Stretch) -> list[tuple[Spot, ...]]:
    """Place the pairs of one stretch from inboard outward.

    Parameters
    ----------
    row : VaneRow
        Single vanes of a co-rotating one come with their forward tips outboard.
    stretch : Stretch

    Returns
    -------
    list of tuple of Spot
        Two vanes to a pair, inner first; one where co-rotating, its tip outboard.

    Notes
    -----
    A pair that opens downstream has its trailing tips wider apart than its forward tips: the inner vane's
    forward tip lies outboard of its trailing tip, the outer vane's inboard.
    """
    if stretch.pitch is None:
        return []
    first = stretch.span_from + stretch.margin + 0.5 * row.footprint
    middles = [first + number * stretch.pitch for number in range(stretch.groups)]
    if row.arrangement == "co-rotating":
        return [(Spot(middle + 0.5 * row.footprint, 1),) for middle in middles]
    inner = 1 if row.opening == "downstream" else -1
    return [(Spot(middle - 0.5 * row.gap, inner), Spot(middle + 0.5 * row.gap, -inner)) for middle in middles]


def turned(group: tuple[Spot, ...], row: VaneRow) -> tuple[Spot, ...]:
    """Let single vanes toe the other way, on the same place."""
    return tuple(Spot(spot.trailing(row), -spot.sense) for spot in group)


def _stretch(row: VaneRow, low: float, high: float, zones: Sequence[Zone], where: str) -> Stretch:
    middle = 0.5 * (low + high)
    zone = next((zone for zone in zones if zone.span_from <= middle <= zone.span_to), None)
    name, kind = (zone.name, zone.kind) if zone is not None else ("row", "elsewhere")
    pitch = row.pitch if zone is None or zone.pitch is None else zone.pitch
    if zone is not None and zone.free:
        return Stretch(
            name=name, kind=kind, span_from=low, span_to=high, pitch=None, groups=0, placed=0, margin=0.0
        )
    what = "vane" if row.arrangement == "co-rotating" else "pair"
    if row.footprint >= pitch:
        raise RangeError(
            where=f"{where} pitch" if zone is None else f"zone {name!r} pitch",
            found=f"{_mm(pitch)}, where one {what} is {_mm(row.footprint)} wide: the vanes would overlap",
            needed=f"more than {_mm(row.footprint)}",
            fix="check the units of pitch, gap and length",
        )
    room = high - low
    groups = max(0, math.floor((room - row.footprint + ROUNDING_M) / pitch) + 1)
    if groups > MOST_PER_SIDE:
        raise RangeError(
            where=f"{where} pitch",
            found=f"{_mm(pitch)}, which puts {groups:,} {what}s on each wing",
            needed=f"at most {MOST_PER_SIDE:,}",
            fix="check the unit of the pitch",
        )
    taken = row.footprint + (groups - 1) * pitch if groups else 0.0
    return Stretch(
        name=name, kind=kind, span_from=low, span_to=high, pitch=pitch, groups=groups, placed=groups,
        margin=0.5 * max(0.0, room - taken),
    )  # fmt: skip


def _mm(value: float) -> str:
    return units.format_length(value, "mm")
