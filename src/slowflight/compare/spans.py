"""Section results put along the span: clean here, with a row of vanes there."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from slowflight.errors import Unconverged
from slowflight.flow.lifting_line import SectionCurve, SpanCurve
from slowflight.wing.planform import Wing

WIDEST_GAP = 2.6  # between answered angles; beyond a wider one the curve is cut [deg]
FEWEST_POINTS = 6


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


def span_curves(
    wing: Wing,
    *,
    clean: Sequence[SectionCurve],
    vanes: Sequence[SectionCurve] | None = None,
    row_from: float = 0.0,
    row_to: float = 0.0,
) -> tuple[SpanCurve, ...]:
    """Lay section curves from the centerline to the tip.

    Parameters
    ----------
    wing : Wing
    clean, vanes : sequence of SectionCurve
        One for each of the wing's stations, root first; ``vanes`` is None on a clean wing.
    row_from, row_to : float
        Where the row starts and ends, from the centerline [m].

    Returns
    -------
    tuple of SpanCurve
    """
    places = [station.span_station for station in wing.stations]

    def at(curves: Sequence[SectionCurve], y: float) -> SectionCurve:
        inner, outer, share = wing.neighbors(y)
        i, j = (places.index(station.span_station) for station in (inner, outer))
        return blended(curves[i], curves[j], share)

    ends = {0.0, wing.semi_span, *(y for y in places if y < wing.semi_span)}
    if vanes is not None:
        ends |= {max(0.0, row_from), min(row_to, wing.semi_span)}
    stretches = []
    for a, b in itertools.pairwise(sorted(ends)):
        middle = 0.5 * (a + b)
        curves = vanes if vanes is not None and row_from < middle < row_to else clean
        stretches.append(SpanCurve(span_from=a, span_to=b, inner=at(curves, a), outer=at(curves, b)))
    return tuple(stretches)
