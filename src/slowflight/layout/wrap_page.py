"""The wrap's cheeks and strips on paper, at exact size, on whichever way of the page holds them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from slowflight.layout.hand import SIDES, outboard_on_page
from slowflight.layout.hand_key import draw_vane
from slowflight.layout.ink import GRAY, HAIR, INCH, POINTS_PER_MM, THIN, Ink
from slowflight.layout.page_foot import FOOT_ROOM, SIDE_ROOM, draw_bearings, draw_foot
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.sheets import MARGIN, ROLL, SheetFrame, page_frame
from slowflight.layout.strip_page import SheetTitle
from slowflight.layout.wrap import NoseWrap, at_skin_distance

BORDER, TAB = 14.0, 10.0
LEAST_LAP = 15.0
CHEEK_LINES = (
    "Two of these, in stiff card. Cut along the outline and keep the part OUTSIDE it, 14 mm of card all"
    " round; glue the strip's tabs to them. Pushed on until both sides sit, the wrap hangs at the row's"
    " station by itself. If it rocks or shows daylight the wing is not the section that was drawn: measure"
    " again."
)


def draw_wraps(
    canvas: Any, plan: LayoutPlan, wraps: tuple[NoseWrap, ...], *, paper: str, title: SheetTitle
) -> None:
    """Draw cheek and strips of every wrap, each on a page of its own.

    Parameters
    ----------
    canvas : reportlab Canvas
        At the start of a page.
    plan : LayoutPlan
        The layout.
    wraps : tuple of NoseWrap
    paper : str
        As for `cut_into_sheets`.
    title : SheetTitle
        What else is printed.

    Notes
    -----
    What the paper is too small for is left out; `wraps_left_out` tells.
    """
    for wrap in wraps:
        frame = _cheek_frame(wrap, paper, lower=plan.row.surface == "lower")
        if frame is None:
            continue
        _page(canvas, frame)
        _cheek(Ink(canvas), plan, wrap, frame, title)
        canvas.showPage()
        for side in SIDES:
            strip_frame, lap = _strip_frame(wrap, paper)
            if strip_frame is None:
                break
            _page(canvas, strip_frame)
            _strip(Ink(canvas), plan, wrap, strip_frame, title, side=side, lap=lap)
            canvas.showPage()


def wraps_left_out(plan: LayoutPlan, wraps: tuple[NoseWrap, ...], *, paper: str) -> bool:
    """Whether the paper is too small for any cheek or strip."""
    lower = plan.row.surface == "lower"
    return any(
        _cheek_frame(w, paper, lower=lower) is None or _strip_frame(w, paper)[0] is None for w in wraps
    )


def _page(canvas: Any, frame: SheetFrame) -> None:
    canvas.setPageSize((frame.width * POINTS_PER_MM, frame.height * POINTS_PER_MM))


def _frames(paper: str) -> list[SheetFrame]:
    if paper == ROLL:
        # A piece of the roll cut to twice the wing's nose, as large as any cheek.
        return [replace(page_frame("a3", across=True), width=841.0, height=594.0)]
    return [page_frame(paper, across=False), page_frame(paper, across=True)]


def _size(wrap: NoseWrap) -> tuple[float, float]:
    outline = 1000.0 * wrap.gauge.outline
    return float(outline[:, 0].max()), float(outline[:, 1].max() - outline[:, 1].min())


def _cheek_frame(wrap: NoseWrap, paper: str, *, lower: bool) -> SheetFrame | None:
    width, height = _size(wrap)
    for frame in _frames(paper):
        room = frame.height - 2.0 * MARGIN - FOOT_ROOM
        # The bars stand inside the wing's outline, below its upper side, where the page is high enough.
        inside = not lower and room - BORDER > 112.0
        beside = 0.0 if inside else SIDE_ROOM
        if width + BORDER <= frame.width - 2.0 * MARGIN - beside and height + BORDER <= room:
            return frame
    return None


def _cheek(ink: Ink, plan: LayoutPlan, wrap: NoseWrap, frame: SheetFrame, title: SheetTitle) -> None:
    gauge = wrap.gauge
    span, chord = 1000.0 * gauge.span_position, 1000.0 * gauge.chord
    place = (
        "anywhere along the row, either wing"
        if gauge.everywhere
        else f"{span:.1f} mm ({span / INCH:.2f} in) from the centerline, either wing"
    )
    heading = f"WRAP, cheek: {place}; chord {chord:.0f} mm"
    draw_foot(ink, frame, title, heading=heading)
    top = 1000.0 * float(gauge.outline[:, 1].max())
    left, high = MARGIN + BORDER, frame.height - MARGIN - BORDER - top

    def page(x: float, y: float) -> tuple[float, float]:
        return left + 1000.0 * x, high + 1000.0 * y

    ink.polyline([page(x, y) for x, y in gauge.outline], width=THIN)
    marks = (
        (0.0, "foremost line"),
        (wrap.forward, f"FORWARD TIPS, {1000.0 * wrap.forward:.1f} mm along the skin"),
        (wrap.trailing, f"trailing tips, {1000.0 * wrap.trailing:.1f} mm"),
    )
    for distance, words in marks:
        (x, y), out = at_skin_distance(gauge, distance)
        start = page(x, y)
        ink.line(start, (start[0] + 8.0 * out[0], start[1] + 8.0 * out[1]), width=HAIR)
        inner = (start[0] - 3.0 * out[0], start[1] - 3.0 * out[1])
        if distance == 0.0:
            ink.text((inner[0] + 1.0, inner[1] + 1.2), words, size=6.5)
        else:
            # On the card, beside the end of the tick.
            end = (start[0] + 8.5 * out[0], start[1] + 8.5 * out[1])
            anchor = "end" if end[0] - MARGIN > 62.0 else "start"
            ink.text((end[0], end[1] - (0.0 if out[1] > 0.0 else 2.0)), words, size=6.5, anchor=anchor)
    x, y = page(0.02, 0.0)
    ink.line(page(0.0, 0.0), page(0.055, 0.0), width=HAIR, gray=GRAY, dash=(6, 2, 1, 2))
    ink.text((x - 8.0, y - 3.0), "chord line", size=6.0, gray=GRAY)
    ink.arrow((x + 2.0, y + 10.0), (x + 14.0, y + 10.0), head=3.0)
    ink.text((x + 2.0, y + 12.0), "FLOW", size=7.0)
    # Inside the outline is waste, with room for words.
    lower = plan.row.surface == "lower"
    room = min(1000.0 * float(gauge.outline[-1, 0]) - 62.0, frame.width - 2.0 * MARGIN - 90.0)
    ink.block(page(0.058, -0.012 if not lower else 0.03), CHEEK_LINES, size=7.5, room=max(room, 60.0))


def _strip_frame(wrap: NoseWrap, paper: str) -> tuple[SheetFrame | None, float]:
    """The page for a strip, and how much of its lap that leaves room for [mm]."""
    width = 1000.0 * (wrap.span_to - wrap.span_from) + 2.0 * TAB
    for frame in _frames(paper):
        room = frame.height - 2.0 * MARGIN - FOOT_ROOM - 16.0
        lap = min(1000.0 * wrap.lap, room - 1000.0 * wrap.reach)
        if lap >= LEAST_LAP and width <= frame.width - 2.0 * MARGIN - SIDE_ROOM:
            return frame, lap
    return None, 0.0


def _strip(
    ink: Ink,
    plan: LayoutPlan,
    wrap: NoseWrap,
    frame: SheetFrame,
    title: SheetTitle,
    *,
    side: str,
    lap: float,
) -> None:
    sense = outboard_on_page(side=side, surface=plan.row.surface)
    width, reach = 1000.0 * (wrap.span_to - wrap.span_from), 1000.0 * wrap.reach
    left = MARGIN + TAB
    inboard = left if sense > 0 else left + width
    zero = frame.height - MARGIN - 10.0 - lap

    def page(span: float, skin: float) -> tuple[float, float]:
        return inboard + sense * 1000.0 * (span - wrap.span_from), zero - 1000.0 * skin

    everywhere = wrap.gauge.everywhere
    where = (
        "Use it anywhere along the row: step it from pair to pair, the last vane is the first of the next"
        if everywhere
        else f"For {1000.0 * wrap.span_from:.0f} to {1000.0 * wrap.span_to:.0f} mm from the centerline only"
    )
    draw_foot(
        ink,
        frame,
        title,
        heading=f"WRAP, strip: {side.upper()} WING",
    )
    words = (
        f"The foremost line lies {lap:.0f} mm behind the strip's forward edge. Cut the side tabs at every"
        f" tick, fold them and glue them to the cheeks; cut a window round each vane. {where}."
    )
    ink.block((left + 6.0, zero - 12.0), words, size=7.5, room=width - 12.0)
    draw_bearings(ink, (MARGIN + 4.0, frame.height - MARGIN - 4.0), sense=sense, side=side)
    corners = [
        (left, zero + lap),
        (left + width, zero + lap),
        (left + width, zero - reach),
        (left, zero - reach),
    ]
    ink.polyline([*corners, corners[0]], width=THIN)
    for x, way in ((left, -1.0), (left + width, 1.0)):
        ink.line((x + way * TAB, zero + lap), (x + way * TAB, zero - reach), width=HAIR)
        count = int((lap + reach) // 8.0)
        for number in range(count + 1):
            y = zero + lap - 8.0 * number
            ink.line((x, y), (x + way * TAB, y), width=HAIR, gray=GRAY)
    ink.line((left, zero), (left + width, zero), width=HAIR, dash=(6, 2, 1, 2))
    ink.text((left + 2.0, zero + 1.2), "foremost line", size=6.5)
    row = [page(vane.span_position, vane.skin_distance) for vane in wrap.vanes]
    ink.polyline(row, width=HAIR, gray=GRAY, dash=(6, 2, 1, 2))
    mine = {vane.number: vane for vane in plan.on(side)}
    for shown in wrap.vanes:
        vane = mine[shown.number]
        trailing = page(vane.trailing_span_position, vane.trailing_skin_distance)
        draw_vane(ink, forward=page(vane.span_position, vane.skin_distance), trailing=trailing)
        words = vane.hand if everywhere else f"{vane.label} {vane.hand}"
        ink.text((trailing[0], trailing[1] - 3.6), words, size=8.0, bold=True, anchor="middle")
