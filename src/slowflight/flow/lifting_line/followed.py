"""Answers followed in small steps of the wing angle, from attached flow upward through stall and downward."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from slowflight.flow.lifting_line.agreement import Agreement, Seen, agree

LARGEST_STEP = math.radians(0.25)
SMALLEST_STEP = math.radians(0.01)
MOST_ROUNDS = 30
CLOSE = 1e-9  # [rad]


def attached(system: Agreement) -> Seen | None:
    """Find the answer from which everything is followed: every strip in the middle of its attached range."""
    curves, strips = system.curves, system.strips
    tops = np.minimum(curves.peak_angle, curves.highest)
    low, high = float(np.max(curves.lowest)), float(np.min(tops))
    if low >= high or np.any(curves.attached_slope <= 0.0):
        return None
    guess = np.full(strips.y.size, 0.5 * (low + high))
    induced = system.induced_angle(curves.lift.at(guess)[0])
    wing_angle = float(strips.share @ (guess + induced + strips.washout) / np.sum(strips.share))
    return agree(system, wing_angle=wing_angle, guess=guess)


@dataclass(frozen=True, eq=False)
class Walk:
    """Answers along the way.

    Parameters
    ----------
    steps : tuple of Seen
        In the order found, the start not among them.
    ended : str
        ``"arrived"``, ``"beyond curves"`` or ``"no answer"``.
    """

    steps: tuple[Seen, ...]
    ended: str


def follow(
    system: Agreement,
    start: Seen,
    *,
    to: float,
    allowed: Callable[[Seen], bool],
    enough: Callable[[Seen], bool] | None = None,
) -> Walk:
    """Follow the answer from one wing angle to another.

    Parameters
    ----------
    system : Agreement
    start : Seen
        Where to begin.
    to : float
        Wing angle to go to, above or below [rad].
    allowed : callable
        Whether an answer lies on the section curves; the walk ends before the first that does not.
    enough : callable, optional
        Ends the walk, as arrived, after the first answer for which it is true.

    Returns
    -------
    Walk
        Steps are 0.25 degrees or less. It ends early where no answer follows on in steps of 0.01 degrees, or
        where the path turns back.
    """
    steps: list[Seen] = []
    at, step = start, LARGEST_STEP
    while abs(to - at.wing_angle) > CLOSE:
        gap = to - at.wing_angle
        parts = math.ceil(abs(gap) / step - 1e-6)  # equal steps to the end rather than one crumb left over
        stride = gap / parts
        angle = to if parts == 1 else at.wing_angle + stride
        found = agree(system, wing_angle=angle, guess=at.angles + stride * at.growth)
        if found is None:
            step *= 0.5
            if step < SMALLEST_STEP:
                return Walk(tuple(steps), "no answer")
            continue
        if found.turned:
            return Walk(tuple(steps), "no answer")
        if not allowed(found):
            return Walk(tuple(steps), "beyond curves")
        steps.append(found)
        if enough is not None and enough(found):
            break
        at, step = found, min(2.0 * step, LARGEST_STEP)
    return Walk(tuple(steps), "arrived")


def first_at_peak(
    system: Agreement, start: Seen, *, allowed: Callable[[Seen], bool]
) -> tuple[Seen, int] | None:
    """Find the wing angle at which the first strip reaches the maximum of its section.

    Parameters
    ----------
    system : Agreement
    start : Seen
        In attached flow.
    allowed : callable
        Whether an answer lies on the section curves.

    Returns
    -------
    tuple of (Seen, int) or None
        The answer and the strip; ``None`` where no strip gets to a maximum on the section curves.

    Notes
    -----
    Meant for equations whose curves do not fall past their maxima (``StripCurves.never_falling``): none of
    that is reached by the answer, and the way to it has no turns.
    """
    peaks = system.curves.peak_angle
    if not np.any(np.isfinite(peaks)):
        return None
    at = start
    for _ in range(MOST_ROUNDS):
        with np.errstate(divide="ignore"):
            short = np.where(at.growth > 0.0, (peaks - at.angles) / at.growth, np.inf)
        strip = int(np.argmin(short))
        stride = float(np.clip(short[strip], -4.0 * LARGEST_STEP, 4.0 * LARGEST_STEP))
        if abs(stride) < CLOSE:
            return (at, strip) if allowed(at) else None
        found = None
        while found is None:
            found = agree(system, wing_angle=at.wing_angle + stride, guess=at.angles + stride * at.growth)
            if found is None and abs(stride) < SMALLEST_STEP:
                return None
            stride *= 0.5
        at = found
    return None
