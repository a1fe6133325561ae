"""A vane that is missing, or stands askew: how much the wing rolls at its stall, and which matter first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.errors import InputError
from slowflight.flow.lifting_line import SectionCurve, SpanCurve, whole_wing
from slowflight.flow.solution import FloatArray
from slowflight.wing.planform import Wing

SOURCES = ("SivellsWestrick1952",)
PLACES = 8  # along the row
JUST_SHORT = np.radians(0.25)  # of the stall, where vanes still hold the air on


@dataclass(frozen=True, kw_only=True)
class Lost:
    """One place that lacks its vanes on the right half.

    Parameters
    ----------
    y : float
        Middle of the bare place, from the centerline [m].
    moment : float
        What that adds to the rolling moment over dynamic pressure, area and span at the stall with vanes,
        right wing down positive [-].
    """

    y: float
    moment: float


def lost_vanes(
    wing: Wing,
    *,
    vanes: Sequence[SpanCurve],
    bare: Sequence[SpanCurve],
    row_from: float,
    row_to: float,
    width: float,
    angle: float,
    places: int = PLACES,
    left: Sequence[SpanCurve] | None = None,
) -> list[Lost]:
    """Take the vanes off one place after another on the right half, and see how the wing rolls.

    Parameters
    ----------
    wing : Wing
    vanes, bare : sequence of SpanCurve
        One half with the row, and without.
    row_from, row_to : float
        The row [m].
    width : float
        Span left bare: one pitch for a pair [m].
    angle : float
        Wing angle [rad]: the stall with vanes.
    places : int
        How many places along the row are tried [-].
    left : sequence of SpanCurve, optional
        The other half where it differs, as with the stick over; like the one with the row by default.

    Returns
    -------
    list of Lost
        Those with an answer, from inboard outward.

    Notes
    -----
    A vane that stands askew by more than some ten degrees mixes little and drags more: taken as lost. The
    bare place stalls as the clean section; how its stall spreads sideways is our smoothing (0.2 chords), and
    the air beside it is helped by its neighbors' vortices, which is not computed: a single lost pair does
    rather less than this.
    """
    found = []
    at = np.array([angle - JUST_SHORT])
    whole = float(whole_wing(wing, right=vanes, left=left, angles=at).rolling[0])
    ends = np.linspace(row_from + 0.5 * width, row_to - 0.5 * width, places)
    for y in ends:
        try:
            with_gap = whole_wing(
                wing,
                right=vanes,
                left=left,
                angles=at,
                mended=_without(bare, from_y=float(y) - 0.5 * width, to_y=float(y) + 0.5 * width),
            )
        except InputError:
            continue
        moment = float(with_gap.rolling[0]) - whole
        if np.isfinite(moment):
            found.append(Lost(y=float(y), moment=moment))
    return found


def _without(
    bare: Sequence[SpanCurve], *, from_y: float, to_y: float
) -> Callable[[FloatArray, list[tuple[SpanCurve, float]]], list[tuple[SpanCurve, float]]]:
    """Give strips of the right half that lie in a gap the bare curve, in proportion to how much they do."""

    def mend(y: FloatArray, each: list[tuple[SpanCurve, float]]) -> list[tuple[SpanCurve, float]]:
        edges = np.concatenate([[y[0]], 0.5 * (y[1:] + y[:-1]), [y[-1]]])
        mended = []
        for k, (stretch, share) in enumerate(each):
            outer, inner = edges[k], edges[k + 1]
            covered = max(0.0, min(outer, to_y) - max(inner, from_y)) / max(outer - inner, 1e-9)
            if covered <= 0.0 or y[k] <= 0.0:
                mended.append((stretch, share))
                continue
            own = stretch.outer if share > 0.5 else stretch.inner
            clean = _curve_at(bare, float(y[k]))
            mended.append(
                (
                    SpanCurve(span_from=stretch.span_from, span_to=stretch.span_to, inner=own, outer=clean),
                    min(covered, 1.0),
                )
            )
        return mended

    return mend


def _curve_at(spans: Sequence[SpanCurve], y: float) -> SectionCurve:
    for span in spans:
        if span.span_from <= y <= span.span_to:
            near_outer = y - span.span_from > 0.5 * (span.span_to - span.span_from)
            return span.outer if near_outer else span.inner
    return spans[-1].outer
