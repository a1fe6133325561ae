"""Section results put along the span: bare here, with a flap or a row of vanes there."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slowflight.errors import Unconverged
from slowflight.flow.lifting_line import SectionCurve, SpanCurve
from slowflight.wing.planform import Wing

WIDEST_GAP = 2.6  # between answered angles; beyond a wider one the curve is cut [deg]
FEWEST_POINTS = 6
NOTHING = 1e-6  # [m]


def section_curve(result: Mapping[str, Any], *, name: str) -> SectionCurve:
    """Take the answered angles of a section's result that hang together.

    Parameters
    ----------
    result : mapping
        As a ``SectionCase`` returns it: its ``points`` by rising angle.
    name : str
        Of the case, for the message.

    Returns
    -------
    SectionCurve

    Raises
    ------
    Unconverged
        Where too few angles have an answer.
    """
    kept: list[tuple[float, float, float]] = []
    for point in result["points"]:
        if not point["converged"]:
            continue
        if kept and point["alpha_deg"] - kept[-1][0] > WIDEST_GAP:
            if kept[-1][0] >= 2.0:
                break  # past the gap lies another branch
            kept = []
        kept.append((point["alpha_deg"], point["cl"], point["cd"]))
    if len(kept) < FEWEST_POINTS:
        asked = len(result["points"])
        raise Unconverged(f"{name}: only {len(kept)} of {asked} angles hang together with an answer")
    alpha, cl, cd = np.array(kept).T
    return SectionCurve(alpha=np.radians(alpha), cl=cl, cd=cd)


def blended(inner: SectionCurve, outer: SectionCurve, share: float) -> SectionCurve:
    """Return the curve between two, ``share`` of the way from inner to outer, where both have one."""
    if share <= 0.0 or inner is outer:
        return inner
    if share >= 1.0:
        return outer
    low, high = max(inner.alpha[0], outer.alpha[0]), min(inner.alpha[-1], outer.alpha[-1])
    alpha = np.unique(np.concatenate((inner.alpha, outer.alpha)))
    alpha = alpha[(alpha >= low) & (alpha <= high)]
    return SectionCurve(
        alpha=alpha,
        cl=(1.0 - share) * inner.lift()(alpha) + share * outer.lift()(alpha),
        cd=(1.0 - share) * inner.drag()(alpha) + share * outer.drag()(alpha),
    )


@dataclass(frozen=True, kw_only=True)
class Covered:
    """Other section curves over a part of each half-span: where a flap is, or a row of vanes.

    Parameters
    ----------
    span_from, span_to : float
        From the centerline [m]; what lies beyond the tip plays no part.
    curves : sequence of SectionCurve
        One for each of the wing's stations, root first.
    """

    span_from: float
    span_to: float
    curves: Sequence[SectionCurve]


def span_curves(
    wing: Wing, *, clean: Sequence[SectionCurve], over: Sequence[Covered] = ()
) -> tuple[SpanCurve, ...]:
    """Lay section curves from the centerline to the tip.

    Parameters
    ----------
    wing : Wing
    clean : sequence of SectionCurve
        Of the bare wing, one for each of the wing's stations, root first.
    over : sequence of Covered
        What replaces them over parts of the span; a later one covers an earlier one.

    Returns
    -------
    tuple of SpanCurve
    """
    places = [station.span_station for station in wing.stations]

    def at(curves: Sequence[SectionCurve], y: float) -> SectionCurve:
        inner, outer, share = wing.neighbors(y)
        i, j = (places.index(station.span_station) for station in (inner, outer))
        return blended(curves[i], curves[j], share)

    def there(y: float) -> Sequence[SectionCurve]:
        covering = [part.curves for part in over if part.span_from < y < part.span_to]
        return covering[-1] if covering else clean

    ends = {0.0, wing.semi_span, *(y for y in places if y < wing.semi_span)}
    for part in over:
        ends |= {min(max(0.0, y), wing.semi_span) for y in (part.span_from, part.span_to)}
    stretches = []
    for a, b in itertools.pairwise(sorted(ends)):
        curves = there(0.5 * (a + b))
        stretches.append(SpanCurve(span_from=a, span_to=b, inner=at(curves, a), outer=at(curves, b)))
    return tuple(stretches)


def cut_at(spans: Sequence[SpanCurve], places: Sequence[float]) -> list[SpanCurve]:
    """Cut stretches at further places, so that several halves have like stretches.

    Parameters
    ----------
    spans : sequence of SpanCurve
        From the centerline to the tip.
    places : sequence of float
        From the centerline [m]; those at an end of a stretch, or beyond, cut nothing.

    Returns
    -------
    list of SpanCurve
    """
    made = []
    for span in spans:
        inside = sorted(y for y in places if span.span_from + NOTHING < y < span.span_to - NOTHING)
        edges = [span.span_from, *inside, span.span_to]
        width = span.span_to - span.span_from
        curves = [blended(span.inner, span.outer, (y - span.span_from) / width) for y in edges]
        made += [
            SpanCurve(span_from=a, span_to=b, inner=curves[k], outer=curves[k + 1])
            for k, (a, b) in enumerate(itertools.pairwise(edges))
        ]
    return made
