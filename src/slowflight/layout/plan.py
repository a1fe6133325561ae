"""Where every vane of a row goes, on both wings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.layout.cautions import CAUTIONS
from slowflight.layout.hand import HANDS, SIDES, hand_of
from slowflight.layout.nose_gauge import NoseGauge, alike, nose_gauge
from slowflight.layout.row_line import RowLine, RowPoint
from slowflight.wing.planform import Wing
from slowflight.wing.vane_row import (
    LARGEST_INCIDENCE,
    SMALLEST_INCIDENCE,
    VaneRow,
    check_against_chord,
)

# Common practice, no source: a rib every half meter is what a builder wants beside the tape.
RIB_SPACING_M = 0.5
RIB_CLEARANCE_M = 0.05
# Common practice, no source.
SPARE_SHARE = 0.10
# More than this is a slip in the unit of the pitch: 1,000 pairs on a wing of 5 m stand 5 mm apart.
MOST_PER_SIDE = 1000
# Spans add up from decimal millimeters, so a row meant to hold n pairs exactly may lack a rounding.
ROUNDING_M = 1e-9
NO_GAUGE = (
    "no nose gauge is drawn for {where}: it lies between sections that differ, and what is there was not"
    " measured"
)


@dataclass(frozen=True, kw_only=True)
class PlacedVane:
    """One vane on one wing.

    Parameters
    ----------
    side : str
        ``"left"`` or ``"right"`` wing, as the pilot sees it.
    number : int
        Running from 1 inboard; mirrored vanes share it.
    hand : str
        ``"A"`` or ``"B"``, see `slowflight.layout.hand`.
    span_position, trailing_span_position : float
        Of the forward and the trailing tip, from the aircraft's centerline, positive on both wings [m].
    chord_distance : float
        Of the forward tip from the nose along the chord line [m].
    skin_distance, trailing_skin_distance : float
        Of the forward and the trailing tip from the foremost point along the skin [m].
    toe : float
        Positive where the forward tip lies outboard of the trailing tip [rad].
    """

    side: str
    number: int
    hand: str
    span_position: float
    trailing_span_position: float
    chord_distance: float
    skin_distance: float
    trailing_skin_distance: float
    toe: float

    @property
    def label(self) -> str:
        """What is printed beside it: ``"R12"``."""
        return f"{self.side[0].upper()}{self.number}"


@dataclass(frozen=True, kw_only=True)
class Parts:
    """How many vanes to make.

    Parameters
    ----------
    left_a, left_b, right_a, right_b : int
        On each wing, of each hand.
    spare_a, spare_b : int
        A tenth more of each hand, rounded up (common practice, no source).
    mass_each : float or None
        Of one vane, where known [kg].
    """

    left_a: int
    left_b: int
    right_a: int
    right_b: int
    spare_a: int
    spare_b: int
    mass_each: float | None

    @property
    def left(self) -> int:
        """On the left wing."""
        return self.left_a + self.left_b

    @property
    def right(self) -> int:
        """On the right wing."""
        return self.right_a + self.right_b

    @property
    def fitted(self) -> int:
        """On both wings."""
        return self.left + self.right

    @property
    def to_make_a(self) -> int:
        """Of hand A with spares."""
        return self.left_a + self.right_a + self.spare_a

    @property
    def to_make_b(self) -> int:
        """Of hand B with spares."""
        return self.left_b + self.right_b + self.spare_b

    @property
    def mass_fitted(self) -> float | None:
        """Of all vanes on both wings without tape or glue [kg], where known."""
        return None if self.mass_each is None else self.mass_each * self.fitted


@dataclass(frozen=True, kw_only=True)
class LayoutPlan:
    """A row laid out on both wings.

    Parameters
    ----------
    name : str
        What the vane is called.
    row : VaneRow
        The row as it was asked for.
    span_from, span_to : float
        Where the row was asked to start and end, from the centerline [m].
    groups : int
        Pairs on each wing, or single vanes where co-rotating.
    margin : float
        Left free at each end because only whole pairs are placed [m].
    vanes : tuple of PlacedVane
        Left wing first, each wing from inboard outward.
    ribs : tuple of RowPoint
        The row's line about every half meter, at the wing's measured sections, and at the row's ends.
    gauges : tuple of NoseGauge
        The nose at the row's start, and at its end where chord or section differ; none between sections that
        differ.
    parts : Parts
        How many to make.
    cautions, warnings : tuple of str
        What to read before acting, and what is peculiar to this layout.
    """

    name: str
    row: VaneRow
    span_from: float
    span_to: float
    groups: int
    margin: float
    vanes: tuple[PlacedVane, ...]
    ribs: tuple[RowPoint, ...]
    gauges: tuple[NoseGauge, ...]
    parts: Parts
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]

    def on(self, side: str) -> tuple[PlacedVane, ...]:
        """Return the vanes of one wing, from inboard outward."""
        return tuple(vane for vane in self.vanes if vane.side == side)


@dataclass(frozen=True)
class _Spot:
    """One vane before it has a side: its forward tip, and which way that tip lies (1 outboard)."""

    span_position: float
    sense: int


def lay_out(
    *,
    wing: Wing,
    row: VaneRow,
    name: str = "vane",
    mass_each: float | None = None,
    span_from: float | None = None,
    span_to: float | None = None,
    single_toe: str = "outboard",
    where: str = "vane_row",
) -> LayoutPlan:
    """Place the vanes of one row along the span of both wings.

    Whole pairs only (single vanes where co-rotating), at the row's pitch; what is left of the length is split
    evenly between the two ends and said among the warnings. The right wing is the mirror image of the left.

    Parameters
    ----------
    wing : Wing
        The wing.
    row : VaneRow
        The row; its own `span_from` and `span_to` come before those given here.
    name : str, optional
        What the vane is called.
    mass_each : float, optional
        Of one vane [kg].
    span_from, span_to : float, optional
        Where the row starts and ends if it does not say so itself, from the centerline [m]; without either,
        half the cabin's width and the tip.
    single_toe : str, optional
        ``"outboard"`` or ``"inboard"``: where the forward tips of a co-rotating row point. A row's
        description does not say it, so what was taken is among the warnings.
    where : str, optional
        File and table, for messages.

    Returns
    -------
    LayoutPlan

    Raises
    ------
    RangeError
        Where no pair fits, vanes would overlap or cross, the row leaves the wing, or a size makes no sense.
    InputError
        Where the row stands on a moving surface, or `single_toe` is no such word.

    Notes
    -----
    Span positions are measured level, square to the centerline. Distances along the skin start at the
    foremost point of the local section and run straight aft. Neither sweep nor dihedral is known here.
    """
    _check_row(row, single_toe=single_toe, where=where)
    start, end = _limits(wing, row, span_from=span_from, span_to=span_to, where=where)
    line = RowLine(wing=wing, station=row.station, surface=row.surface)
    ribs = tuple(line.at(span) for span in _rib_stations(wing, start=start, end=end))
    check_against_chord(row, chord_m=min(point.chord for point in ribs), where=where)
    groups = _groups(row, start=start, end=end, where=where)
    margin = 0.5 * max(0.0, end - start - row.footprint - (groups - 1) * row.pitch)
    spots = list(_spots(row, groups=groups, first=start + margin + 0.5 * row.footprint, single=single_toe))
    gauges = _gauges(wing, row, ribs)
    vanes = tuple(
        _placed(row, line, spot, side=side, number=number)
        for side in SIDES
        for number, spot in enumerate(spots, start=1)
    )
    return LayoutPlan(
        name=name,
        row=row,
        span_from=start,
        span_to=end,
        groups=groups,
        margin=margin,
        vanes=vanes,
        ribs=ribs,
        gauges=gauges,
        parts=_parts(vanes, mass_each=mass_each),
        cautions=CAUTIONS,
        warnings=(
            *_warnings(wing, row, ribs, margin=margin, start=start, single_toe=single_toe),
            *_without_gauge(gauges, ribs),
        ),
    )


def _check_row(row: VaneRow, *, single_toe: str, where: str) -> None:
    if row.element != "main":
        raise InputError(
            where=f"{where} element",
            found=repr(row.element),
            needed='"main"',
            fix="no layout is drawn for a moving surface: vanes change its loads and can start flutter",
        )
    if single_toe not in ("outboard", "inboard"):
        raise InputError(where="single_toe", found=repr(single_toe), needed="outboard or inboard")
    if row.height == 0.0:
        raise RangeError(where=f"{where} height", found="0 mm", needed="a vane that can be built")
    if not SMALLEST_INCIDENCE <= row.incidence <= LARGEST_INCIDENCE:
        found = units.format_angle(row.incidence)
        raise RangeError(where=f"{where} incidence", found=found, needed="2 to 40 deg")
    what = "vane" if row.arrangement == "co-rotating" else "pair"
    if row.trailing_gap < 0.0:
        raise RangeError(
            where=f"{where} gap",
            found=f"{_mm(row.gap)} between forward tips: the vanes of a pair would cross behind",
            needed=f"at least {_mm(row.gap - row.trailing_gap)} for a pair that opens upstream",
        )
    if row.footprint >= row.pitch:
        raise RangeError(
            where=f"{where} pitch",
            found=f"{_mm(row.pitch)}, where one {what} is {_mm(row.footprint)} wide: the vanes would overlap",
            needed=f"more than {_mm(row.footprint)}",
            fix="check the units of pitch, gap and length",
        )


def _limits(
    wing: Wing, row: VaneRow, *, span_from: float | None, span_to: float | None, where: str
) -> tuple[float, float]:
    start = next((x for x in (row.span_from, span_from) if x is not None), 0.5 * wing.cabin_width)
    end = next((x for x in (row.span_to, span_to) if x is not None), wing.semi_span)
    if not (math.isfinite(start) and math.isfinite(end) and 0.0 <= start < end):
        raise RangeError(
            where=f"{where} span_from and span_to",
            found=f"{start:.3f} m and {end:.3f} m from the centerline",
            needed="0 or more, and the end outboard of the start",
        )
    if end > wing.semi_span + ROUNDING_M:
        raise RangeError(
            where=f"{where} span_to",
            found=f"{end:.3f} m from the centerline",
            needed=f"at most {wing.semi_span:.3f} m, where the wing ends",
            fix="measure from the aircraft's centerline, not from tip to tip",
        )
    return start, min(end, wing.semi_span)


def _groups(row: VaneRow, *, start: float, end: float, where: str) -> int:
    room = end - start
    what = "vane" if row.arrangement == "co-rotating" else "pair"
    if room + ROUNDING_M < row.footprint:
        raise RangeError(
            where=f"{where} span_from and span_to",
            found=f"a row {_mm(room)} long, from {start:.3f} m to {end:.3f} m",
            needed=f"room for one whole {what}, {_mm(row.footprint)}",
            fix="lengthen the row, or check the units of gap and length",
        )
    groups = math.floor((room - row.footprint + ROUNDING_M) / row.pitch) + 1
    if groups > MOST_PER_SIDE:
        raise RangeError(
            where=f"{where} pitch",
            found=f"{_mm(row.pitch)}, which puts {groups:,} {what}s on each wing",
            needed=f"at most {MOST_PER_SIDE:,}",
            fix="check the unit of the pitch",
        )
    return groups


def _spots(row: VaneRow, *, groups: int, first: float, single: str) -> Iterator[_Spot]:
    """Forward tips from inboard outward.

    A pair that opens downstream has its trailing tips wider apart than its forward tips: the inner vane's
    forward tip lies outboard of its trailing tip, the outer vane's inboard.
    """
    for group in range(groups):
        middle = first + group * row.pitch
        if row.arrangement == "co-rotating":
            sense = 1 if single == "outboard" else -1
            yield _Spot(middle + sense * 0.5 * row.footprint, sense)
        else:
            inner_sense = 1 if row.opening == "downstream" else -1
            yield _Spot(middle - 0.5 * row.gap, inner_sense)
            yield _Spot(middle + 0.5 * row.gap, -inner_sense)


def _placed(row: VaneRow, line: RowLine, spot: _Spot, *, side: str, number: int) -> PlacedVane:
    point = line.at(spot.span_position)
    toe = spot.sense * row.incidence
    return PlacedVane(
        side=side,
        number=number,
        hand=hand_of(side=side, surface=row.surface, toe=toe),
        span_position=spot.span_position,
        trailing_span_position=spot.span_position - row.length * math.sin(toe),
        chord_distance=point.chord_distance,
        skin_distance=point.skin_distance,
        trailing_skin_distance=point.skin_distance + row.length * math.cos(toe),
        toe=toe,
    )


def _rib_stations(wing: Wing, *, start: float, end: float) -> list[float]:
    measured = [known.span_station for known in wing.stations if start < known.span_station < end]
    regular = [
        number * RIB_SPACING_M
        for number in range(math.ceil(start / RIB_SPACING_M), math.floor(end / RIB_SPACING_M) + 1)
    ]
    kept = [start, *measured, end]
    kept += [span for span in regular if min(abs(span - other) for other in kept) > RIB_CLEARANCE_M]
    return sorted(kept)


def _gauges(wing: Wing, row: VaneRow, ribs: tuple[RowPoint, ...]) -> tuple[NoseGauge, ...]:
    constant = max(point.chord for point in ribs) - min(point.chord for point in ribs) < ROUNDING_M
    beside = [wing.neighbors(point.span_position)[:2] for point in (ribs[0], ribs[-1])]
    first, last = beside[0][0].span_station, beside[1][1].span_station
    along = [known.section for known in wing.stations if first <= known.span_station <= last]
    same = constant and all(alike(along[0], section) for section in along)
    found = (
        nose_gauge(wing=wing, span_position=point.span_position, station=row.station, surface=row.surface)
        for point in (ribs[:1] if same else (ribs[0], ribs[-1]))
    )
    return tuple(replace(gauge, everywhere=same) for gauge in found if gauge is not None)


def _without_gauge(gauges: tuple[NoseGauge, ...], ribs: tuple[RowPoint, ...]) -> tuple[str, ...]:
    """Say which end of the row has no gauge."""
    if any(gauge.everywhere for gauge in gauges):
        return ()
    drawn = {gauge.span_position for gauge in gauges}
    ends = (("the row's start", ribs[0]), ("the row's end", ribs[-1]))
    missing = [words for words, point in ends if point.span_position not in drawn]
    return (NO_GAUGE.format(where=" and ".join(missing)),) if missing else ()


def _parts(vanes: tuple[PlacedVane, ...], *, mass_each: float | None) -> Parts:
    if mass_each is not None and not (math.isfinite(mass_each) and mass_each > 0.0):
        raise RangeError(where="mass of one vane", found=f"{mass_each} kg", needed="a mass above zero")
    count = {
        (side, hand): sum(1 for vane in vanes if vane.side == side and vane.hand == hand)
        for side in SIDES
        for hand in HANDS
    }
    return Parts(
        left_a=count["left", "A"],
        left_b=count["left", "B"],
        right_a=count["right", "A"],
        right_b=count["right", "B"],
        spare_a=math.ceil(SPARE_SHARE * (count["left", "A"] + count["right", "A"])),
        spare_b=math.ceil(SPARE_SHARE * (count["left", "B"] + count["right", "B"])),
        mass_each=mass_each,
    )


def _warnings(
    wing: Wing,
    row: VaneRow,
    ribs: tuple[RowPoint, ...],
    *,
    margin: float,
    start: float,
    single_toe: str,
) -> tuple[str, ...]:
    warnings = []
    if margin > ROUNDING_M:
        what = "vanes" if row.arrangement == "co-rotating" else "pairs"
        warnings.append(f"only whole {what} are placed: {_mm(margin)} stay free at each end of the row")
    if row.arrangement == "co-rotating":
        warnings.append(
            f"a co-rotating row does not say which way it toes: forward tips {single_toe} were taken on both"
            " wings; near the propeller's wake pairs are the safer choice (no source)"
        )
    if start < 0.5 * wing.cabin_width - ROUNDING_M:
        warnings.append("the row starts inboard of the cabin's side: check that there is wing to bond to")
    if max(point.chord for point in ribs) - min(point.chord for point in ribs) > ROUNDING_M:
        warnings.append(
            "the chord changes along the row: the sheets take the leading edge as straight and square to the"
            " flight direction; where it is swept, set toe by the flight direction, not by the paper's edge,"
            " and measure span positions square to the centerline"
        )
    return tuple(warnings)


def _mm(value: float) -> str:
    return units.format_length(value, "mm")
