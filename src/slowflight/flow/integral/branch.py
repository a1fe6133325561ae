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
from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.integral.coupling import mass_defects
from slowflight.flow.integral.section_flow import SectionModel, Solved, solve
from slowflight.flow.integral.wake import Coupled

ANGLE_SCALE = np.radians(1.0)  # what counts as one step in angle
MASS_SCALE = 0.2  # and in the mass defect, as a share of what it is
LONGEST, SHORTEST = 1.0, 0.02  # steps along the branch, in those units
MOST_STEPS = 80
FURTHEST_BACK = np.radians(6.0)  # a branch that turns back is followed no further than this
FARTHEST = 2.5  # times the step: what is found farther away lies on another branch
STEEPEST = 20.0  # lean of the line, in those units, beyond which the mass defect alone is prescribed
SAME_ANGLE = 1e-7  # [rad]
MOST_PATHS = 8

Outer = Callable[[float], Coupled]
"""The outer flow at an angle of attack [rad]."""


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


def trailing_mass(model: SectionModel, solved: Solved, side: int) -> float:
    """Edge speed times displacement thickness at the trailing edge, side 0 lower or 1 upper [chords]."""
    k = side * (model.body_stations - 1)
    return float(mass_defects(solved.state[k : k + 1])[0])


def on_line(model: SectionModel, near: Solved, *, line: Line, outer: Outer, alpha: float) -> Solved | None:
    """Solve for the state and the angle at which a branch crosses a line.

    Parameters
    ----------
    model : SectionModel
    near : Solved
        To start from.
    line : Line
    outer : callable
        See ``Outer``.
    alpha : float
        A guess of the angle [rad].

    Returns
    -------
    Solved or None
        Converged, at its own angle; ``None`` where there is none.
    """
    k, sign = line.side * (model.body_stations - 1), 2.0 * line.side - 1.0
    here = near
    for _ in range(MOST_PATHS):
        flow = outer(alpha)
        leaning = flow.D.copy()
        leaning[:, k] -= sign * flow.per_angle * line.lean  # acts on the signed mass defect
        bordered = replace(flow, q0=flow.q0 + flow.per_angle * (line.at - alpha), D=leaning)
        here = solve(model, alpha, near=here, coupled=bordered, reynolds=near.reynolds)
        if not here.converged:
            return None
        found = line.at - line.lean * trailing_mass(model, here, line.side)
        if abs(found - alpha) < SAME_ANGLE:
            return here
        alpha = found
    return None


def follow_branch(
    model: SectionModel, before: Solved, last: Solved, *, outer: Outer, until: float
) -> list[Solved]:
    """Follow a branch onward from two of its solutions.

    The mass defect is that of the side on which the air lets go: the upper one going up.

    Parameters
    ----------
    model : SectionModel
    before, last : Solved
        Neighbors on the branch, ``last`` the one to go on from.
    outer : callable
        See ``Outer``.
    until : float
        Angle of attack beyond which the following ends [rad].

    Returns
    -------
    list of Solved
        In order along the branch.
    """
    found: list[Solved] = []
    begun = last.alpha - np.copysign(FURTHEST_BACK, until - last.alpha)
    size = 0.5
    side = 1 if until > last.alpha else 0
    for _ in range(MOST_STEPS):
        m0, m1 = trailing_mass(model, before, side), trailing_mass(model, last, side)
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
            tried = on_line(model, last, line=line, outer=outer, alpha=ahead)
            if tried is not None:
                gone_a = (tried.alpha - last.alpha) / ANGLE_SCALE
                gone_m = (trailing_mass(model, tried, side) - m1) / mass_unit
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
class Branch:
    """Solutions in order along one branch, going outward from attached flow.

    Parameters
    ----------
    path : tuple of Solved
    outward : float
        1 going up in angle, -1 going down.
    """

    path: tuple[Solved, ...]
    outward: float

    @property
    def fold(self) -> Solved | None:
        """The outermost solution before the branch first turns back; ``None`` where it does not."""
        for here, there in zip(self.path, self.path[1:], strict=False):
            if (there.alpha - here.alpha) * self.outward < 0.0:
                return here
        return None

    def crossings(self, alpha: float) -> list[tuple[Solved, Solved, bool]]:
        """Neighbors between which the branch passes an angle, and whether it runs outward there."""
        found = []
        for here, there in zip(self.path, self.path[1:], strict=False):
            if min(here.alpha, there.alpha) <= alpha <= max(here.alpha, there.alpha):
                found.append((here, there, (there.alpha - here.alpha) * self.outward > 0.0))
        return found


def between(
    model: SectionModel, here: Solved, there: Solved, alpha: float, at: Callable[[float, Solved], Solved]
) -> Solved | None:
    """Solve at an angle between two neighbors of a branch; ``None`` where another branch was found."""
    side = 1 if alpha > 0.0 else 0
    low, high = sorted((trailing_mass(model, here, side), trailing_mass(model, there, side)))
    room = 0.5 * (high - low) + 0.02 * high
    for near in sorted((here, there), key=lambda s: abs(s.alpha - alpha)):
        tried = at(alpha, near)
        if tried.converged and low - room <= trailing_mass(model, tried, side) <= high + room:
            return tried
    return None
