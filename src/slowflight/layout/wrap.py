"""A wrap that hangs on the leading edge by itself: cheeks cut to the nose, and a strip that lies on the skin.

Two card cheeks, cut to the section's outline from the other side round the nose to behind the vanes, carry a
paper strip as long as the skin between. Pushed on until it sits, it puts the row's line at its station with
no judging of the foremost point by eye.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slowflight.layout.nose_gauge import NoseGauge, nose_gauge
from slowflight.layout.placed import LayoutPlan, PlacedVane
from slowflight.wing.outline import FloatArray
from slowflight.wing.planform import Wing

# How far the wrap goes on behind the trailing tips [m].
BEHIND_VANES_M = 0.012
# Of strip beside a pair on either side [m].
BESIDE_M = 0.012
UNBOUNDED = 10.0


@dataclass(frozen=True, kw_only=True)
class NoseWrap:
    """A wrap for one place along the span.

    Parameters
    ----------
    gauge : NoseGauge
        The cheek: its outline is where card and skin touch.
    lap : float
        Of strip on the side without the row, from the foremost point along the skin [m].
    reach : float
        Of strip on the row's side, from the foremost point along the skin [m].
    forward, trailing : float
        Of the vanes' tips, from the foremost point along the skin [m].
    vanes : tuple of PlacedVane
        The right wing's that the strip shows: a pair, and the first of the next.
    span_from, span_to : float
        Of the strip, from the centerline [m].
    """

    gauge: NoseGauge
    lap: float
    reach: float
    forward: float
    trailing: float
    vanes: tuple[PlacedVane, ...]
    span_from: float
    span_to: float


def nose_wraps(plan: LayoutPlan, *, wing: Wing) -> tuple[NoseWrap, ...]:
    """Draw the wrap for the row's start, and for its end where chord or section differ.

    Parameters
    ----------
    plan : LayoutPlan
        The layout; it gets a wrap wherever it has a nose gauge.
    wing : Wing
        The wing.

    Returns
    -------
    tuple of NoseWrap
    """
    found = []
    each = 1 if plan.row.arrangement == "co-rotating" else 2
    right = plan.on("right")
    for gauge in plan.gauges:
        inner = gauge.span_position <= 0.5 * (plan.span_from + plan.span_to)
        vanes = right[: each + 1] if inner else right[-(each + 1) :]
        # Where the wing tapers the cheek belongs to the middle of its strip, beside the row's end.
        spans = [s for v in vanes for s in (v.span_position, v.trailing_span_position)]
        span_from, span_to = min(spans) - BESIDE_M, max(spans) + BESIDE_M
        middle = gauge.span_position if gauge.everywhere else 0.5 * (span_from + span_to)
        cheek = nose_gauge(
            wing=wing,
            span_position=min(middle, wing.semi_span),
            station=plan.row.station,
            surface=plan.row.surface,
            behind=plan.row.length + BEHIND_VANES_M,
            longest=UNBOUNDED,
            highest=UNBOUNDED,
        )
        if cheek is None:
            continue
        cheek = replace(cheek, everywhere=gauge.everywhere)
        lap, reach = outline_lengths(cheek)
        forward = float(np.mean([vane.skin_distance for vane in vanes]))
        trailing = float(np.mean([vane.trailing_skin_distance for vane in vanes]))
        found.append(
            NoseWrap(
                gauge=cheek,
                lap=lap,
                reach=reach,
                forward=forward,
                trailing=trailing,
                vanes=vanes,
                span_from=span_from,
                span_to=span_to,
            )
        )
    return tuple(found)


def at_skin_distance(gauge: NoseGauge, distance: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Find a point of a cheek's outline by tape, and the way out of the wing there.

    Parameters
    ----------
    gauge : NoseGauge
        The cheek.
    distance : float
        From the foremost point along the skin, toward the row [m].

    Returns
    -------
    tuple of (tuple of (float, float), tuple of (float, float))
        The point [m] and a vector of length 1 square to the outline, outward.
    """
    along = _lengths(gauge)
    # The outline runs from the side without the row to the side with it.
    at = _foremost(gauge, along) + distance
    x, y = (float(np.interp(at, along, gauge.outline[:, column])) for column in (0, 1))
    step = 1e-3
    ahead, behind = (
        [float(np.interp(at + shift, along, gauge.outline[:, column])) for column in (0, 1)]
        for shift in (-step, step)
    )
    way = np.array(behind) - np.array(ahead)
    way /= np.linalg.norm(way)
    upper = gauge.outline[-1, 1] > gauge.outline[0, 1]
    outward = (-float(way[1]), float(way[0])) if upper else (float(way[1]), -float(way[0]))
    return (x, y), outward


def outline_lengths(gauge: NoseGauge) -> tuple[float, float]:
    """Length of the outline ahead of and behind its foremost point [m]."""
    along = _lengths(gauge)
    fore = _foremost(gauge, along)
    return fore, float(along[-1]) - fore


def _lengths(gauge: NoseGauge) -> FloatArray:
    steps = np.hypot(*np.diff(gauge.outline, axis=0).T)
    return np.concatenate(([0.0], np.cumsum(steps)))


def _foremost(gauge: NoseGauge, along: FloatArray) -> float:
    """Where along the outline x is least, by a parabola through the three points about it [m]."""
    at = int(np.clip(np.argmin(gauge.outline[:, 0]), 1, len(along) - 2))
    (s0, s1, s2), (x0, x1, x2) = along[at - 1 : at + 2], gauge.outline[at - 1 : at + 2, 0]
    first, second = (x1 - x0) / (s1 - s0), (x2 - x1) / (s2 - s1)
    curvature = (second - first) / (s2 - s0)
    return float(0.5 * (s0 + s1) - 0.5 * first / curvature) if curvature > 0.0 else float(s1)
