"""Solutions followed along their branch, through angles at which they turn back.

At a fixed angle of attack Newton's method finds no solution beyond a turning point. Here the angle is an
unknown as well: a line in the plane of angle and mass defect at a trailing edge (which grows as the air
lets go on that side) is prescribed in its place, drawn square to the branch as it ran so far. That is the
bordered system of pseudo-arclength continuation with a plane for the arc (Keller 1977). The line makes the
angle a linear function of one mass defect, and the speeds without layers are linear in the angle while the
wake keeps its path: so the border is one more column in the response of the outer flow, and the wake's path
is renewed until the angle stands.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

import numpy as np

from slowflight.flow.integral.coupling import mass_defects
from slowflight.flow.solution import FloatArray

ANGLE_SCALE = np.radians(1.0)  # what counts as one step in angle
MASS_SCALE = 0.2  # and in the mass defect, as a share of what it is
LONGEST, SHORTEST = 1.0, 0.02  # steps along the branch, in those units
MOST_STEPS = 80
BESIDE = np.radians(0.3)  # how far inward the neighbor lies that gives a branch its direction
FURTHEST_BACK = np.radians(6.0)  # a branch that turns back is followed no further than this
FARTHEST = 2.5  # times the step: what is found farther away lies on another branch
STEEPEST = 20.0  # lean of the line, in those units, beyond which the mass defect alone is prescribed
# the wakes' paths may be those of an angle this far away: answers at given angles are solved anew from here
SAME_ANGLE = np.radians(0.1)
MOST_PATHS = 8


class State(Protocol):
    """What a branch needs of a solution."""

    @property
    def alpha(self) -> float:
        """Angle of attack [rad]."""
        ...

    @property
    def state(self) -> FloatArray:
        """Unknowns at all stations, shape (n, 5)."""
        ...

    @property
    def converged(self) -> bool:
        """Whether it is a solution."""
        ...


class Outer(Protocol):
    """What a branch needs of the outer flow at an angle."""

    @property
    def q0(self) -> FloatArray:
        """Signed speeds without layers, shape (n,)."""
        ...

    @property
    def D(self) -> FloatArray:
        """Change of ``q0`` per signed mass defect, shape (n, n)."""
        ...

    @property
    def per_angle(self) -> FloatArray:
        """Change of ``q0`` with the angle [1/rad], shape (n,)."""
        ...


S = TypeVar("S", bound=State)


@dataclass(frozen=True)
class Line:
    """Angle of attack as a function of the mass defect at a trailing edge: ``at - lean * mass``.

    Parameters
    ----------
    side : int
        0 for the lower side's, 1 for the upper side's.
    at : float
        [rad].
    lean : float
        [rad/chord].
    """

    side: int
    at: float
    lean: float


@dataclass(frozen=True)
class Bordered(Generic[S]):
    """How to solve a section, or several, with the angle unknown.

    Parameters
    ----------
    stations : tuple of int
        Of the (main) body's trailing edge, lower and upper side.
    outer : callable
        The outer flow at an angle of attack [rad].
    solve : callable
        Solves at an angle from a solution close by, with q0 and D given.
    at : callable
        Solves at a fixed angle from a solution close by.
    moved : callable
        Says of a solution that its angle is another one close by.
    """

    stations: tuple[int, int]
    outer: Callable[[float], Outer]
    solve: Callable[[float, S, FloatArray, FloatArray], S]
    at: Callable[[float, S], S]
    moved: Callable[[S, float], S]

    def mass(self, solved: S, side: int) -> float:
        """Edge speed times displacement thickness at the trailing edge, side 0 lower or 1 upper [chords]."""
        k = self.stations[side]
        return float(mass_defects(solved.state[k : k + 1])[0])

    def on_line(self, near: S, *, line: Line, alpha: float) -> S | None:
        """Solve for the state and the angle at which a branch crosses a line, from a guess of the angle.

        Returns
        -------
        State or None
            Converged, at its own angle; ``None`` where there is none.
        """
        k, sign = self.stations[line.side], 2.0 * line.side - 1.0
        here = near
        for _ in range(MOST_PATHS):
            flow = self.outer(alpha)
            leaning = flow.D.copy()
            leaning[:, k] -= sign * flow.per_angle * line.lean  # acts on the signed mass defect
            here = self.solve(alpha, here, flow.q0 + flow.per_angle * (line.at - alpha), leaning)
            if not here.converged:
                return None
            found = line.at - line.lean * self.mass(here, line.side)
            if abs(found - alpha) < SAME_ANGLE:
                return self.moved(here, found)
            alpha = found
        return None


def follow_branch(system: Bordered[S], before: S, last: S, *, until: float) -> list[S]:
    """Follow a branch onward from two of its solutions.

    The mass defect is that of the side on which the air lets go: the upper one going up.

    Parameters
    ----------
    system : Bordered
    before, last : State
        Neighbors on the branch, ``last`` the one to go on from.
    until : float
        Angle of attack beyond which the following ends [rad].

    Returns
    -------
    list of State
        In order along the branch.
    """
    found: list[S] = []
    begun = last.alpha - np.copysign(FURTHEST_BACK, until - last.alpha)
    size = 0.5
    side = 1 if until > last.alpha else 0
    for _ in range(MOST_STEPS):
        m0, m1 = system.mass(before, side), system.mass(last, side)
        mass_unit = MASS_SCALE * m1
        a, m = (last.alpha - before.alpha) / ANGLE_SCALE, (m1 - m0) / mass_unit
        long = np.hypot(a, m)
        a, m = a / long, m / long
        a = float(np.copysign(max(abs(a), 1.0 / STEEPEST), a))
        lean = m / a * ANGLE_SCALE / mass_unit
        while True:
            # the line through the point a step ahead, square to the way there
            ahead = last.alpha + size * a * ANGLE_SCALE
            line = Line(side, ahead + lean * (m1 + size * m * mass_unit), lean)
            tried = system.on_line(last, line=line, alpha=ahead)
            if tried is not None:
                gone_a = (tried.alpha - last.alpha) / ANGLE_SCALE
                gone_m = (system.mass(tried, side) - m1) / mass_unit
                if np.hypot(gone_a, gone_m) <= FARTHEST * size:
                    break
            size *= 0.5
            if size < SHORTEST:
                return found
        found.append(tried)
        before, last = last, tried
        size = min(1.5 * size, LONGEST)
        if (tried.alpha > until) == (side == 1) or (tried.alpha > begun) != (side == 1):
            break
    return found


@dataclass(frozen=True)
class Branch(Generic[S]):
    """Solutions in order along one branch, going outward from attached flow.

    Parameters
    ----------
    path : tuple of State
    outward : float
        1 going up in angle, -1 going down.
    """

    path: tuple[S, ...]
    outward: float

    @property
    def fold(self) -> S | None:
        """The outermost solution before the branch first turns back; ``None`` where it does not."""
        for here, there in zip(self.path, self.path[1:], strict=False):
            if (there.alpha - here.alpha) * self.outward < 0.0:
                return here
        return None

    def crossings(self, alpha: float) -> list[tuple[S, S, bool]]:
        """Neighbors between which the branch passes an angle, and whether it runs outward there."""
        found = []
        for here, there in zip(self.path, self.path[1:], strict=False):
            if min(here.alpha, there.alpha) <= alpha <= max(here.alpha, there.alpha):
                found.append((here, there, (there.alpha - here.alpha) * self.outward > 0.0))
        return found


def between(system: Bordered[S], branch: Branch[S], here: S, there: S, alpha: float) -> S | None:
    """Solve at an angle between two neighbors of a branch; ``None`` where another branch was found."""
    side = 1 if branch.outward > 0.0 else 0
    low, high = sorted((system.mass(here, side), system.mass(there, side)))
    room = 0.5 * (high - low) + 0.02 * high
    for near in sorted((here, there), key=lambda s: abs(s.alpha - alpha)):
        tried = system.at(alpha, near)
        if tried.converged and low - room <= system.mass(tried, side) <= high + room:
            return tried
    return None


def branch_on(system: Bordered[S], here: S, *, outward: float, until: float) -> Branch[S] | None:
    """The branch from a solution outward, through angles at which it turns back; ``None`` without a step."""
    before = system.at(here.alpha - outward * BESIDE, here)
    if not before.converged:
        return None
    path = follow_branch(system, before, here, until=until)
    return Branch((here, *path), outward) if path else None


def on_branch(system: Bordered[S], branch: Branch[S], alpha: float) -> S | None:
    """The first answer at an angle along a branch."""
    for here, there, _ in branch.crossings(alpha)[:1]:
        return between(system, branch, here, there, alpha)
    return None


def stalled_beside(system: Bordered[S], branch: Branch[S], attached: S) -> S | None:
    """The stalled answer beside an attached one, where a branch has turned back and comes by again."""
    stalled = [c for c in branch.crossings(attached.alpha) if c[2] and c[0] is not branch.path[0]]
    for here, there, _ in stalled[-1:]:
        other = between(system, branch, here, there, attached.alpha)
        # the fold's own neighborhood is no second answer
        if other is not None and not np.allclose(other.state, attached.state, atol=1e-3):
            return other
    return None
