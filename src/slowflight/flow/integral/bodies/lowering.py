"""A first answer with a flap far down: raised until there is one, and lowered from there.

The panels of a turned flap correspond one to one, so that the layers are carried along. On the way down the
air above the flap may let go at once: the branch of answers then turns back to smaller deflections and comes
down again with the flap stalled, and at a fixed deflection Newton's method finds no way across. There the
deflection becomes an unknown and the branch is followed round its turns, as with the angle of attack
(``branch``; pseudo-arclength continuation, Keller 1977): a line in the plane of deflection and mass defect at
the flap's trailing edge is prescribed. The outer flow is taken as linear in the deflection for one solution,
and drawn anew until the deflection stands.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from slowflight.errors import SectionError
from slowflight.flow.integral.bodies.model import (
    ElementsModel,
    SolvedBodies,
    outer_flow,
    solve_bodies,
    turned,
)
from slowflight.flow.integral.bodies.wakes import CoupledBodies
from slowflight.flow.integral.branch import Bordered, branch_on, on_branch
from slowflight.flow.solution import FloatArray
from slowflight.wing.elements import Elements, arranged

RAISED_BY = math.radians(5.0)  # how much the flap is raised at a time to find a first answer
LONGEST_TURN, SHORTEST_TURN = math.radians(3.0), math.radians(0.2)
SLOPE_OVER = math.radians(0.05)  # of deflection, over which the change of the outer flow is taken
FOLLOWING_ITERATIONS = 30  # of a step from a solution close by, which converges quadratically or not at all

At = Callable[[ElementsModel, float, SolvedBodies | None], SolvedBodies]
"""Solves a model at an angle of attack [rad] from a solution close by, or afresh."""


def _with_flap_at(elements: Elements, setting: float) -> Elements:
    main, flap = elements.bodies
    return arranged(main, replace(flap, angle=setting))


def lowered_to(model: ElementsModel, alpha: float, *, at: At) -> SolvedBodies | None:
    """Find a solution at one angle of attack by lowering the flap from a setting that has one.

    Parameters
    ----------
    model : ElementsModel
    alpha : float
        [rad].
    at : callable
        See ``At``.

    Returns
    -------
    SolvedBodies or None
        ``None`` without a flap that is turned, or where no setting leads to an answer.
    """
    target = model.elements.flap_angle
    if len(model.elements.bodies) != 2 or abs(target) < SHORTEST_TURN:
        return None
    way = _Way(model, alpha, at)
    try:
        begun = way.first()
        if begun is None:
            return None
        found = way.straight(begun) or way.round_turns(begun)
    except SectionError:
        return None  # the flap only clears the wing further down
    return None if found is None else found.solved


@dataclass(frozen=True)
class _Set:
    """A solution with the flap at a setting, which stands for the angle that a branch follows."""

    solved: SolvedBodies
    alpha: float

    @property
    def state(self) -> FloatArray:
        return self.solved.state

    @property
    def converged(self) -> bool:
        return self.solved.converged


@dataclass(frozen=True)
class _Outer:
    """The outer flow at a setting, and how it changes with the setting."""

    flow: CoupledBodies
    per_angle: FloatArray

    @property
    def q0(self) -> FloatArray:
        return self.flow.q0

    @property
    def D(self) -> FloatArray:
        return self.flow.D


class _Way:
    """Ways down to a model's flap setting at one angle of attack."""

    def __init__(self, model: ElementsModel, alpha: float, at: At) -> None:
        self.model, self.alpha, self.at = model, alpha, at
        self.target = model.elements.flap_angle
        self._outer: tuple[float, _Outer] | None = None

    def set_to(self, setting: float) -> ElementsModel:
        if setting == self.target:
            return self.model
        return turned(self.model, _with_flap_at(self.model.elements, setting))

    def solve(self, setting: float, near: _Set | None) -> _Set:
        return _Set(self.at(self.set_to(setting), self.alpha, None if near is None else near.solved), setting)

    def first(self) -> _Set | None:
        """The setting nearest to the one wanted that has an answer from a new guess."""
        setting = self.target
        while abs(setting) > 1e-9:
            setting -= math.copysign(min(RAISED_BY, abs(setting)), setting)
            tried = self.solve(setting, None)
            if tried.converged:
                return tried
        return None

    def straight(self, here: _Set) -> _Set | None:
        """Lowered in steps that are halved where they fail."""
        step = LONGEST_TURN
        while step >= SHORTEST_TURN:
            size = min(step, abs(self.target - here.alpha))
            last = size >= abs(self.target - here.alpha) - 1e-9
            to = self.target if last else here.alpha + math.copysign(size, self.target - here.alpha)
            tried = self.solve(to, here)
            if not tried.converged:
                step = 0.5 * size
                continue
            if last:
                return tried
            here, step = tried, min(2.0 * size, LONGEST_TURN)
        return None

    def round_turns(self, here: _Set) -> _Set | None:
        """Followed along the branch, through settings at which it turns back."""
        upper = self.model.system.bodies[1].outline.x.size - 1
        begins = outer_flow(self.model, self.alpha).starts[1]
        system = Bordered((begins, begins + upper), self.outer, self._with_speeds, self.solve, _moved)
        outward = math.copysign(1.0, self.target - here.alpha)
        branch = branch_on(system, here, outward=outward, until=self.target)
        return None if branch is None else on_branch(system, branch, self.target)

    def outer(self, setting: float) -> _Outer:
        if self._outer is None or self._outer[0] != setting:
            here = outer_flow(self.set_to(setting), self.alpha)
            there = outer_flow(self.set_to(setting + SLOPE_OVER), self.alpha)
            self._outer = setting, _Outer(here, (there.q0 - here.q0) / SLOPE_OVER)
        return self._outer[1]

    def _with_speeds(self, setting: float, near: _Set, q0: FloatArray, D: FloatArray) -> _Set:
        solved = solve_bodies(
            self.set_to(setting),
            self.alpha,
            near=near.solved,
            coupled=replace(self.outer(setting).flow, q0=q0, D=D),
            reynolds=near.solved.reynolds,
            most_iterations=FOLLOWING_ITERATIONS,
        )
        return _Set(solved, setting)


def _moved(found: _Set, setting: float) -> _Set:
    return replace(found, alpha=setting)
