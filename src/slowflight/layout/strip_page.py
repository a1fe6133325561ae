"""One sheet of the template on one page."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from slowflight import units
from slowflight.layout.cautions import SHORTEST_CAUTION
from slowflight.layout.hand import outboard_on_page
from slowflight.layout.hand_key import draw_hand_key, draw_vane
from slowflight.layout.ink import BLACK, GRAY, HAIR, INCH, THIN, Ink
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.sheets import COLUMN, FLAP, HEAD, LEAD, MARGIN, Sheet, SheetFrame, row_polyline

REGISTER_STEP = 50.0
# Room along the span that a number needs when written along it, or across it [mm].
NUMBER_ALONG, NUMBER_ACROSS = 9.5, 2.6


@dataclass(frozen=True, kw_only=True)
class SheetTitle:
    """What identifies a sheet besides its place.

    Parameters
    ----------
    aircraft : str
        Its name.
    revision : str
        Of the layout.
    made_on : str
        The date.
    trial : bool
        Whether the sheet is stamped.
    """

    aircraft: str
    revision: str
    made_on: str
    trial: bool


@dataclass(frozen=True)
class Strip:
    """Where the strip lies on the page: from span and skin distance [mm] to the page [mm]."""

    sheet: Sheet
    frame: SheetFrame
    sense: int

    @property
    def top(self) -> float:
        """The forward edge."""
        return self.frame.height - MARGIN - HEAD

    @property
    def bottom(self) -> float:
        """The aft edge."""
        return self.top - self.frame.depth

    @property
    def inboard(self) -> float:
        """The inboard match line."""
        clear = MARGIN + LEAD
        return clear if self.sense > 0 else self.frame.width - clear

    @property
    def outboard(self) -> float:
        """The outboard match line."""
        return self.x(self.sheet.span_to)

    def x(self, span: float) -> float:
        """Across the page, of a span position."""
        return self.inboard + self.sense * (span - self.sheet.span_from)

    def y(self, distance: float) -> float:
        """Up the page, of a distance along the skin."""
        return self.top - (distance - self.sheet.offset)


def draw_sheet(ink: Ink, plan: LayoutPlan, sheet: Sheet, frame: SheetFrame, title: SheetTitle) -> None:
    """Draw one sheet of the template.

    Parameters
    ----------
    ink : Ink
        A fresh page of the frame's size.
    plan : LayoutPlan
        The layout.
    sheet : Sheet
        Which part of it.
    frame : SheetFrame
        Its sizes.
    title : SheetTitle
        What else is printed on it.
    """
    sense = outboard_on_page(side=sheet.side, surface=plan.row.surface)
    strip = Strip(sheet, frame, sense)
    if title.trial:
        ink.stamp(width=frame.width, height=frame.height)
    _forward_edge(ink, strip)
    _bearings(ink, strip, plan)
    _match_lines(ink, strip)
    _rib_checks(ink, strip, plan)
    _row_line(ink, strip, plan)
    _vanes(ink, strip, plan)
    _column(ink, strip)
    _foot(ink, strip, plan, title)


def _forward_edge(ink: Ink, strip: Strip) -> None:
    sheet, sense = strip.sheet, strip.sense
    flap = strip.outboard + sense * FLAP
    ink.line((strip.inboard, strip.top), (flap, strip.top), width=THIN)
    if sheet.offset == 0.0:
        words = "Cut along this edge. It lies on the FOREMOST LINE, where a square held to the chord line"
        words += " touches the leading edge."
    else:
        words = f"Cut along this edge. It lies {sheet.offset:.0f} mm ({sheet.offset / INCH:.2f} in) along the"
        words += " skin BEHIND THE FOREMOST LINE (where a square touches the leading edge)."
    anchor = "start" if sense > 0 else "end"
    at = (strip.inboard, strip.top + 1.8)
    room = strip.frame.width - 2.0 * MARGIN - LEAD
    ink.text(at, words, size=7.5, bold=sheet.offset > 0.0, anchor=anchor, room=room)
    _span_scale(ink, strip)


def _bearings(ink: Ink, strip: Strip, plan: LayoutPlan) -> None:
    """Front, flow and outboard, where the scissors leave them: ahead of the row, or else behind it."""
    low, high = 1000.0 * plan.span_from, 1000.0 * plan.span_to
    spans, distances = row_polyline(plan)
    here = np.clip([strip.sheet.span_from, strip.sheet.span_to], low, high)
    lines = np.interp(here, spans, distances)
    y = strip.top - 13.0
    if strip.y(float(np.min(lines))) > y - 12.0:
        y = strip.y(float(np.max(lines)) + 1000.0 * plan.row.length) - 16.0
    sense, x = strip.sense, strip.inboard + strip.sense * 14.0
    ink.arrow((x, y - 6.0), (x, y + 2.0), width=1.5, head=3.5)
    anchor = "start" if sense > 0 else "end"
    ink.text((x + sense * 3.0, y - 1.0), "FRONT OF", size=8, bold=True, anchor=anchor)
    ink.text((x + sense * 3.0, y - 4.5), "AIRCRAFT", size=8, bold=True, anchor=anchor)
    x += sense * 30.0
    ink.arrow((x, y + 2.0), (x, y - 6.0), head=3.0)
    ink.text((x + sense * 3.0, y - 3.0), "FLOW", size=8, anchor=anchor)
    x += sense * 18.0
    ink.arrow((x, y - 2.0), (x + sense * 10.0, y - 2.0), head=3.0)
    ink.text((x + sense * 12.0, y - 3.0), f"OUTBOARD, {strip.sheet.side} wing", size=8, anchor=anchor)


def _span_scale(ink: Ink, strip: Strip) -> None:
    sheet = strip.sheet
    for ten in range(int(-(-sheet.span_from // 10)), int(sheet.span_to // 10) + 1):
        span = 10.0 * ten
        reach = 5.0 if ten % 10 == 0 else 3.5 if ten % 5 == 0 else 2.0
        ink.line((strip.x(span), strip.top), (strip.x(span), strip.top - reach), width=HAIR)
        if ten % 5 == 0 and sheet.span_to - span > 8.0:
            words = f"{span:.0f}" + (" mm from centerline" if ten % 10 == 0 and _first(sheet, ten) else "")
            at = (strip.x(span) + strip.sense * 0.7, strip.top - 5.0)
            ink.text(at, words, size=6, anchor="start" if strip.sense > 0 else "end")


def _first(sheet: Sheet, ten: int) -> bool:
    """Whether this hundred is the sheet's first."""
    return 10.0 * ten - sheet.span_from < 100.0


