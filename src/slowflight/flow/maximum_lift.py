"""Where lift has its first maximum, going up from attached flow, and how far its answers may be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

ATTACHED = 2.0  # angle from which lift is followed up, and down [deg]: attached on any usual section
FALL = 0.01  # share by which lift has to fall for what came before to be a maximum
LEAST_FALL = 0.005  # and never less than this, or a lift near nothing would have maxima everywhere [-]
WIDEST_STEP = 2.5  # between the neighbors of a maximum [deg]
TREND_DEGREES = 3.0  # how far past maximum lift a tier shows a trend
ABRUPT = 0.05  # share of lift lost per degree beyond which no parabola is laid across the drop

Lifts = Sequence[tuple[float, float | None]]


@dataclass(frozen=True)
class Top:
    """The first peak of a lift curve, going up from attached flow.

    Parameters
    ----------
    angle : float
        Of the peak, or of the largest lift where none is bracketed [deg].
    lift : float or None
        Lift coefficient there; ``None`` where no peak is bracketed.
    limit : float
        Angle beyond which answers are a trend, not a value [deg].
    """

    angle: float
    lift: float | None
    limit: float


def first_top(curve: Lifts) -> Top | None:
    """Find the first peak going up from attached flow.

    Lift that creeps up again where the air has let go altogether is no maximum: the walk ends at the first
    fall by ``FALL``. What lies behind an abrupt drop, or behind a fall within a step too wide to show its
    beginning, is a trend at once; else what lies more than ``TREND_DEGREES`` past the peak.

    Parameters
    ----------
    curve : sequence of (float, float or None)
        Angle [deg] and lift coefficient; ``None`` where there is none.

    Returns
    -------
    Top or None
        ``None`` without any lift.
    """
    return _top(sorted((a, c) for a, c in curve if c is not None), ATTACHED)


def first_trough(curve: Lifts) -> Top | None:
    """Find the first trough going down from attached flow, that of negative stall, likewise."""
    top = _top(sorted((-a, -c) for a, c in curve if c is not None), -ATTACHED)
    if top is None:
        return None
    return Top(-top.angle, None if top.lift is None else -top.lift, -top.limit)


def maximum_lift(curve: Lifts) -> tuple[float, float] | None:
    """Angle [deg] and value of maximum lift: the first peak going up from attached flow.

    By a parabola through the largest point and its neighbors; where lift drops abruptly behind that point, it
    is the point itself.

    Parameters
    ----------
    curve : sequence of (float, float or None)
        Angle [deg] and lift coefficient; ``None`` where there is none.

    Returns
    -------
    tuple of float or None
        ``None`` where the peak has no neighbor with an answer on both sides within 2.5 degrees.
    """
    top = first_top(curve)
    return None if top is None or top.lift is None else (top.angle, top.lift)


def _top(known: list[tuple[float, float]], start: float) -> Top | None:
    if not known:
        return None
    k, fell = _walk(known, start)
    a1, c1 = known[k]
    if k in (0, len(known) - 1):
        return Top(a1, None, a1 if fell else a1 + TREND_DEGREES)
    (a0, c0), (a2, c2) = known[k - 1], known[k + 1]
    right = (c2 - c1) / (a2 - a1)
    if a1 - a0 > WIDEST_STEP or a2 - a1 > WIDEST_STEP:
        return Top(a1, None, a1)
    if -right > ABRUPT * abs(c1):
        return Top(a1, c1, a1)
    left = (c1 - c0) / (a1 - a0)
    bend = (right - left) / (a2 - a0)
    if bend >= 0.0:
        return Top(a1, c1, a1 + TREND_DEGREES)
    # Newton's form about a0: slope zero where left + bend (2a - a0 - a1) = 0
    top = 0.5 * (a0 + a1 - left / bend)
    lift = c0 + left * (top - a0) + bend * (top - a0) * (top - a1)
    return Top(top, lift, top + TREND_DEGREES)


def _walk(known: list[tuple[float, float]], start: float) -> tuple[int, bool]:
    """Place of the first peak, walking up from the last angle not above ``start``."""
    first = max((i for i, (a, _) in enumerate(known) if a <= start + 1e-9), default=0)
    best, fell = first, False
    for i in range(first + 1, len(known)):
        lift, most = known[i][1], known[best][1]
        if lift > most:
            best = i
        elif lift < most - max(FALL * abs(most), LEAST_FALL):
            fell = True
            break
    # a section that stalls below the start (a flap far down)
    while best == first and best > 0 and known[best - 1][1] > known[best][1]:
        best = first = best - 1
    return best, fell
