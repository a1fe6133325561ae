"""A station tape: every vane's place along the span on narrow strips to join, for each wing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from slowflight.layout.hand import SIDES, outboard_on_page
from slowflight.layout.ink import GRAY, HAIR, INCH, POINTS_PER_MM, THIN, VANE, Ink
from slowflight.layout.page_foot import FOOT_ROOM, SIDE_ROOM, draw_bearings, draw_foot
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.sheets import LONGEST_PAGE, MARGIN, ROLL, SheetFrame, page_frame
from slowflight.layout.strip_page import SheetTitle

HEIGHT, STEP, LAP = 17.0, 22.0, 10.0
TOP_ROOM = 14.0


def draw_tapes(canvas: Any, plan: LayoutPlan, *, paper: str, title: SheetTitle) -> None:
    """Draw the tapes of both wings, left first.

    Parameters
    ----------
    canvas : reportlab Canvas
        At the start of a page.
    plan : LayoutPlan
        The layout.
    paper : str
        As for `cut_into_sheets`; on a roll each wing's tape is one piece as far as a page goes.
    title : SheetTitle
        What else is printed.

    Notes
    -----
    Marks are level distances from the aircraft's centerline. The tape lies square to the centerline; along a
    swept edge it would stretch them.
    """
    frame = _frame(plan, paper)
    long = frame.width - 2.0 * MARGIN - SIDE_ROOM - LAP - 2.0
    start, end = 1000.0 * plan.span_from, 1000.0 * plan.span_to
    count = max(1, int(-(-(end - start) // long)))
    each = (end - start) / count
    pieces = [(start + number * each, start + (number + 1) * each) for number in range(count)]
    rows = max(1, int((frame.height - 2.0 * MARGIN - FOOT_ROOM - TOP_ROOM) // STEP))
    for side in SIDES:
        for first in range(0, count, rows):
            canvas.setPageSize((frame.width * POINTS_PER_MM, frame.height * POINTS_PER_MM))
            ink = Ink(canvas)
            sense = outboard_on_page(side=side, surface=plan.row.surface)
            shown = pieces[first : first + rows]
            draw_foot(
                ink,
                frame,
                title,
                heading=f"STATION TAPE, {side.upper()} WING: {first + 1} to {first + len(shown)} of {count}",
                lines=(
                    f"Level distances from the centerline, {start:.1f} to {end:.1f} mm"
                    f" ({start / INCH:.2f} to {end / INCH:.2f} in): lay it square to the centerline.",
                    "Long ticks are forward tips, at the forward edge; cut each piece, glue it over the lap"
                    " of the one before.",
                ),
            )
            draw_bearings(ink, (MARGIN + 4.0, frame.height - MARGIN - 4.0), sense=sense, side=side)
            for row, (low, high) in enumerate(shown):
                top = frame.height - MARGIN - TOP_ROOM - row * STEP
                number = first + row + 1
                _piece(ink, plan, side, (low, high), frame, sense=sense, top=top, number=number, of=count)
            canvas.showPage()


def _frame(plan: LayoutPlan, paper: str) -> SheetFrame:
    if paper != ROLL:
        return page_frame(paper, across=True)
    span = 1000.0 * (plan.span_to - plan.span_from)
    width = min(LONGEST_PAGE, max(420.0, span + 2.0 * MARGIN + SIDE_ROOM + LAP + 4.0))
    return replace(page_frame("a3", across=True), width=width, height=180.0)


def _piece(
    ink: Ink,
    plan: LayoutPlan,
    side: str,
    span: tuple[float, float],
    frame: SheetFrame,
    *,
    sense: int,
    top: float,
    number: int,
    of: int,
) -> None:
    low, high = span
    length = high - low
    inboard = MARGIN + (0.0 if sense > 0 else LAP + length)
    bottom = top - HEIGHT

    def x(place: float) -> float:
        return inboard + sense * (place - low)

    lap = x(high) + sense * LAP
    ink.line((x(low), top), (lap, top), width=THIN)
    ink.line((x(low), bottom), (lap, bottom), width=THIN)
    ink.line((lap, top), (lap, bottom), width=HAIR)
    for edge in (low, high):
        ink.line((x(edge), top), (x(edge), bottom), width=THIN, dash=(4, 2))
    for ten in range(int(-(-low // 10)), int(high // 10) + 1):
        place = 10.0 * ten
        reach = 4.0 if ten % 10 == 0 else 1.6
        ink.line((x(place), bottom), (x(place), bottom + reach), width=HAIR)
        if ten % 5 == 0 and abs(place - high) > 9.0:
            anchor = "start" if sense > 0 else "end"
            ink.text((x(place) + sense * 0.6, bottom + 2.2), f"{place:.0f}", size=5.5, anchor=anchor)
    for vane in plan.on(side):
        place = 1000.0 * vane.span_position
        if not low - 1e-9 <= place < high:
            continue
        ink.line((x(place), top), (x(place), top - 6.0), width=VANE)
        trailing = 1000.0 * vane.trailing_span_position
        if low <= trailing <= high:
            ink.line((x(trailing), top - 6.0), (x(trailing), top - 8.0), width=HAIR, gray=GRAY)
        ink.text(
            (x(place), top - 8.8), f"{vane.label} {vane.hand}", size=5.5, bold=True, anchor="middle", room=9.5
        )
    ink.text((x(low) + sense * 2.0, bottom + 5.6), f"{number} of {of}", size=5.5, gray=GRAY,
             anchor="start" if sense > 0 else "end")  # fmt: skip
