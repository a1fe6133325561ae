"""What every page carries besides its drawing: check bars both ways, aircraft, date, revision."""

from __future__ import annotations

from collections.abc import Sequence

from slowflight.layout.cautions import SHORT_CAUTION
from slowflight.layout.ink import INCH, Ink
from slowflight.layout.sheets import MARGIN, SheetFrame
from slowflight.layout.strip_page import SheetTitle

# Kept free at the foot and at the right edge [mm].
FOOT_ROOM, SIDE_ROOM = 26.0, 24.0


def draw_foot(
    ink: Ink, frame: SheetFrame, title: SheetTitle, *, heading: str, lines: Sequence[str] = ()
) -> None:
    """Draw stamp, bars and words of a page; the stamp lies below whatever is drawn after.

    Parameters
    ----------
    ink : Ink
        A fresh page of the frame's size.
    frame : SheetFrame
        Its sizes [mm].
    title : SheetTitle
        Aircraft, date, revision, trial or not.
    heading : str
        What the page is.
    lines : sequence of str, optional
        Some more, where the page is wide enough.
    """
    if title.trial:
        ink.stamp(width=frame.width, height=frame.height)
    base, right = MARGIN, frame.width - MARGIN
    bars = right - 4.0 * INCH - 2.0
    ink.bar((bars, base + 12.0), length=100.0, upright=False, label="100 mm", step=10.0)
    ink.bar((bars, base + 4.5), length=4.0 * INCH, upright=False, label="4 in", step=INCH)
    ink.bar((right - 17.0, base + 22.0), length=100.0, upright=True, label="100 mm", step=10.0)
    ink.bar((right - 5.0, base + 22.0), length=4.0 * INCH, upright=True, label="4 in", step=INCH)
    words = "print at 100 %, not fitted to the page: all four bars must measure true"
    ink.text((bars, base), words, size=5.5, room=4.0 * INCH)
    room = bars - MARGIN - 5.0
    ink.text((MARGIN, base + 20.0), heading, size=11, bold=True, room=frame.width - 2.0 * MARGIN - SIDE_ROOM)
    ink.text((MARGIN, base + 15.6), title.aircraft, size=7.5, bold=True, room=room)
    said = " ".join((*lines, f"{title.made_on}, revision {title.revision}.", SHORT_CAUTION))
    ink.block((MARGIN, base + 12.2), said, size=6.5, room=room)


def draw_bearings(ink: Ink, at: tuple[float, float], *, sense: int, side: str) -> None:
    """Draw front, flow and outboard arrows; `sense` is 1 where outboard is to the right of the page."""
    x, y = at
    ink.arrow((x, y - 4.0), (x, y + 4.0), width=1.5, head=3.0)
    ink.text((x + 3.0, y - 1.0), "FRONT OF AIRCRAFT", size=7.5, bold=True)
    x += 40.0
    ink.arrow((x, y + 4.0), (x, y - 4.0), head=3.0)
    ink.text((x + 3.0, y - 1.0), "FLOW", size=7.5)
    x += 18.0
    ink.arrow((x + (0.0 if sense > 0 else 10.0), y), (x + (10.0 if sense > 0 else 0.0), y), head=3.0)
    ink.text((x + 12.0, y - 1.0), f"OUTBOARD, {side} wing", size=7.5)
