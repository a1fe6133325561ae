"""Wings and section curves for the checks of the lifting line."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from slowflight.flow.lifting_line import SectionCurve, SpanCurve
from slowflight.flow.lifting_line.strip_curves import StripCurves, strip_curves
from slowflight.flow.lifting_line.strips import Strips, multhopp_turn, shares
from slowflight.flow.solution import FloatArray
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation

SECTION = naca_section("naca0012")  # its shape plays no part: section curves are given


def tapered(*, aspect_ratio: float, taper: float, washout: float = 0.0) -> Wing:
    """Return a straight-tapered wing of unit root chord, washed out in proportion from root to tip."""
    span = aspect_ratio * 0.5 * (1.0 + taper)
    stations = tuple(
        WingStation(span_station=y, chord=c, washout=w, section=SECTION, airfoil="naca0012")
        for y, c, w in ((0.0, 1.0, 0.0), (0.5 * span, taper, washout))
    )
    return Wing(span=span, incidence=0.0, stations=stations, cabin_width=0.1 * span)


def elliptic(*, aspect_ratio: float, points: int, washout: FloatArray | float = 0.0) -> Strips:
    """Return the strips of an elliptic wing of unit root chord."""
    turn = multhopp_turn(points)
    span = 0.25 * np.pi * aspect_ratio
    return Strips(
        span=span,
        area=0.25 * np.pi * span,
        turn=turn,
        y=0.5 * span * np.cos(turn),
        chord=np.sin(turn),
        washout=np.zeros(points) + washout,
        share=shares(turn),
    )


def curve_of(
    lift: Callable[[FloatArray], FloatArray], *, start: float = -12.0, end: float = 24.0, step: float = 1.0
) -> SectionCurve:
    """Return a section curve at even angles [deg] with a plain drag curve."""
    alpha = np.radians(np.arange(start, end + 0.5 * step, step))
    cl = lift(alpha)
    return SectionCurve(alpha=alpha, cl=cl, cd=0.01 + 0.01 * cl**2)


def rounded(*, fall: float = 1.5, maximum: float = 1.5) -> SectionCurve:
    """Return an invented section that stalls softly: straight to 8 degrees, rounded over to 14, then falling.

    Parameters
    ----------
    fall : float
        Slope past maximum lift [1/rad].
    maximum : float
        Scales the whole curve to this maximum [-].
    """

    def lift(alpha: FloatArray) -> FloatArray:
        degrees = np.degrees(alpha)
        slope = 5.8 * np.pi / 180.0
        bend = np.clip(degrees - 8.0, 0.0, 6.0)
        shape = slope * (np.minimum(degrees, 8.0) + 4.0 + bend - bend**2 / 12.0)
        top = slope * 15.0
        return np.asarray(maximum / top * shape - fall * np.radians(np.maximum(degrees - 14.0, 0.0)))

    return curve_of(lift)


def everywhere(curve: SectionCurve, semi_span: float) -> list[SpanCurve]:
    """Return one section curve for the whole half-span."""
    return [SpanCurve(span_from=0.0, span_to=semi_span, inner=curve, outer=curve)]


def on_strips(curve: SectionCurve, strips: Strips) -> StripCurves:
    """Return one section curve for all strips."""
    (stretch,) = everywhere(curve, 0.5 * strips.span)
    return strip_curves([(stretch, 0.0)] * strips.y.size)
