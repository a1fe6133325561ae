"""The flow at maximum lift, ready to ask where mixing would help."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from slowflight.flow.integral.bodies.mixing_problem import elements_problem
from slowflight.flow.integral.bodies.model import ElementsModel
from slowflight.flow.integral.bodies.results import element_forces, total
from slowflight.flow.integral.bodies.sweep import sweep_elements
from slowflight.flow.integral.mixing_problem import Problem, section_problem
from slowflight.flow.integral.results import coefficients
from slowflight.flow.integral.section_flow import SectionModel
from slowflight.flow.integral.sweep import sweep

ANGLES = tuple(float(a) for a in np.radians(np.arange(2.0, 24.1, 1.0)))  # among which the maximum is sought
FINER = float(np.radians(0.4))  # step about the peak once it is known to a degree
FALL = 0.01  # of lift behind a peak, for it to be the maximum


def section_at_maximum(model: SectionModel) -> Problem | None:
    """A section at its first maximum of lift going up from attached flow, ``None`` where none is answered.

    Parameters
    ----------
    model : SectionModel
        Without vanes.
    """

    def lifts(angles: Sequence[float]) -> list[float | None]:
        return [
            coefficients(model, p.solved).cl if p.how == "followed" and p.solved is not None else None
            for p in sweep(model, angles)
        ]

    best = _first_peak(lifts)
    if best is None:
        return None
    solved = sweep(model, best)[-1].solved
    return None if solved is None or not solved.converged else section_problem(model, solved)


def elements_at_maximum(model: ElementsModel) -> Problem | None:
    """Several elements at their first maximum of lift; as ``section_at_maximum``."""

    def lifts(angles: Sequence[float]) -> list[float | None]:
        return [
            total(element_forces(model, p.solved)).cl
            if p.how == "followed" and p.solved is not None
            else None
            for p in sweep_elements(model, angles)
        ]

    best = _first_peak(lifts)
    if best is None:
        return None
    solved = sweep_elements(model, best)[-1].solved
    return None if solved is None or not solved.converged else elements_problem(model, solved)


def _first_peak(lifts: Callable[[Sequence[float]], list[float | None]]) -> tuple[float, ...] | None:
    """Angles that lead up to the first peak, the last of them at the peak; by parabolas, the second finer."""
    found = [(a, cl) for a, cl in zip(ANGLES, lifts(ANGLES), strict=True) if cl is not None]
    for k in range(1, len(found) - 1):
        three = found[k - 1 : k + 2]
        (a0, below), (_, top), (a2, beyond) = three
        behind = min(cl for _, cl in found[k:])
        if not (
            below < top >= beyond and behind <= (1.0 - FALL) * top and a2 - a0 < 2.5 * (ANGLES[1] - ANGLES[0])
        ):
            continue
        at = _top(three)
        lead = tuple(a for a, _ in found[:k] if a < at - FINER)
        close = (at - FINER, at, at + FINER)
        finer = lifts((*lead, *close))[-3:]
        if None not in finer:
            at = _top([(a, cl) for a, cl in zip(close, finer, strict=True) if cl is not None])
        return (*lead, at)
    return None


def _top(three: Sequence[tuple[float, float]]) -> float:
    """Where the parabola through three points is highest, within their range."""
    (a0, below), (a1, top), (a2, beyond) = three
    left, right = (top - below) / (a1 - a0), (beyond - top) / (a2 - a1)
    if right >= left:
        return max(three, key=lambda point: point[1])[0]
    at = 0.5 * (a0 + a1) - left * 0.5 * (a2 - a0) / (right - left)
    return min(max(at, a0), a2)
