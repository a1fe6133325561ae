"""The two hands, and the pairs on both wings, as drawings: words alone get reversed."""

from __future__ import annotations

import math

from slowflight.layout.hand import outboard_on_page
from slowflight.layout.ink import HAIR, VANE, Ink
from slowflight.layout.placed import LayoutPlan

# Exaggerated, so that the lean is seen at a glance.
SHOWN_ANGLE = math.radians(24.0)


def draw_hand_key(ink: Ink, at: tuple[float, float], *, width: float, height: float) -> None:
    """Draw hands A and B side by side with the flow arrow between, in a box from `at` up [mm]."""
    x, y = at
    middle = x + 0.5 * width
    length = 0.40 * height
    top, bottom = y + 0.78 * height, y + 0.78 * height - length
    ink.arrow((middle, y + height - 3.0), (middle, y + height + 3.0), width=0.7, head=2.5)
    ink.text((middle, y + height - 5.4), "front of aircraft", size=6, anchor="middle", room=width)
    for name, share, lean in (("A", 0.2, 1.0), ("B", 0.8, -1.0)):
        center = x + share * width
        half = 0.5 * length * math.tan(SHOWN_ANGLE)
        draw_vane(ink, forward=(center - lean * half, top), trailing=(center + lean * half, bottom))
        ink.text((center, bottom - 4.4), name, size=10, bold=True, anchor="middle")
    ink.arrow((middle, top), (middle, bottom), width=0.7, head=2.5)
    ink.text((middle, bottom - 2.6), "flow", size=6, anchor="middle")
    ink.text((middle, y + 4.2), "short cross line =", size=5.5, anchor="middle", room=width)
    ink.text((middle, y + 1.8), "forward tip", size=5.5, anchor="middle", room=width)


def draw_vane(ink: Ink, *, forward: tuple[float, float], trailing: tuple[float, float]) -> None:
    """Draw a vane from tip to tip with a short cross line at its forward tip [mm]."""
    ink.line(forward, trailing, width=VANE)
    (x0, y0), (x1, y1) = forward, trailing
    length = math.hypot(x1 - x0, y1 - y0)
    across = (1.5 * (y1 - y0) / length, -1.5 * (x1 - x0) / length)
    ink.line((x0 - across[0], y0 - across[1]), (x0 + across[0], y0 + across[1]), width=HAIR)


def draw_both_wings(ink: Ink, plan: LayoutPlan, at: tuple[float, float], *, width: float) -> None:
    """Sketch both wings with the two inmost vanes of each, not to scale; 42 mm high from `at` up [mm]."""
    x, y = at
    middle = x + 0.5 * width
    edge, depth = y + 34.0, 25.0
    for wall in (-7.0, 7.0):
        ink.line((middle + wall, y + 2.0), (middle + wall, y + 38.0))
    ink.arrow((middle, y + 24.0), (middle, y + 40.0), width=1.5, head=4.0)
    ink.text((middle, y + 18.0), "front", size=7, anchor="middle")
    ink.text((middle, y + 15.0), "of", size=7, anchor="middle")
    ink.text((middle, y + 12.0), "aircraft", size=7, anchor="middle")
    for side in ("left", "right"):
        sense = outboard_on_page(side=side, surface=plan.row.surface)
        inner, outer = middle + sense * 7.0, middle + sense * 0.5 * width
        ink.line((inner, edge), (outer, edge), width=1.0)
        ink.line((inner, edge - depth), (outer, edge - depth), width=0.5)
        ink.line((outer, edge), (outer, edge - depth), width=0.5)
        ink.text(
            (0.5 * (inner + outer), edge + 2.0), f"{side.upper()} WING", size=8, bold=True, anchor="middle"
        )
        spots = (inner + sense * 20.0, inner + sense * 42.0)
        for vane, spot in zip(plan.on(side), spots, strict=False):
            half = 5.5 * math.tan(SHOWN_ANGLE) * math.copysign(1.0, vane.toe) * sense
            forward, trailing = (spot + half, edge - 5.0), (spot - half, edge - 16.0)
            draw_vane(ink, forward=forward, trailing=trailing)
            ink.text((spot, edge - 21.0), f"{vane.number} {vane.hand}", size=9, bold=True, anchor="middle")
        ink.arrow(
            (outer - sense * 24.0, edge - 12.0), (outer - sense * 6.0, edge - 12.0), width=0.8, head=3.0
        )
        ink.text((outer - sense * 15.0, edge - 16.0), "outboard", size=7, anchor="middle")
    ink.text(
        (middle, y - 1.5),
        "not to scale, angles exaggerated; "
        + ("seen from above" if plan.row.surface == "upper" else "LOWER surface, seen from below"),
        size=7,
        anchor="middle",
    )
