"""How a row is cut into printed sheets: pure geometry, in millimeters of paper from here on.

A sheet is read from outside with the front of the aircraft up the page. Its strip starts at a straight
forward edge; inboard it is cut along a match line, outboard it keeps a flap on which the next sheet is laid.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from slowflight.errors import InputError, RangeError
from slowflight.layout.hand import SIDES
from slowflight.layout.placed import LayoutPlan, PlacedVane

# Width and height upright [mm]; ISO 216 A4 and A3, and US letter of 8.5 by 11 in.
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a3": (297.0, 420.0)}
ROLL = "roll"
# A roll's width of 24 in is common; no drawing program that we know of takes pages beyond 5.08 m
# (14,400 points: ISO 32000-1, annex C).
ROLL_WIDTH, LONGEST_PAGE, LEAST_HEIGHT = 609.6, 5000.0, 215.0

# What common printers leave white, and the room for words around the strip [mm].
MARGIN = 10.0
HEAD, FOOT = 6.0, 20.0
LEAD, FLAP, COLUMN = 8.0, 12.0, 27.0
# Behind the trailing tips for the numbers, and ahead of the row where the strip does not start at the nose.
BEHIND, AHEAD = 14.0, 50.0
# A tape is read to round numbers.
OFFSET_STEP = 10.0
# Between a match line and a vane, where there is room for it [mm].
CLEAR_OF_VANE = 5.0


@dataclass(frozen=True, kw_only=True)
class SheetFrame:
    """Sizes shared by all sheets [mm].

    Parameters
    ----------
    paper : str
        ``"a4"``, ``"letter"``, ``"a3"`` or ``"roll"``.
    width, height : float
        Of the page as it is read.
    depth : float
        Of the strip, from its forward edge aft.
    span_room : float
        Of the strip between its two match lines, at most.
    """

    paper: str
    width: float
    height: float
    depth: float
    span_room: float


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One sheet of one wing.

    Parameters
    ----------
    side : str
        ``"left"`` or ``"right"``.
    number, of : int
        Running from 1 inboard, and how many the wing has.
    span_from, span_to : float
        Its two match lines, from the aircraft's centerline [mm].
    offset : float
        Of its forward edge behind the foremost point, along the skin [mm].
    vanes : tuple of PlacedVane
        Those that show on it, in full.
    """

    side: str
    number: int
    of: int
    span_from: float
    span_to: float
    offset: float
    vanes: tuple[PlacedVane, ...]


def cut_into_sheets(plan: LayoutPlan, *, paper: str) -> tuple[SheetFrame, tuple[Sheet, ...]]:
    """Cut a layout into sheets, all of the left wing first.

    The paper starts at the foremost line as long as the whole row fits: on pages laid across, or else on
    upright ones. Where neither is deep enough, each strip starts at a round distance ahead of its own vanes,
    which is printed on it; pages again lie across unless the vanes are too long for that.

    Match lines lie between vanes, so that none is cut, and sheets of one wing are about equally long.

    Parameters
    ----------
    plan : LayoutPlan
        The layout.
    paper : str
        ``"a4"``, ``"letter"``, ``"a3"``, or ``"roll"``: one page for each wing, as long as it takes.

    Returns
    -------
    tuple of (SheetFrame, tuple of Sheet)

    Raises
    ------
    InputError
        Where the paper is no such word, or cannot hold vanes of that length.
    """
    if paper == ROLL:
        frame = _roll_frame(plan)
        from_nose = 1000.0 * max(v.trailing_skin_distance for v in plan.vanes) + BEHIND <= frame.depth
        return frame, _sheets(plan, frame=frame, from_nose=from_nose)
    across, upright = page_frame(paper, across=True), page_frame(paper, across=False)
    reach = 1000.0 * max(vane.trailing_skin_distance for vane in plan.vanes) + BEHIND
    for frame in (across, upright):
        if reach <= frame.depth:
            return frame, _sheets(plan, frame=frame, from_nose=True)
    sheets = _sheets(plan, frame=across, from_nose=False)
    if all(_behind(sheet) - sheet.offset <= across.depth for sheet in sheets):
        return across, sheets
    return upright, _sheets(plan, frame=upright, from_nose=False)


def page_frame(paper: str, *, across: bool) -> SheetFrame:
    """Return the frame of a page that lies across or stands upright; errors as for `cut_into_sheets`."""
    if paper not in PAPERS:
        raise InputError(where="paper", found=repr(paper), needed=f"{', '.join(PAPERS)} or {ROLL}")
    width, height = PAPERS[paper][::-1] if across else PAPERS[paper]
    return _frame(paper, width=width, height=height)


def _roll_frame(plan: LayoutPlan) -> SheetFrame:
    """One long page for each wing, as high as the row needs."""
    reach = 1000.0 * max(vane.trailing_skin_distance for vane in plan.vanes) + BEHIND
    height = min(max(reach + 2.0 * MARGIN + HEAD + FOOT, LEAST_HEIGHT), ROLL_WIDTH)
    span = 1000.0 * (plan.span_to - plan.span_from)
    width = max(span + 2.0 * MARGIN + LEAD + FLAP + COLUMN, 2.0 * LEAST_HEIGHT)
    return _frame(ROLL, width=min(width, LONGEST_PAGE), height=height)


