"""How a section stalls, read from the computed layers near maximum lift, in McCullough and Gault's words.

McCullough and Gault (NACA TN 2502, 1951) tell three kinds apart: from the trailing edge, where separation
creeps forward and lift rounds over; from the nose, where the air lets go at once; and the thin-section kind,
where a bubble at the nose grows with the angle. 'Mixed' is trailing-edge separation together with a bubble at
the nose. The limits in chords and per degree are our own choice. A bursting bubble is not computed: where
there is a bubble at the nose an abrupt stall may come earlier than said here.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from slowflight.flow.maximum_lift import ABRUPT, TREND_DEGREES, Top
from slowflight.flow.solution import FlowPoint, Stall

SOURCES = ("McCulloughGault1951",)
NOSE = 0.1  # air that lets go from ahead of this lets go from the nose [chords]
LONG_BUBBLE = 0.05  # a bubble at the nose longer than this is that of a thin section [chords]
REAR = 0.8  # separation behind this at maximum lift is not yet what ends it [chords]
SUDDEN = 0.1  # share of lift lost per degree from air still on the skin that only the nose can lose


def _bubble(point: FlowPoint) -> tuple[float, float] | None:
    """The laminar bubble that begins nearest the nose, on the main element's upper side."""
    bubbles = [b for b in point.elements[0].upper.bubbles if b[0] < NOSE]
    return bubbles[0] if bubbles else None


def _lost_per_degree(answered: Sequence[FlowPoint], top: Top) -> float:
    """Largest share of lift lost per degree, up to ``TREND_DEGREES`` past maximum lift."""
    past: list[tuple[float, float | None]] = [(top.angle, top.lift)] if top.lift is not None else []
    past += [(p.alpha_deg, p.cl) for p in answered if top.angle < p.alpha_deg <= top.angle + TREND_DEGREES]
    worst = 0.0
    for (a, c), (b, d) in itertools.pairwise(past):
        if c and d is not None and b > a:
            worst = max(worst, (c - d) / (abs(c) * max(b - a, 0.5)))
    return worst


def stall_kind(points: Sequence[FlowPoint], top: Top | None, *, folds: bool) -> Stall | None:
    """Name how a section stalls.

    Parameters
    ----------
    points : sequence of FlowPoint
        In any order.
    top : Top or None
        The first maximum of lift, from ``first_top``.
    folds : bool
        Whether the answers turn back at an angle: in flight lift drops there at once.

    Returns
    -------
    Stall or None
        ``None`` where no maximum is bracketed.
    """
    answered = sorted((p for p in points if p.converged and p.elements), key=lambda p: p.alpha_deg)
    before = [p for p in answered if p.alpha_deg <= top.angle + 0.51] if top is not None else []
    if top is None or top.lift is None or not before:
        return None
    at = before[-1]
    past = [p for p in answered if top.angle + 0.51 < p.alpha_deg <= top.angle + TREND_DEGREES]
    lost = _lost_per_degree(answered, top)
    abrupt = folds or lost > ABRUPT
    rear, bubble = at.separation_upper, _bubble(at)
    creeps = rear is not None and rear < REAR
    gone = [p for p in past if p.separation_upper is not None and p.separation_upper < NOSE]
    fall = f"lift falls by {100.0 * lost:.0f} % a degree" + (
        " and the answers turn back in angle" if folds else ""
    )
    where = "" if rear is None else f"the air has let go from {100.0 * rear:.0f} % of chord back"
    small = "" if bubble is None else f"a bubble from {100.0 * bubble[0]:.1f} to {100.0 * bubble[1]:.1f} %"
    if not creeps and (lost > SUDDEN or (abrupt and gone)):
        kind, reason = "from the nose", f"past maximum lift the air lets go from the nose at once; {fall}"
    elif bubble is not None and bubble[1] - bubble[0] > LONG_BUBBLE and not creeps:
        kind, reason = "thin-section", f"at maximum lift {small} of chord stands at the nose; {fall}"
    elif creeps and bubble is not None:
        kind, reason = "mixed", f"at maximum lift {where} and {small} stands at the nose; {fall}"
    elif creeps:
        kind, reason = "from the trailing edge", f"at maximum lift {where}; {fall}"
    elif folds:
        kind, reason = "from the nose", f"the air is on at maximum lift; {fall}"
    else:
        kind, reason = "from the trailing edge", f"at maximum lift {where or 'the air is on'}; {fall}"
    return Stall(
        kind=kind,
        reason=reason,
        abrupt=abrupt,
        vane_gain_counts=kind in ("from the trailing edge", "mixed") and not folds,
    )
