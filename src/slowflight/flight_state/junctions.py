"""Struts, gaps and caps take away from the largest lift beside them: choices in words, stated as guesses."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from slowflight.flow.lifting_line import SectionCurve, SpanCurve
from slowflight.wing.in_the_air import JUNCTIONS, Junction

REACH = 0.5  # either side [local chords] (common practice, no source)


def knocked_down(curve: SectionCurve, factor: float) -> SectionCurve:
    """Return a section's curve with its largest lift multiplied, its attached lift left alone.

    Notes
    -----
    Lift is taken away in proportion to the square of how far it is from the middle of the attached range to
    the maximum, and in full from there on. Ours.
    """
    if curve.peak is None:
        return curve
    top, cl_max = curve.peak
    middle = 0.5 * (float(curve.alpha[0]) + top)
    way = np.clip((curve.alpha - middle) / (top - middle), 0.0, 1.0)
    return SectionCurve(alpha=curve.alpha, cl=curve.cl - (1.0 - factor) * cl_max * way**2, cd=curve.cd)


def with_junctions(
    spans: Sequence[SpanCurve], junctions: Sequence[Junction], *, chord: float, semi_span: float
) -> list[SpanCurve]:
    """Put junctions into the stretches of a half-span.

    Parameters
    ----------
    spans : sequence of SpanCurve
        From the centerline to the tip.
    junctions : sequence of Junction
    chord : float
        Over which they reach, half of it to either side [m].
    semi_span : float
        [m]

    Returns
    -------
    list of SpanCurve
        With the section curve of the middle of each disturbed piece.
    """
    found = list(spans)
    for junction in junctions:
        low = max(0.0, junction.span_station - REACH * chord)
        high = min(semi_span, junction.span_station + REACH * chord)
        cut: list[SpanCurve] = []
        for span in found:
            edges = sorted({span.span_from, span.span_to, *(y for y in (low, high) if _in(y, span))})
            for a, b in pairwise(edges):
                inside = low - 1e-9 <= a and b <= high + 1e-9
                near_outer = 0.5 * (a + b) > 0.5 * (span.span_from + span.span_to)
                if len(edges) == 2 and not inside:
                    cut.append(span)
                    continue
                # stretches that blend are cut into pieces of one curve each, that of the nearer end
                own = span.outer if near_outer else span.inner
                curve = knocked_down(own, JUNCTIONS[junction.kind]) if inside else own
                cut.append(SpanCurve(span_from=a, span_to=b, inner=curve, outer=curve))
        found = cut
    return found


def _in(y: float, span: SpanCurve) -> bool:
    return span.span_from + 1e-9 < y < span.span_to - 1e-9
