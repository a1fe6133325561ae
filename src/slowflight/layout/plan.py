"""Where every vane of a row goes, on both wings."""

from __future__ import annotations

from slowflight import units
from slowflight.layout.cautions import CAUTIONS
from slowflight.layout.covering import covering_warnings
from slowflight.layout.fit import NOTHING_SAID, Fit
from slowflight.layout.parts import count_parts
from slowflight.layout.place_vanes import place_vanes
from slowflight.layout.placed import LayoutPlan, LeftOut, PlacedVane, Stretch
from slowflight.layout.row_checks import check_row, row_limits
from slowflight.layout.row_line import RowLine, RowPoint
from slowflight.layout.row_ribs import rib_stations, row_gauges, without_gauge
from slowflight.layout.spots import ROUNDING_M
from slowflight.wing.planform import Wing
from slowflight.wing.vane_row import VaneRow, check_against_chord

__all__ = ["LayoutPlan", "PlacedVane", "lay_out"]


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
    fit: Fit = NOTHING_SAID,
) -> LayoutPlan:
    """Place the vanes of one row along the span of both wings.

    Whole pairs only (single vanes where co-rotating), at the pitch of the row or of each zone; what is left
    of a stretch is split evenly between its two ends and said among the warnings. A pair that something is in
    the way of is left out on both wings and listed. The right wing is the mirror image of the left.

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
    fit : Fit, optional
        Zones, keep-outs, moving surfaces, datum, covering and part.

    Returns
    -------
    LayoutPlan

    Raises
    ------
    RangeError
        Where no pair fits, vanes would overlap or cross, the row leaves the wing, or a size makes no sense.
    InputError
        Where a vane would stand on a moving surface or in its gap, keep-outs leave nothing, or `single_toe`
        is no such word.

    Notes
    -----
    Span positions are measured level, square to the centerline. Distances along the skin start at the
    foremost point of the local section and run straight aft. Neither sweep nor dihedral is known here.
    """
    check_row(row, single_toe=single_toe, where=where)
    start, end = row_limits(wing, row, span_from=span_from, span_to=span_to, where=where)
    line = RowLine(wing=wing, station=row.station, surface=row.surface)
    ribs = tuple(line.at(span) for span in rib_stations(wing, start=start, end=end))
    check_against_chord(row, chord_m=min(point.chord for point in ribs), where=where)
    placing = place_vanes(row, line, start=start, end=end, fit=fit, single_toe=single_toe, where=where)
    vanes, stretches, left_out = placing.vanes, placing.stretches, placing.left_out
    gauges = row_gauges(wing, row, ribs)
    return LayoutPlan(
        name=name,
        row=row,
        span_from=start,
        span_to=end,
        groups=sum(stretch.placed for stretch in stretches),
        margin=stretches[0].margin,
        vanes=vanes,
        ribs=ribs,
        gauges=gauges,
        parts=count_parts(vanes, part=fit.part, mass_each=mass_each),
        stretches=stretches,
        left_out=left_out,
        wanted=sum(stretch.groups for stretch in stretches),
        fit=fit,
        cautions=CAUTIONS,
        warnings=(
            *_warnings(wing, row, ribs, start=start, single_toe=single_toe),
            *_about_stretches(row, stretches, left_out),
            *covering_warnings(fit.covering, vanes, part=fit.part),
            *without_gauge(gauges, ribs),
        ),
    )


def _about_stretches(
    row: VaneRow, stretches: tuple[Stretch, ...], left_out: tuple[LeftOut, ...]
) -> list[str]:
    what = "vanes" if row.arrangement == "co-rotating" else "pairs"
    found = []
    only = len(stretches) == 1
    for stretch in stretches:
        place = "" if only else f"zone {stretch.name!r}: "
        if stretch.pitch is None:
            found.append(f"{place}left free as asked, {_mm(stretch.span_to - stretch.span_from)}")
            continue
        if not stretch.groups:
            found.append(
                f"{place}{_mm(stretch.span_to - stretch.span_from)} is too short for a whole"
                f" {what[:-1]}: nothing stands there"
            )
        elif stretch.margin > ROUNDING_M:
            ends = "the row" if only else "the zone"
            found.append(
                f"{place}only whole {what} are placed: {_mm(stretch.margin)} stay free at each end of {ends}"
            )
        if abs(stretch.pitch - row.pitch) > ROUNDING_M and stretch.groups:
            found.append(
                f"{place}pitch {_mm(stretch.pitch)}, where the row was described with {_mm(row.pitch)}: what"
                " that changes is not predicted here"
            )
        if stretch.kind == "propwash" and stretch.groups:
            found.append(
                f"{place}the propeller turns the flow there, opposite ways on the two wings: tuft it; pairs"
                " are safer than single vanes (no source)"
            )
        if stretch.kind == "root" and stretch.groups:
            found.append(
                f"{place}vanes at the root can make the tip stall first: leave it free unless tufts there let"
                " go first (common practice, no source)"
            )
    if left_out:
        taken = sum(each.vanes for each in left_out)
        found.append(
            f"{len(left_out)} {what} ({taken} vanes) left out on each wing, and so missing from the row that"
            " was predicted"
        )
    return found


def _warnings(
    wing: Wing, row: VaneRow, ribs: tuple[RowPoint, ...], *, start: float, single_toe: str
) -> tuple[str, ...]:
    warnings = []
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