def _match_lines(ink: Ink, strip: Strip) -> None:
    sheet, sense = strip.sheet, strip.sense
    for x, span, first, last in (
        (strip.inboard, sheet.span_from, sheet.number == 1, False),
        (strip.outboard, sheet.span_to, False, sheet.number == sheet.of),
    ):
        # The cut runs through the foot as well.
        aft = MARGIN if x == strip.inboard else strip.bottom
        ink.line((x, strip.top), (x, aft), width=THIN, dash=(4, 2))
        beyond = -sense if x == strip.inboard else sense
        where = f"{span:.1f} mm ({span / INCH:.2f} in) from the centerline"
        if first:
            words = f"row starts: {where}"
        elif last:
            words = f"row ends: {where}"
        elif x == strip.inboard:
            words = f"cut here and lay on sheet {sheet.number - 1}: {where}"
        else:
            words = f"lay the cut edge of sheet {sheet.number + 1} on this line: {where}"
        # On the paper's outer side of the line, clear of the crosses.
        base = x + beyond * 6.6 + (0.0 if beyond < 0 else 2.0)
        ink.text((base, 0.5 * (strip.top + strip.bottom)), words, size=6.5, anchor="middle", turn=90)
        for distance in _register_marks(strip):
            y = strip.y(distance)
            ink.line((x - 4.0, y), (x + 4.0, y), width=HAIR)
            ink.circle((x, y), radius=2.0)
            inner = x - beyond * 4.6
            ink.text(
                (inner, y - 0.8),
                f"{distance:.0f}",
                size=6,
                gray=GRAY,
                anchor="end" if beyond > 0 else "start",
            )


def _register_marks(strip: Strip) -> list[float]:
    low, high = strip.sheet.offset, strip.sheet.offset + strip.frame.depth
    marks = np.arange(0.0, high, REGISTER_STEP)
    return [float(mark) for mark in marks if low + 8.0 < mark < high - 4.0]


def _rib_checks(ink: Ink, strip: Strip, plan: LayoutPlan) -> None:
    sheet = strip.sheet
    for point in plan.ribs:
        span, distance = 1000.0 * point.span_position, 1000.0 * point.skin_distance
        if not sheet.span_from - 1e-6 <= span <= sheet.span_to + 1e-6:
            continue
        x = strip.x(span)
        ink.line((x, strip.top), (x, strip.y(distance) - 4.0), width=HAIR, gray=GRAY, dash=(1, 1.5))
        words = f"check at {span:.0f} mm: row {distance:.1f} mm ({distance / INCH:.2f} in) along the skin"
        room = distance - sheet.offset - 30.0
        if room > 35.0:
            # Clear of the crosses and their numbers.
            inner, outer = sorted((strip.inboard, strip.outboard))
            at = (min(max(x - 0.8, inner + 13.0), outer - 11.0), strip.y(distance) + 4.0)
            ink.text(at, words, size=6, turn=90, gray=GRAY, room=room)


