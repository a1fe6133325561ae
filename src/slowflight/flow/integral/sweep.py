"""Many angles of one section: followed from attached flow, with smaller steps where Newton's method fails."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from threadpoolctl import threadpool_limits

from slowflight.flow.compiled import interruptible
from slowflight.flow.integral.branch import Bordered, Branch, branch_on, on_branch, stalled_beside
from slowflight.flow.integral.lowering import lowered
from slowflight.flow.integral.results import coefficients
from slowflight.flow.integral.section_flow import FOLLOWING_ITERATIONS, SectionModel, Solved, solve
from slowflight.flow.integral.wake import Coupled, coupled_at
from slowflight.flow.solution import FloatArray

START = np.radians(2.0)  # where a sweep begins if it can: attached on any usual section
LONGEST_STEP = np.radians(1.25)
SHORTEST_STEP = np.radians(0.25)  # beneath it the branch is followed with the angle unknown
# mass defect at the trailing edge beyond which nothing but the branch led on where it was tried [chords]
DEEP = 0.2
# after this many degrees without an answer, and two angles at least, the sweep goes no further that way
GIVE_UP = np.radians(3.0)


@dataclass(frozen=True)
class SweepPoint:
    """One angle of a sweep.

    Parameters
    ----------
    alpha : float
        [rad].
    solved : Solved
        The solution, or the last unconverged try.
    how : str
        ``"followed"`` (from attached flow), ``"afresh"`` (from a new guess, or followed from such a one),
        ``"past a fold"`` (followed round an angle at which the branch turns back), ``"from beyond"`` (from
        the next angle farther from attached flow), ``"failed"`` or ``"not tried"``.
    tried : tuple of str
        Where it failed, what was tried beside the plain step.
    fold : Solved or None
        Where the branch first turns back on the way here from attached flow.
    other : Solved or None
        The answer in stalled air at the same angle, where the branch has turned back and comes by again.
    """

    alpha: float
    solved: Solved | None
    how: str
    tried: tuple[str, ...] = ()
    fold: Solved | None = None
    other: Solved | None = None


class _Sweeper:
    """Solves single angles of one model."""

    def __init__(self, model: SectionModel) -> None:
        self.model = model

    def outer(self, alpha: float) -> Coupled:
        return coupled_at(self.model.system, alpha, wake_nodes=self.model.wake_nodes)

    def at(self, alpha: float, near: Solved | None) -> Solved:
        model, outer = self.model, self.outer(alpha)
        reynolds = model.reynolds if near is None else near.reynolds
        most = {} if near is None else {"most_iterations": FOLLOWING_ITERATIONS}
        return solve(model, alpha, near=near, coupled=outer, reynolds=reynolds, lift_of=self._lift, **most)

    def _lift(self, solved: Solved) -> float:
        return coefficients(self.model, solved).cl

    @property
    def bordered(self) -> Bordered[Solved]:
        """The same with the angle unknown."""
        ends = (0, self.model.body_stations - 1)
        return Bordered(ends, self.outer, self._with_speeds, self.at, _moved)

    def _with_speeds(self, alpha: float, near: Solved, q0: FloatArray, D: FloatArray) -> Solved:
        outer = replace(self.outer(alpha), q0=q0, D=D)
        most = FOLLOWING_ITERATIONS
        return solve(
            self.model, alpha, near=near, coupled=outer, reynolds=near.reynolds, most_iterations=most
        )

    def lowered(self, alpha: float) -> Solved | None:
        """Find an answer by lowering a plain flap step by step; ``None`` where there is no flap or answer."""
        return lowered(
            self.model,
            alpha,
            at=lambda model, angle, near: (self if model is self.model else _Sweeper(model)).at(angle, near),
        )

    def reach(self, target: float, near: Solved) -> Solved:
        """Go from one solution to an angle in steps that are halved where they fail."""
        here = near
        step = target - here.alpha
        while True:
            size = min(abs(step), abs(target - here.alpha), LONGEST_STEP)
            last = size >= abs(target - here.alpha) - 1e-9
            angle = target if last else here.alpha + np.copysign(size, target - here.alpha)
            tried = self.at(float(angle), here)
            if tried.converged:
                if last:
                    return tried
                here = tried
                step = 2.0 * size  # the difficulty may lie behind
                continue
            step = 0.5 * size
            if step < SHORTEST_STEP:
                return tried


def _moved(solved: Solved, alpha: float) -> Solved:
    return replace(solved, wake=replace(solved.wake, alpha=alpha))


def sweep(
    model: SectionModel,
    angles: Sequence[float],
    *,
    begin: Solved | None = None,
    on_solved: Callable[[SweepPoint], None] | None = None,
) -> list[SweepPoint]:
    """Solve a set of angles.

    Parameters
    ----------
    model : SectionModel
    angles : sequence of float
        [rad], any order.
    begin : Solved, optional
        A solution in attached flow to begin from, where one is known.
    on_solved : callable, optional
        Called after each angle, in the order of solution.

    Returns
    -------
    list of SweepPoint
        In the order of ``angles``.
    """
    # systems of order 200 gain nothing from threads that wait for each other, and lose much beside other work
    with interruptible(), threadpool_limits(limits=1, user_api="blas"):
        return _swept(_Sweeper(model), angles, begin, on_solved)


def _swept(
    runner: _Sweeper,
    angles: Sequence[float],
    begin: Solved | None,
    on_solved: Callable[[SweepPoint], None] | None,
) -> list[SweepPoint]:
    points: dict[float, SweepPoint] = {}
    ordered = sorted(set(angles))

    def keep(point: SweepPoint) -> None:
        points[point.alpha] = point
        if on_solved is not None and point.how != "failed":
            on_solved(point)

    first = _first(runner, ordered, begin)
    if first is None:
        points = {a: SweepPoint(a, None, "failed") for a in ordered}
    else:
        up = [a for a in ordered if a >= first.alpha]
        down = [a for a in ordered if a < first.alpha][::-1]
        for direction in (up, down):
            branch = _follow(runner, direction, first, keep) if direction else None
            _add_others(runner, branch, points)
        # upward the stalled side lies at larger angles, downward at smaller ones
        _from_beyond(runner, up, points, keep)
        _from_beyond(runner, down, points, keep)
    if on_solved is not None:
        for a in ordered:
            if points[a].how == "failed":
                on_solved(points[a])
    return [points[a] for a in angles]


def _first(runner: _Sweeper, ordered: Sequence[float], begin: Solved | None) -> Solved | None:
    """A solution near two degrees or where one is known, whether or not that angle is asked for."""
    if begin is not None:
        nearest = min(ordered, key=lambda a: abs(a - begin.alpha))
        tried = runner.at(nearest if abs(nearest - begin.alpha) < np.radians(0.6) else begin.alpha, begin)
        if tried.converged:
            return tried
    begins = []
    for offset in (0.0, 1.0, -1.0, 2.5, -2.5, 4.0, 6.0, -4.0):
        start = START + np.radians(offset)
        nearest = min(ordered, key=lambda a: abs(a - start))
        begins.append(nearest if abs(nearest - start) < np.radians(0.6) else float(start))
    for alpha in begins:
        tried = runner.at(alpha, None)
        if tried.converged:
            return tried
    for alpha in begins[:5]:
        found = runner.lowered(alpha)
        if found is not None:
            return found
    return None


def _follow(
    runner: _Sweeper, angles: Sequence[float], first: Solved, keep: Callable[[SweepPoint], None]
) -> Branch[Solved] | None:
    """Settle angles outward from a first solution; returns the branch that was followed in the end."""
    here, how = first, "followed"
    answered, failures = first.alpha, 0
    branch: Branch[Solved] | None = None
    for alpha in angles:
        if failures >= 2 and abs(alpha - answered) > GIVE_UP + 1e-9:
            keep(SweepPoint(alpha, None, "not tried"))
            continue
        if alpha == here.alpha:
            keep(SweepPoint(alpha, here, how))
            continue
        way = ["in smaller steps"]
        outward = math.copysign(1.0, alpha - first.alpha)
        tried = None if branch is None else on_branch(runner.bordered, branch, alpha)
        deep = branch is not None and runner.bordered.mass(branch.path[-1], int(outward > 0.0)) > DEEP
        if tried is None and branch is not None and deep:
            way = ["along its branch"]
            tried = runner.at(alpha, branch.path[-1])
        elif tried is None:
            tried = runner.reach(alpha, here)
            if not tried.converged and (branch is None or branch.path[0] is not here):
                branch = branch_on(runner.bordered, here, outward=outward, until=angles[-1])
                way.append("along its branch")
                tried = (None if branch is None else on_branch(runner.bordered, branch, alpha)) or tried
        fold = None if branch is None else branch.fold
        if tried.converged and how == "followed" and fold is not None and _beyond(alpha, fold, first):
            how = "past a fold"
        if not tried.converged and not deep:
            way.append("afresh")
            tried = runner.at(alpha, None)
            if not tried.converged:
                tried = runner.lowered(alpha) or tried
            if tried.converged:
                how = "afresh"  # and so is what is followed from here: it may be another branch
        if tried.converged:
            here, answered, failures = tried, alpha, 0
            keep(SweepPoint(alpha, tried, how, fold=fold if how == "past a fold" else None))
        else:
            failures += 1
            keep(SweepPoint(alpha, tried, "failed", tuple(way)))
    return branch


def _beyond(alpha: float, fold: Solved, first: Solved) -> bool:
    return (alpha - fold.alpha) * (fold.alpha - first.alpha) > 0.0


def _add_others(runner: _Sweeper, branch: Branch[Solved] | None, points: dict[float, SweepPoint]) -> None:
    """Where a branch has turned back, find the stalled answers beside the attached ones."""
    if branch is None or branch.fold is None:
        return
    for alpha, point in points.items():
        if point.how != "followed" or point.solved is None:
            continue
        other = stalled_beside(runner.bordered, branch, point.solved)
        if other is not None:
            points[alpha] = replace(point, other=other)


def _from_beyond(
    runner: _Sweeper,
    outward: Sequence[float],
    points: dict[float, SweepPoint],
    keep: Callable[[SweepPoint], None],
) -> None:
    """Try what failed once more from its neighbor farther from attached flow, the farthest first."""
    for here, beyond in zip(outward[-2::-1], outward[:0:-1], strict=True):
        point, solved = points[here], points[beyond].solved
        if point.how != "failed" or solved is None or not solved.converged:
            continue
        tried = runner.reach(here, solved)
        if tried.converged:
            keep(SweepPoint(here, tried, "from beyond"))
        else:
            points[here] = replace(point, tried=(*point.tried, "from the next angle beyond"))
