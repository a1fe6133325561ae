"""The numbers of a layout as tables of the front pages."""

from __future__ import annotations

from reportlab.platypus import Table

from slowflight import units
from slowflight.layout.datum_line import DatumLine
from slowflight.layout.ink import INCH, printable
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.upright_pages import GRID


def rib_table(plan: LayoutPlan, datum: DatumLine | None) -> Table:
    """The row's line at every rib, by both distances, and from the datum where there is one."""
    rows = [["span mm", "span in", "chord mm", "along chord mm", "in", "along SKIN mm", "in"]]
    if datum is not None:
        rows[0] += [f"ahead of {datum.name} mm", "in"]
    for point in plan.ribs:
        rows.append(
            [
                *both(point.span_position),
                f"{1000.0 * point.chord:.0f}",
                *both(point.chord_distance),
                *both(point.skin_distance),
            ]
        )
        if datum is not None:
            behind = datum.behind_nose(point.span_position)
            rows[-1] += ["-", "-"] if behind is None else both(behind - point.skin_distance)
    return Table(rows, repeatRows=1, style=GRID, hAlign="LEFT")


def vane_table(plan: LayoutPlan) -> Table:
    """Every forward tip, in millimeters and inches."""
    rows = [
        ["no.", "left", "right", "toe", "span mm", "span in", "along chord mm", "in", "along SKIN mm", "in"]
    ]
    for left, right in zip(plan.on("left"), plan.on("right"), strict=True):
        rows.append(
            [
                str(left.number),
                left.hand,
                right.hand,
                f"{units.express(left.toe, 'deg'):+.1f}",
                *both(left.span_position),
                *both(left.chord_distance),
                *both(left.skin_distance),
            ]
        )
    return Table(rows, repeatRows=1, style=GRID, hAlign="LEFT")


def both(value: float) -> tuple[str, str]:
    """A length [m] in millimeters and in inches."""
    return f"{1000.0 * value:.1f}", f"{1000.0 * value / INCH:.2f}"


def mm_in(value: float) -> str:
    """A length [m] in millimeters with inches behind."""
    millimeters, inches = both(value)
    return f"{millimeters} mm ({inches} in)"


def zone_table(plan: LayoutPlan) -> Table:
    """Every stretch of the row with its pitch."""
    rows = [["zone", "kind", "from mm", "in", "to mm", "in", "pitch mm", "in", "placed", "left out"]]
    for zone in plan.stretches:
        pitch = ("none", "-") if zone.pitch is None else both(zone.pitch)
        rows.append(
            [
                printable(zone.name),
                zone.kind,
                *both(zone.span_from),
                *both(zone.span_to),
                *pitch,
                str(zone.placed),
                str(zone.groups - zone.placed),
            ]
        )
    return Table(rows, repeatRows=1, style=GRID, hAlign="LEFT")
