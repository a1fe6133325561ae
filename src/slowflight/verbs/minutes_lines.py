"""A position of a row in numbers: both tiers' highest lift and drag at cruise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from slowflight.wing.vane_row import VaneRow


def line_of(
    row: tuple[VaneRow, ...],
    result: Mapping[str, Any],
    seconds: Sequence[Mapping[str, Any]],
    seconds_maximum: float | None,
    cruise_lift: float,
) -> dict[str, Any]:
    """Both tiers' numbers of a row, or of the clean section where ``row`` is empty."""
    points = result["points"]
    top = highest(points)
    quick = highest(seconds)
    gap = None if top is None or quick is None else top["cl"] - quick["cl"]
    return {
        "station": row[0].station if row else None,
        "highest_lift": None if top is None else top["cl"],
        "at_deg": None if top is None else top["alpha_deg"],
        "bracketed": result["cl_max"] is not None,
        "extrapolated": top is not None and top["extrapolated"],
        "seconds_highest_lift": None if quick is None else quick["cl"],
        "seconds_at_deg": None if quick is None else quick["alpha_deg"],
        "seconds_bracketed": seconds_maximum is not None,
        "gap": gap,
        "cruise_drag": drag_at(points, cruise_lift),
        "seconds_cruise_drag": drag_at(seconds, cruise_lift),
        "computed_seconds": result["seconds"],
        "points": points,
        "seconds_points": list(seconds),
    }


def highest(points: Sequence[Mapping[str, Any]]) -> Mapping[str, Any] | None:
    """The angle asked for with most lift."""
    answered = [p for p in points if p["cl"] is not None]
    return max(answered, key=lambda p: p["cl"]) if answered else None


def drag_at(points: Sequence[Mapping[str, Any]], lift: float) -> float | None:
    """Drag at a lift coefficient below the highest, between the angles on either side."""
    top = highest(points)
    if top is None:
        return None
    rising = [p for p in points if p["cl"] is not None and p["alpha_deg"] <= top["alpha_deg"]]
    rising.sort(key=lambda p: p["alpha_deg"])
    lifts, drags = [p["cl"] for p in rising], [p["cd"] for p in rising]
    if not lifts[0] <= lift <= lifts[-1] or any(b <= a for a, b in pairwise(lifts)):
        return None
    return float(np.interp(lift, lifts, drags))


def counts(drag: float | None, clean: float | None) -> float | None:
    """Drag more than the clean section's, in ten-thousandths."""
    return None if drag is None or clean is None else 1e4 * (drag - clean)
