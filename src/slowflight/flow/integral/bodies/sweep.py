"""Many angles of several elements, followed from attached flow.

Where no first guess leads to an answer at the flap's setting, the flap is raised until one does, and lowered
from there (``lowering``).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from threadpoolctl import threadpool_limits

from slowflight.flow.compiled import interruptible
from slowflight.flow.integral.bodies.lowering import FOLLOWING_ITERATIONS, lowered_to
from slowflight.flow.integral.bodies.model import ElementsModel, SolvedBodies, outer_flow, solve_bodies
from slowflight.flow.integral.bodies.results import element_forces, element_layer, total
from slowflight.flow.integral.bodies.wakes import CoupledBodies
from slowflight.flow.integral.branch import Bordered, Branch, branch_on, on_branch, stalled_beside
from slowflight.flow.integral.results import trailing_separation
from slowflight.flow.solution import FloatArray

STARTS = tuple(math.radians(a) for a in (2.0, 0.0, 4.0, -2.0, 6.0, 9.0))  # where a sweep begins if it can
LONGEST_STEP, SHORTEST_STEP = math.radians(1.25), math.radians(0.12)
FAR_DOWN = math.radians(
    15.0
)  # deflection beyond which an angle without an answer is tried by lowering the flap
GIVE_UP_AFTER = math.radians(3.0)  # of angles without an answer


@dataclass(frozen=True)
class ElementsPoint:
    """One angle of a sweep.

    Parameters
    ----------
    alpha : float
        [rad].
    solved : SolvedBodies or None
        The solution, or the last unconverged try.
    how : str
        ``"followed"`` (from attached flow), ``"from beyond"`` (from the next angle on the side of the stall),
        ``"past a fold"`` (followed round an angle at which the branch turns back), ``"afresh"`` (from a new
        guess, or followed from such a one), ``"failed"`` or ``"not tried"``.
    fold : SolvedBodies or None
        Where the branch first turns back on the way here from attached flow.
    other : SolvedBodies or None
        The answer in stalled air at the same angle, where the branch has turned back and comes by again.
    """

    alpha: float
    solved: SolvedBodies | None
    how: str
    fold: SolvedBodies | None = None
    other: SolvedBodies | None = None


class _Runner:
    """Solves single angles of one model."""

    def __init__(self, model: ElementsModel) -> None:
        self.model = model
        self._afresh: dict[float, SolvedBodies] = {}

    def outer(self, alpha: float) -> CoupledBodies:
        return outer_flow(self.model, alpha)

    def at(self, alpha: float, near: SolvedBodies | None) -> SolvedBodies:
        """Solve one angle from a solution close by, or afresh, which is done once for each angle."""
        if near is not None:
            return self._at(alpha, near)
        if alpha not in self._afresh:
            self._afresh[alpha] = self._at(alpha, None)
        return self._afresh[alpha]

    @property
    def bordered(self) -> Bordered[SolvedBodies]:
        """The same with the angle unknown."""
        upper = self.model.system.bodies[0].outline.x.size - 1
        return Bordered((0, upper), self.outer, self._with_speeds, self.at, _moved)

    def _with_speeds(self, alpha: float, near: SolvedBodies, q0: FloatArray, D: FloatArray) -> SolvedBodies:
        outer = replace(self.outer(alpha), q0=q0, D=D)
        most = FOLLOWING_ITERATIONS
        return solve_bodies(
            self.model, alpha, near=near, coupled=outer, reynolds=near.reynolds, most_iterations=most
        )

    def _at(self, alpha: float, near: SolvedBodies | None) -> SolvedBodies:
        model, outer = self.model, self.outer(alpha)
        reynolds = model.reynolds if near is None else near.reynolds
        most = {} if near is None else {"most_iterations": FOLLOWING_ITERATIONS}
        tried = solve_bodies(
            model, alpha, near=near, coupled=outer, reynolds=reynolds, lift_of=self._lift, **most
        )
        if not tried.converged and near is not None and tried.reynolds != reynolds:
            # lost on the way to its own speed
            return solve_bodies(model, alpha, coupled=outer, reynolds=tried.reynolds, lift_of=self._lift)
        return tried

    def _lift(self, solved: SolvedBodies) -> float:
        return total(element_forces(self.model, solved)).cl

    def reach(self, target: float, near: SolvedBodies, *, at_first: float = 1.0) -> SolvedBodies:
        """Go from one solution to an angle, a share of the way at first, in steps halved where they fail."""
        here = near
        step = at_first * (target - here.alpha)
        while True:
            size = min(abs(step), abs(target - here.alpha), LONGEST_STEP)
            last = size >= abs(target - here.alpha) - 1e-9
            angle = target if last else here.alpha + math.copysign(size, target - here.alpha)
            tried = self.at(angle, here)
            if tried.converged:
                if last:
                    return tried
                here = tried
                step = 2.0 * size  # the difficulty may lie behind
                continue
            step = 0.5 * size
            if step < SHORTEST_STEP:
                return tried


def _moved(solved: SolvedBodies, alpha: float) -> SolvedBodies:
    return replace(solved, alpha=alpha)


def lowered(model: ElementsModel, alpha: float) -> SolvedBodies | None:
    """A solution at one angle [rad] found by lowering the flap, else ``None``; see ``lowering``."""
    return lowered_to(model, alpha, at=lambda turned, angle, near: _Runner(turned).at(angle, near))


def sweep_elements(
    model: ElementsModel,
    angles: Sequence[float],
    *,
    begin: SolvedBodies | None = None,
    on_solved: Callable[[ElementsPoint], None] | None = None,
) -> list[ElementsPoint]:
    """Solve a set of angles.

    Parameters
    ----------
    model : ElementsModel
    angles : sequence of float
        [rad], any order.
    begin : SolvedBodies, optional
        A solution in attached flow to begin from, where one is known.
    on_solved : callable, optional
        Called once for each angle when it is settled.

    Returns
    -------
    list of ElementsPoint
        In the order of ``angles``.
    """
    # systems of order 350 gain little from threads that wait for each other, and lose much beside other work
    with interruptible(), threadpool_limits(limits=1, user_api="blas"):
        points = _swept(_Runner(model), sorted(set(angles)), begin, on_solved)
    return [points[a] for a in angles]


def _swept(
    runner: _Runner,
    ordered: Sequence[float],
    begin: SolvedBodies | None,
    on_solved: Callable[[ElementsPoint], None] | None,
) -> dict[float, ElementsPoint]:
    points: dict[float, ElementsPoint] = {}

    def keep(point: ElementsPoint) -> None:
        points[point.alpha] = point
        if on_solved is not None and point.how not in ("failed", "not tried"):
            on_solved(point)

    first = _first(runner, ordered, begin)
    if first is None:
        points = {a: ElementsPoint(a, None, "failed") for a in ordered}
    else:
        up, down = [a for a in ordered if a >= first.alpha], [a for a in ordered if a < first.alpha][::-1]
        for direction in (up, down):
            branch = _follow(runner, direction, first, keep)
            if branch is None or branch.fold is None:
                continue
            for alpha, point in points.items():
                if point.how == "followed" and point.solved is not None:
                    points[alpha] = replace(
                        point, other=stalled_beside(runner.bordered, branch, point.solved)
                    )
        _from_beyond(runner, ordered, points, keep)
    if on_solved is not None:
        for a in ordered:
            if points[a].how in ("failed", "not tried"):
                on_solved(points[a])
    return points


def _first(runner: _Runner, ordered: Sequence[float], begin: SolvedBodies | None) -> SolvedBodies | None:
    """A solution near two degrees or where one is known, whether or not that angle is asked for."""
    if begin is not None:
        nearest = min(ordered, key=lambda a: abs(a - begin.alpha))
        close = abs(nearest - begin.alpha) < math.radians(0.6)
        tried = runner.at(nearest if close else begin.alpha, begin)
        if tried.converged:
            return tried
    begins = []
    for start in STARTS:
        nearest = min(ordered, key=lambda a: abs(a - start))
        begins.append(nearest if abs(nearest - start) < math.radians(0.6) else start)
    for alpha in begins:
        tried = runner.at(alpha, None)
        if tried.converged:
            return tried
    for alpha in begins:
        found = lowered(runner.model, alpha)
        if found is not None:
            return found
    return None


def _follow(
    runner: _Runner, angles: Sequence[float], first: SolvedBodies, keep: Callable[[ElementsPoint], None]
) -> Branch[SolvedBodies] | None:
    """Settle angles outward from a first solution; returns the branch that was followed in the end."""
    here, how, failing_from = first, "followed", None
    branch: Branch[SolvedBodies] | None = None
    may_lower = True
    for alpha in angles:
        if failing_from is not None and abs(alpha - failing_from) > GIVE_UP_AFTER + 1e-9:
            keep(ElementsPoint(alpha, None, "not tried"))
            continue
        if alpha == here.alpha:
            keep(ElementsPoint(alpha, here, how))
            continue
        now = how
        tried = None if branch is None else on_branch(runner.bordered, branch, alpha)
        if tried is None:
            tried = _next(runner, alpha, here)
            if not tried.converged and (branch is None or branch.path[0] is not here):
                outward = math.copysign(1.0, alpha - first.alpha)
                branch = branch_on(runner.bordered, here, outward=outward, until=angles[-1])
                tried = (None if branch is None else on_branch(runner.bordered, branch, alpha)) or tried
        fold = None if branch is None else branch.fold
        if tried.converged and how == "followed" and fold is not None:
            now = "past a fold" if (alpha - fold.alpha) * (fold.alpha - first.alpha) > 0.0 else now
        if not tried.converged:
            tried, now = runner.at(alpha, None), "afresh"
            if not tried.converged and may_lower and abs(runner.model.elements.flap_angle) > FAR_DOWN:
                tried = lowered(runner.model, alpha) or tried
                may_lower = tried.converged  # the longest way of all; past one failure it only costs time
            if tried.converged and _attached(runner.model, tried):
                now = "followed"  # as good a beginning as the first angle's
        if tried.converged:
            here, failing_from = tried, None
            how = now
            keep(ElementsPoint(alpha, tried, now, fold=fold if now == "past a fold" else None))
        else:
            failing_from = alpha if failing_from is None else failing_from
            keep(ElementsPoint(alpha, tried, "failed"))
    return branch


def _next(runner: _Runner, alpha: float, here: SolvedBodies) -> SolvedBodies:
    """From one solution to the next angle; in attached flow a new guess is a short way round a difficulty."""
    if abs(alpha - here.alpha) <= LONGEST_STEP and _attached(runner.model, here):
        tried = runner.at(alpha, here)
        if not tried.converged:
            tried = runner.at(alpha, None)
        if tried.converged and _attached(runner.model, tried):
            return tried
        return runner.reach(alpha, here, at_first=0.5)
    return runner.reach(alpha, here)


def _attached(model: ElementsModel, solved: SolvedBodies) -> bool:
    """Whether air stays on the main element's upper side up to its last tenth."""
    upper = element_layer(model, solved, 0, "upper")
    off = trailing_separation(upper)
    return off is None or off > 0.9


def _from_beyond(
    runner: _Runner,
    ordered: Sequence[float],
    points: dict[float, ElementsPoint],
    keep: Callable[[ElementsPoint], None],
) -> None:
    """Try what failed once more from the nearest solution further from attached flow."""
    for i in range(len(ordered) - 2, -1, -1):
        if points[ordered[i]].how != "failed" or ordered[i] < STARTS[0]:
            continue
        above = points[ordered[i + 1]].solved
        if above is None or not above.converged:
            continue
        tried = runner.reach(ordered[i], above)
        if tried.converged:
            keep(ElementsPoint(ordered[i], tried, "from beyond"))
