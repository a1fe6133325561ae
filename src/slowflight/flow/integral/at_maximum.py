"""The flow at maximum lift, to ask where mixing would help: followed up from attached flow, no further."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TypeVar

from threadpoolctl import threadpool_limits

from slowflight.flow.compiled import interruptible
from slowflight.flow.integral.bodies.mixing_problem import elements_problem
from slowflight.flow.integral.bodies.model import ElementsModel, SolvedBodies, outer_flow, solve_bodies
from slowflight.flow.integral.bodies.results import element_forces, total
from slowflight.flow.integral.bodies.sweep import lowered
from slowflight.flow.integral.mixing_problem import Problem, section_problem
from slowflight.flow.integral.results import coefficients
from slowflight.flow.integral.section_flow import SectionModel, Solved, solve
from slowflight.flow.integral.wake import coupled_at

STARTS = tuple(math.radians(a) for a in (2.0, 0.0, 4.0, -2.0))
HIGHEST = math.radians(26.0)
LONGEST_STEP, SHORTEST_STEP = math.radians(1.0), math.radians(0.1)
FINER = math.radians(0.4)  # step about the peak once it is known to a degree
FALL = 0.01  # of lift behind a peak, for it to be the maximum
SAME_SPEED = 1e-3  # share within which the Reynolds number is that of the lift found, on the way
MOST_SPEEDS = 8

S = TypeVar("S", Solved, SolvedBodies)


def section_at_maximum(model: SectionModel) -> Problem | None:
    """A section at its first maximum of lift going up from attached flow, ``None`` where none is answered.

    Parameters
    ----------
    model : SectionModel
        Without vanes.
    """

    def at(alpha: float, near: Solved | None) -> Solved | None:
        coupled = coupled_at(model.system, alpha, wake_nodes=model.wake_nodes)
        reynolds = model.reynolds if near is None else near.reynolds
        for _ in range(MOST_SPEEDS):
            found = solve(model, alpha, near=near, coupled=coupled, reynolds=reynolds)
            if not found.converged:
                return None
            near, reynolds = found, model.reynolds_at(coefficients(model, found).cl)
            if abs(reynolds / found.reynolds - 1.0) <= SAME_SPEED:
                return found
        return None

    with interruptible(), threadpool_limits(limits=1, user_api="blas"):
        found = _highest(at, lambda alpha: at(alpha, None), lambda s: coefficients(model, s).cl)
        return None if found is None else section_problem(model, found)


def elements_at_maximum(model: ElementsModel) -> Problem | None:
    """Several elements at their first maximum of lift; as ``section_at_maximum``."""

    def lift(solved: SolvedBodies) -> float:
        return total(element_forces(model, solved)).cl

    def at(alpha: float, near: SolvedBodies | None) -> SolvedBodies | None:
        coupled = outer_flow(model, alpha)
        reynolds = model.reynolds if near is None else near.reynolds
        for _ in range(MOST_SPEEDS):
            found = solve_bodies(model, alpha, near=near, coupled=coupled, reynolds=reynolds)
            if not found.converged:
                return None
            near, reynolds = found, model.reynolds_at(lift(found))
            if abs(reynolds / found.reynolds - 1.0) <= SAME_SPEED:
                return found
        return None

    with interruptible(), threadpool_limits(limits=1, user_api="blas"):
        found = _highest(at, lambda alpha: at(alpha, None) or lowered(model, alpha), lift)
        return None if found is None else elements_problem(model, found)


def _highest(
    at: Callable[[float, S | None], S | None], first: Callable[[float], S | None], lift: Callable[[S], float]
) -> S | None:
    """Follow lift up to its first peak and a little beyond; the solution at the peak, by parabolas."""
    here, alpha = None, STARTS[0]
    for alpha in STARTS:
        here = first(alpha)
        if here is not None:
            break
    if here is None:
        return None
    climbed, step = [(alpha, lift(here), here)], LONGEST_STEP
    while climbed[-1][1] > (1.0 - FALL) * max(cl for _, cl, _ in climbed):
        alpha, _, here = climbed[-1]
        beyond = at(alpha + step, here) if alpha + step <= HIGHEST else None
        if beyond is not None:
            climbed.append((alpha + step, lift(beyond), beyond))
            step = min(2.0 * step, LONGEST_STEP)
            continue
        step *= 0.5
        if step < SHORTEST_STEP:
            return None  # no fall of lift is answered
    k = max(range(len(climbed)), key=lambda i: climbed[i][1])
    if k == 0:
        return None
    near = climbed[k][2]
    place = _top([(a, cl) for a, cl, _ in climbed[k - 1 : k + 2]])
    close = [(a, at(a, near)) for a in (place - FINER, place, place + FINER)]
    answered = [(a, lift(s)) for a, s in close if s is not None]
    return at(_top(answered) if len(answered) == len(close) else place, near)


def _top(three: Sequence[tuple[float, float]]) -> float:
    """Where the parabola through three points is highest, within their range."""
    (a0, below), (a1, top), (a2, beyond) = three
    left, right = (top - below) / (a1 - a0), (beyond - top) / (a2 - a1)
    if right >= left:
        return max(three, key=lambda point: point[1])[0]
    at = 0.5 * (a0 + a1) - left * 0.5 * (a2 - a0) / (right - left)
    return min(max(at, a0), a2)
