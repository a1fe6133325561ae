"""From a section to panel nodes: spacing by curvature, and the trailing edge the outer flow sees.

The trailing edge. A sharp wedge is a stagnation point of the inviscid flow on every scale, while the layers
that leave it have a thickness; coupled to a layer, such an edge has no limit as panels are refined (stalled
lift drifts by more than a per cent for each halving). A cusp is worse: two coincident sheets. What the outer
flow sees in both cases is the dead air that fills the last layer thickness. So the last ``FAIRING`` of the
chord is drawn with its wedge angle taken out in proportion to the distance left, which leaves a blunt edge
as thick as the mean thickness over that length, and the gap is closed again in the wake (see ``panels``).
Own construction. Its size is one for all sections; of the sizes tried (0.2 to 4 % of chord) a small one was
taken because a larger one steepens the lift slope, judged on the calibrating NACA 0012.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from slowflight.flow.solution import FloatArray

FAIRING = 0.005  # length over which the wedge angle is taken out [chords]
LEAST_GAP = 0.001  # thinnest trailing edge the panels are given [chords]
_GAP_BLEND = 0.1  # length over which a thinner edge is opened to it [chords]
_FINE = 4000


@dataclass(frozen=True)
class Outline:
    """Panel nodes of one body.

    Parameters
    ----------
    x, y : FloatArray
        Nodes, lower trailing edge, nose, upper trailing edge [chords], shape (n + 1,).
    arc : FloatArray
        Arc length from the lower trailing edge [chords], shape (n + 1,).
    gap : float
        Thickness of the effective trailing edge [chords].
    """

    x: FloatArray
    y: FloatArray
    arc: FloatArray
    gap: float


def _arc(x: FloatArray, y: FloatArray) -> FloatArray:
    return np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))))


def _fine_outline(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Spline the outline and sample it densely, closest at both trailing edges."""
    s = _arc(x, y)
    curve = CubicSpline(s, np.column_stack((x, y)))
    t = np.linspace(0.0, 1.0, _FINE + 1)
    # clustering at both ends, so that the last panels of any grading lie on many fine points
    fine = s[-1] * (t - 0.9 * np.sin(2 * np.pi * t) / (2 * np.pi))
    p = curve(fine)
    return p[:, 0], p[:, 1]


def blunt_trailing_edge(
    x: FloatArray, y: FloatArray, *, fairing: float = FAIRING, least_gap: float = LEAST_GAP
) -> tuple[FloatArray, FloatArray, float]:
    """Take the wedge angle out of the last ``fairing`` of the chord; open what is thinner than ``least_gap``.

    Parameters
    ----------
    x, y : FloatArray
        Dense outline, lower trailing edge, nose, upper trailing edge [chords], shape (n,).
    fairing, least_gap : float
        [chords].

    Returns
    -------
    x, y : FloatArray
        The outline the outer flow sees, shape (n,).
    gap : float
        Thickness of its trailing edge [chords].
    """
    tail = np.array([0.5 * (x[0] + x[-1]), 0.5 * (y[0] + y[-1])])
    # the bisector from the chords over the fairing length, which no single bad end point can turn
    lower_from = np.argmax(np.hypot(x - x[0], y - y[0]) >= fairing)
    upper_from = x.size - 1 - np.argmax(np.hypot(x - x[-1], y - y[-1])[::-1] >= fairing)
    along = np.array(
        [x[0] - x[lower_from] + x[-1] - x[upper_from], y[0] - y[lower_from] + y[-1] - y[upper_from]]
    )
    along /= np.hypot(*along)
    ahead = -((x - tail[0]) * along[0] + (y - tail[1]) * along[1])
    height = -(x - tail[0]) * along[1] + (y - tail[1]) * along[0]
    nose = int(np.argmax(ahead))

    new = height.copy()
    for order in (slice(0, nose + 1), slice(x.size - 1, nose - 1, -1)):
        xi, eta = ahead[order], height[order]
        last = int(np.argmax(xi > fairing))
        if last < 3:
            continue
        xi_in = np.concatenate((xi[:last], [fairing]))
        eta_in = np.concatenate(
            (eta[:last], [np.interp(fairing, xi[last - 1 : last + 1], eta[last - 1 : last + 1])])
        )
        area = np.concatenate(([0.0], np.cumsum(0.5 * (eta_in[1:] + eta_in[:-1]) * np.diff(xi_in))))
        # eta' scaled by xi / fairing, integrated by parts
        faired = eta_in * xi_in / fairing + (area[-1] - area) / fairing
        side = new[order]
        side[:last] = faired[:last]
        new[order] = side
    gap = float(new[-1] - new[0])
    if gap < least_gap:
        weight = np.where(ahead < _GAP_BLEND, (1.0 - (ahead / _GAP_BLEND) ** 2) ** 2, 0.0)
        upper = np.arange(x.size) > nose
        new = new + np.where(upper, 0.5, -0.5) * (least_gap - gap) * weight
        gap = least_gap
    xn = tail[0] - ahead * along[0] - new * along[1]
    yn = tail[1] - ahead * along[1] + new * along[0]
    return xn, yn, gap


def place_nodes(
    x: FloatArray, y: FloatArray, *, panels: int, nose_weight: float = 1.2, tail_weight: float = 2.2
) -> Outline:
    """Distribute panel nodes over a dense outline.

    Density is 1 plus a term in the root of the smoothed curvature (nose, hinge) plus one at the trailing
    edge; the panel count scales all panels alike, so that refinement studies refine one family.
    """
    s = _arc(x, y)
    dx, dy = np.gradient(x, s), np.gradient(y, s)
    bend = np.abs(dx * np.gradient(dy, s) - dy * np.gradient(dx, s))
    even = np.linspace(0.0, s[-1], 4001)
    bend_even = np.interp(even, s, bend)
    width = 0.01 / (even[1] - even[0])
    reach = np.arange(-int(5 * width), int(5 * width) + 1)
    kernel = np.exp(-np.abs(reach) / width)
    smooth = np.convolve(np.pad(bend_even, reach[-1], mode="reflect"), kernel / kernel.sum(), mode="valid")
    to_tail = np.minimum(even, even[-1] - even)
    density = 1.0 + nose_weight * np.sqrt(smooth) + tail_weight * np.exp(-to_tail / 0.04)
    share = np.concatenate(([0.0], np.cumsum(0.5 * (density[1:] + density[:-1]))))
    nodes = np.interp(np.linspace(0.0, share[-1], panels + 1), share, even)
    curve = CubicSpline(s, np.column_stack((x, y)))
    p = curve(nodes)
    xn, yn = p[:, 0], p[:, 1]
    return Outline(x=xn, y=yn, arc=_arc(xn, yn), gap=float(np.hypot(xn[-1] - xn[0], yn[-1] - yn[0])))


def outline(
    x: FloatArray, y: FloatArray, *, panels: int, fairing: float = FAIRING, least_gap: float = LEAST_GAP
) -> Outline:
    """Panel nodes of a section whose coordinates run lower trailing edge, nose, upper trailing edge."""
    xf, yf = _fine_outline(x, y)
    xb, yb, _ = blunt_trailing_edge(xf, yf, fairing=fairing, least_gap=least_gap)
    return place_nodes(xb, yb, panels=panels)