def _row_line(ink: Ink, strip: Strip, plan: LayoutPlan) -> None:
    spans, distances = row_polyline(plan)
    low, high = strip.sheet.span_from, strip.sheet.span_to
    # Every bend of the line too: the chord may change its slope at a measured section.
    bends = [1000.0 * point.span_position for point in plan.ribs]
    along = [low, *(span for span in bends if low < span < high), high]
    points = [(strip.x(span), strip.y(float(np.interp(span, spans, distances)))) for span in along]
    ink.polyline(points, width=HAIR, gray=GRAY, dash=(6, 2, 1, 2))


def _vanes(ink: Ink, strip: Strip, plan: LayoutPlan) -> None:
    vanes = strip.sheet.vanes
    tips = sorted(1000.0 * vane.trailing_span_position for vane in plan.on(strip.sheet.side))
    closest = min((b - a for a, b in itertools.pairwise(tips)), default=NUMBER_ALONG)
    for vane in vanes:
        forward = (strip.x(1000.0 * vane.span_position), strip.y(1000.0 * vane.skin_distance))
        trailing = (
            strip.x(1000.0 * vane.trailing_span_position),
            strip.y(1000.0 * vane.trailing_skin_distance),
        )
        draw_vane(ink, forward=forward, trailing=trailing)
        words = f"{vane.label} {vane.hand}"
        x, y = trailing
        if closest >= NUMBER_ALONG:
            ink.text((x, y - 3.4), words, size=7.5, bold=True, anchor="middle")
        else:
            size = 6.5 if closest >= NUMBER_ACROSS else 4.0
            ink.text((x + 0.12 * size, y - 1.5), words, size=size, anchor="end", turn=90)


def _column(ink: Ink, strip: Strip) -> None:
    """Check bars along the chord and the drawing of the hands, beyond the flap."""
    inner = strip.frame.width - MARGIN - COLUMN if strip.sense > 0 else MARGIN
    outer = inner + COLUMN
    ink.bar((inner + 6.0, strip.top - 102.5), length=100.0, upright=True, label="100 mm", step=10.0)
    ink.bar((inner + 18.0, strip.top - 102.5), length=4.0 * INCH, upright=True, label="4 in", step=INCH)
    ink.text((inner, strip.top - 106.5), "check bars, along the chord", size=5.5, room=COLUMN)
    draw_hand_key(ink, (inner, strip.top - 150.0), width=outer - inner, height=36.0)


def _foot(ink: Ink, strip: Strip, plan: LayoutPlan, title: SheetTitle) -> None:
    frame, sheet, row = strip.frame, strip.sheet, plan.row
    base, start = MARGIN, MARGIN + LEAD + 1.0
    bars = frame.width - start - 4.0 * INCH - 2.0
    ink.bar((bars, base + 12.0), length=100.0, upright=False, label="100 mm", step=10.0)
    ink.bar((bars, base + 4.5), length=4.0 * INCH, upright=False, label="4 in", step=INCH)
    words = (
        "check bars, along the span; print at 100 %, not fitted to the page: all four bars must measure true"
    )
    ink.text((bars, base), words, size=5.5, room=4.0 * INCH)
    room = bars - start - 4.0
    view = "UPPER surface, seen from above" if row.surface == "upper" else "LOWER surface, seen from below"
    first, last = (sheet.vanes[0].label, sheet.vanes[-1].label) if sheet.vanes else ("", "")
    vanes = f"vanes {first} to {last}" if sheet.vanes else "no vane on this sheet"
    lines = (
        (f"{sheet.side.upper()} WING    sheet {sheet.number} of {sheet.of}    {view}", 11.0, True),
        (title.aircraft, 8.5, True),
        (
            f"{plan.name}: forward tips at {units.format_fraction(row.station)} of chord, toe"
            f" {units.format_angle(row.incidence)}; {vanes}",
            7.5,
            False,
        ),
        (
            f"span {sheet.span_from:.1f} to {sheet.span_to:.1f} mm ({sheet.span_from / INCH:.2f} to"
            f" {sheet.span_to / INCH:.2f} in) from the centerline",
            7.5,
            False,
        ),
        (
            f"{title.made_on}, revision {title.revision}; {SHORTEST_CAUTION}",
            7.0,
            False,
        ),
    )
    for number, (words, size, bold) in enumerate(lines):
        at = (start, base + 15.5 - 3.9 * number)
        ink.text(at, words, size=size, bold=bold, gray=BLACK, room=room)