def _frame(paper: str, *, width: float, height: float) -> SheetFrame:
    return SheetFrame(
        paper=paper,
        width=width,
        height=height,
        depth=height - 2.0 * MARGIN - HEAD - FOOT,
        span_room=width - 2.0 * MARGIN - LEAD - FLAP - COLUMN,
    )


def match_lines(plan: LayoutPlan, *, span_room: float) -> list[float]:
    """Where the strip of one wing is cut, both ends of the row included [mm from the centerline].

    Parameters
    ----------
    plan : LayoutPlan
        The layout.
    span_room : float
        Between two neighboring lines, at most [mm].

    Raises
    ------
    RangeError
        Where a vane, or touching vanes, are wider than the room.
    """
    start, end = 1000.0 * plan.span_from, 1000.0 * plan.span_to
    free = _free_stretches(plan, start=start, end=end)
    fewest = _greedy_lines(free, start=start, end=end, room=span_room)
    if fewest is None:
        raise RangeError(
            where="length of a vane",
            found=f"{1000.0 * plan.row.length:.1f} mm, with no place to cut the paper beside it",
            needed=f"vanes that a page {span_room:.0f} mm wide can hold",
        )
    even = (end - start) / (len(fewest) - 1)
    for share in (0.02, 0.1, 0.25, 0.5, 0.75):
        # The last sheet would be a sliver: the same number of sheets, as even as the vanes allow.
        lines = _greedy_lines(free, start=start, end=end, room=even + share * (span_room - even))
        if lines is not None and len(lines) == len(fewest):
            return lines
    return fewest


def row_polyline(plan: LayoutPlan) -> tuple[list[float], list[float]]:
    """The row's line through ribs and forward tips: span positions and distances along the skin [mm]."""
    points = {point.span_position: point.skin_distance for point in plan.ribs}
    points |= {vane.span_position: vane.skin_distance for vane in plan.vanes}
    spans = sorted(points)
    return [1000.0 * span for span in spans], [1000.0 * points[span] for span in spans]


def _free_stretches(plan: LayoutPlan, *, start: float, end: float) -> list[tuple[float, float]]:
    """Where no vane is, along the span [mm]."""
    extents = sorted(
        sorted((1000.0 * vane.span_position, 1000.0 * vane.trailing_span_position))
        for vane in plan.on(SIDES[0])
    )
    lows = [start, *(high for _, high in extents)]
    highs = [*(low for low, _ in extents), end]
    return [(low, high) for low, high in zip(lows, highs, strict=True) if high >= low - 1e-9]


def _greedy_lines(
    free: list[tuple[float, float]], *, start: float, end: float, room: float
) -> list[float] | None:
    """Cut as far out as the room allows each time, clear of vanes, at a whole millimeter where possible."""
    lines = [start]
    while end - lines[-1] > room:
        best = lines[-1]
        for low, high in free:
            clear = min(CLEAR_OF_VANE, 0.5 * (high - low))
            at = min(lines[-1] + room, high - clear)
            if at >= low + clear - 1e-9:
                best = max(best, math.floor(at) if math.floor(at) >= low + clear else at)
        if best <= lines[-1]:
            return None
        lines.append(float(best))
    return [*lines, end]


def _sheets(plan: LayoutPlan, *, frame: SheetFrame, from_nose: bool) -> tuple[Sheet, ...]:
    edges = match_lines(plan, span_room=frame.span_room)
    sheets = []
    for side in SIDES:
        for number, (low, high) in enumerate(itertools.pairwise(edges), start=1):
            sheets.append(
                Sheet(
                    side=side,
                    number=number,
                    of=len(edges) - 1,
                    span_from=low,
                    span_to=high,
                    offset=0.0 if from_nose else _offset(plan, low=low, high=high),
                    vanes=tuple(vane for vane in plan.on(side) if _shows(vane, low=low, high=high)),
                )
            )
    return tuple(sheets)


def _shows(vane: PlacedVane, *, low: float, high: float) -> bool:
    """Whether the whole vane is printed here: some of it lies between the match lines."""
    ends = sorted((1000.0 * vane.span_position, 1000.0 * vane.trailing_span_position))
    return ends[1] > low and ends[0] < high


def _behind(sheet: Sheet) -> float:
    """How far aft the sheet has to reach [mm along the skin]."""
    return max((1000.0 * vane.trailing_skin_distance for vane in sheet.vanes), default=0.0) + BEHIND


def _offset(plan: LayoutPlan, *, low: float, high: float) -> float:
    spans, distances = row_polyline(plan)
    foremost = min(float(np.interp(span, spans, distances)) for span in (low, high))
    return max(0.0, OFFSET_STEP * math.floor((foremost - AHEAD) / OFFSET_STEP))
