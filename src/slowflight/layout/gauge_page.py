"""The nose gauge on one upright page."""

from __future__ import annotations

from collections.abc import Callable

from slowflight.layout.cautions import SHORTEST_CAUTION
from slowflight.layout.ink import GRAY, HAIR, INCH, THIN, Ink
from slowflight.layout.nose_gauge import NoseGauge
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.sheets import MARGIN, SheetFrame
from slowflight.layout.strip_page import SheetTitle
from slowflight.layout.wrap import at_skin_distance, outline_lengths

# Of card left of the nose and above the outline [mm].
BORDER = 20.0
LINES = (
    "Glue to stiff card and cut along the outline; keep the part OUTSIDE it.",
    "Push it over the leading edge, held straight fore and aft, at the place named",
    "above, until it sits on both sides. If it rocks or shows daylight, the wing is not",
    "the section that was drawn: measure it again before anything is marked.",
    "Turn the card over for the other wing. Print at 100 %.",
    "Daylight at the short ticks, by feeler gauge, corrects the section: slowflight measure DIR gauge FILE.",
)
FEELER_STEP = 0.010


def draw_gauge(ink: Ink, plan: LayoutPlan, gauge: NoseGauge, frame: SheetFrame, title: SheetTitle) -> None:
    """Draw a nose gauge at exact size.

    Parameters
    ----------
    ink : Ink
        A fresh page of the frame's size.
    plan : LayoutPlan
        The layout.
    gauge : NoseGauge
        The outline.
    frame : SheetFrame
        An upright page.
    title : SheetTitle
        What else is printed on it.
    """
    if title.trial:
        ink.stamp(width=frame.width, height=frame.height)
    top = max(float(gauge.outline[:, 1].max()), 0.0) * 1000.0
    left, high = MARGIN + BORDER, frame.height - MARGIN - BORDER - top

    def page(x: float, y: float) -> tuple[float, float]:
        return left + 1000.0 * x, high + 1000.0 * y

    ink.polyline([page(x, y) for x, y in gauge.outline], width=THIN)
    ink.line(page(0.0, 0.0), page(0.055, 0.0), width=HAIR, gray=GRAY, dash=(6, 2, 1, 2))
    ink.text(page(0.012, 0.0015), "chord line", size=6.5, gray=GRAY)
    x, y = page(0.02, 0.0)
    ink.arrow((x, y + 6.0), (x + 14.0, y + 6.0), head=3.0)
    ink.text((x, y + 8.0), "FLOW", size=7.0)
    x, y = page(*gauge.foremost)
    ink.line((x - 12.0, y), (x, y), width=HAIR)
    ink.text((x - 12.0, y + 1.2), "foremost", size=6.5)
    ink.text((x - 12.0, y - 3.0), "line", size=6.5)
    distance = 1000.0 * plan.ribs[0].skin_distance
    for point in plan.ribs:
        if abs(point.span_position - gauge.span_position) < 1e-9:
            distance = 1000.0 * point.skin_distance
    _feeler_marks(ink, gauge, page)
    if gauge.forward_tip is not None:
        x, y = page(*gauge.forward_tip)
        end = (x + 10.0 * gauge.outward[0], y + 10.0 * gauge.outward[1])
        ink.line((x, y), end, width=HAIR)
        words = f"forward tips: {distance:.1f} mm along the skin"
        below = 3.0 if gauge.outward[1] < 0.0 else -1.0
        ink.text((end[0], end[1] - below + 1.8), words, size=6.5, anchor="end")
    else:
        words = f"forward tips lie beyond: {distance:.1f} mm along the skin"
        ink.text(page(0.07, 0.0), words, size=6.5)
    base = MARGIN
    bars = frame.width - MARGIN - 4.0 * INCH - 2.0
    ink.bar((bars, base + 12.0), length=100.0, upright=False, label="100 mm", step=10.0)
    ink.bar((bars, base + 4.5), length=4.0 * INCH, upright=False, label="4 in", step=INCH)
    ink.bar((frame.width - MARGIN - 18.0, base + 20.0), length=100.0, upright=True, label="100 mm", step=10.0)
    ink.bar(
        (frame.width - MARGIN - 6.0, base + 20.0), length=4.0 * INCH, upright=True, label="4 in", step=INCH
    )
    span, chord = 1000.0 * gauge.span_position, 1000.0 * gauge.chord
    room = bars - MARGIN - 4.0
    ink.text((MARGIN, base + 62.0), "NOSE GAUGE", size=13, bold=True)
    place = (
        "anywhere along the row"
        if gauge.everywhere
        else f"at {span:.1f} mm ({span / INCH:.2f} in) from the centerline"
    )
    ink.text(
        (MARGIN, base + 57.0), f"{place}, where the chord is {chord:.0f} mm", size=8.5, bold=True, room=140.0
    )
    for number, words in enumerate(LINES):
        ink.text((MARGIN, base + 50.0 - 4.0 * number), words, size=8, room=140.0)
    ink.text((MARGIN, base + 4.0), title.aircraft, size=8.5, bold=True, room=room)
    words = f"{title.made_on}, revision {title.revision}; {SHORTEST_CAUTION}"
    ink.block((MARGIN, base), words, size=6.0, room=room)


def _feeler_marks(ink: Ink, gauge: NoseGauge, page: Callable[[float, float], tuple[float, float]]) -> None:
    """Short ticks on the card every 10 mm along the outline on either side, numbered every 20."""
    lap, reach = outline_lengths(gauge)
    for way, most in ((1.0, reach), (-1.0, lap)):
        for number in range(1, int(most / FEELER_STEP) + 1):
            (x, y), out = at_skin_distance(gauge, way * number * FEELER_STEP)
            start = page(x, y)
            ink.line(start, (start[0] + 2.5 * out[0], start[1] + 2.5 * out[1]), width=HAIR, gray=GRAY)
            if number % 2 == 0:
                at = (start[0] + 4.2 * out[0], start[1] + 4.2 * out[1] - 0.6)
                ink.text(at, f"{10 * number}", size=5, gray=GRAY, anchor="middle")
