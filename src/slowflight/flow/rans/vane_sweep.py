"""Angle after angle with rows of vanes: the march and the solver take turns at each until lift stays."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.integral.marched_rows import RELAXED
from slowflight.flow.integral.section_flow import SectionModel
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.grid import Grid
from slowflight.flow.rans.marched_stress import RowStress, marched_stress
from slowflight.flow.rans.newton import Flow, Marching, solve
from slowflight.flow.rans.skin_layers import on_panels, skin_layers
from slowflight.flow.rans.sweep import (
    EASY_ANGLE,
    NEXT_CFL,
    NEXT_STEPS,
    cold_start,
    levels,
    marching,
    step_to,
)
from slowflight.flow.rans.vane_push import Places, places, push
from slowflight.flow.solution import FloatArray

PASSES, LIFT_STAYS = 3, 1e-3
FULLY_TURBULENT = (0.0, 0.0)


@dataclass(frozen=True, eq=False)
class VanedFlow:
    """A solved angle with what the rows do there.

    Parameters
    ----------
    flow : Flow
    made : FloatArray
        The rows' push it was solved with, shape (n, 4).
    rows : tuple of RowStress
        The last march of each.
    change : float
        Of lift by the last march.
    """

    flow: Flow
    made: FloatArray
    rows: tuple[RowStress, ...]
    change: float

    @property
    def settled(self) -> bool:
        """Whether lift stayed."""
        return self.change < LIFT_STAYS


@dataclass(frozen=True, eq=False)
class RowsOnGrid:
    """Rows of vanes and the grid they push on.

    Parameters
    ----------
    grid : Grid
    model : SectionModel
        Of the seconds tier: where the rows stand on the outline, their sizes, trips and constants.
    where : Places
    """

    grid: Grid
    model: SectionModel
    where: Places

    @property
    def panel_length(self) -> float:
        """Of the outline the rows were placed on [chords]."""
        return float(self.model.system.body.arc[-1])

    def marched(
        self, here: Marching, flow: Flow, laminar: tuple[float, float] = FULLY_TURBULENT
    ) -> tuple[RowStress, ...]:
        """March every row in the layers of a flow."""
        problem = here.at(flow.alpha, flow.circulation)
        layers = on_panels(
            skin_layers(problem, self.grid, flow.q), panel_arc=self.model.system.body.arc, alpha=flow.alpha,
            reynolds=1.0 / problem.setting.nu, laminar=laminar, critical=self.model.critical,
            lag=self.model.lag,
        )  # fmt: skip
        return tuple(
            marched_stress(row, sizes, layers)
            for row, sizes in zip(self.model.rows, self.model.sizes, strict=True)
        )

    def pushed(self, here: Marching, rows: Sequence[RowStress]) -> FloatArray:
        """What they push, shape (n, 4)."""
        return push(here.problem.mesh, self.where, rows, panel_length=self.panel_length)


def rows_on_grid(grid: Grid, here: Marching, model: SectionModel) -> RowsOnGrid:
    """Lay rows of vanes on a grid."""
    return RowsOnGrid(grid, model, places(grid, here.problem.mesh))


def pushing(here: Marching, made: FloatArray) -> Marching:
    """The same problem with sources."""
    return replace(here, problem=replace(here.problem, setting=here.problem.setting._replace(made=made)))


def settle(
    here: Marching, rows: RowsOnGrid, flow: Flow, made: FloatArray, *, passes: int = PASSES
) -> VanedFlow:
    """March and solve in turn at one angle until lift stays.

    Parameters
    ----------
    here : Marching
        The problem without vanes.
    rows : RowsOnGrid
    flow : Flow
        A converged flow at the angle with ``made``.
    made : FloatArray
        What pushed it, shape (n, 4); a second or later march at one angle counts in part, as in the seconds
        tier.
    passes : int
        Most marches.

    Returns
    -------
    VanedFlow
        The last converged one.
    """
    change = np.inf
    stresses: tuple[RowStress, ...] = ()
    for number in range(passes):
        found = rows.marched(here, flow)
        wanted = rows.pushed(here, found)
        if number > 0:
            wanted = RELAXED * wanted + (1.0 - RELAXED) * made
        there = pushing(here, wanted)
        again = solve(
            there, alpha=flow.alpha, q=flow.q, circulation=flow.circulation, first_cfl=NEXT_CFL,
            most_steps=NEXT_STEPS,
        )  # fmt: skip
        stresses = found
        if not again.converged:
            break
        change = abs(2.0 * (again.circulation - flow.circulation))
        again = replace(again, steps=again.steps + flow.steps)
        flow, made = again, wanted
        if change < LIFT_STAYS:
            break
    return VanedFlow(flow, made, stresses, change)


def vane_sweep(
    grid: Grid,
    *,
    reynolds: float,
    angles: Sequence[float],
    model: SectionModel,
    recall: Callable[[float], Flow | None] | None = None,
    on_solved: Callable[[Marching, VanedFlow], None] | None = None,
) -> dict[float, VanedFlow]:
    """Solve at angles [rad] with rows of vanes, up and down from the easiest.

    Parameters
    ----------
    grid : Grid
    reynolds : float
    angles : sequence of float
        [rad]
    model : SectionModel
        Holds the rows.
    recall : callable, optional
        Returns the flow of an angle solved earlier, or ``None``.
    on_solved : callable, optional
        Called with the problem solved last and each flow, converged or not.

    Returns
    -------
    dict
        By angle; angles not reached are missing.
    """
    here = marching(grid, reynolds=reynolds)
    rows = rows_on_grid(grid, here, model)
    ordered = sorted(set(angles))
    start = min(ordered, key=lambda a: abs(a - EASY_ANGLE))
    known = None if recall is None else recall(start)
    clean = cold_start(levels(grid), here, alpha=start, reynolds=reynolds) if known is None else known
    found: dict[float, VanedFlow] = {}

    def take(vaned: VanedFlow) -> None:
        found[vaned.flow.alpha] = vaned
        if on_solved is not None:
            on_solved(pushing(here, vaned.made), vaned)

    def reached(flow: Flow, made: FloatArray, *, known: bool) -> VanedFlow:
        if known:
            stresses = rows.marched(here, flow)
            return VanedFlow(flow, rows.pushed(here, stresses), stresses, 0.0)
        if not flow.converged:
            return VanedFlow(flow, made, (), np.inf)
        return settle(here, rows, flow, made)

    first = reached(clean, np.zeros_like(clean.q), known=known is not None)
    take(first)
    if not first.flow.converged:
        return found
    for branch in ([a for a in ordered if a > start], [a for a in reversed(ordered) if a < start]):
        last = first
        for alpha in branch:
            flow = None if recall is None else recall(alpha)
            kept = flow is not None
            if flow is None:
                flow = step_to(pushing(here, last.made), last.flow, alpha=alpha)
            last = reached(flow, last.made, known=kept)
            take(last)
            if not last.flow.converged:
                break
    return found


def vane_force(here: Marching, made: FloatArray, *, alpha: float) -> tuple[float, float]:
    """Lift and drag coefficients on the vanes themselves: the push on the air, turned round."""
    total = -2.0 * np.sum(made[:, 1:3] * here.problem.mesh.volume[:, None], axis=0)
    return (
        float(-np.sin(alpha) * total[0] + np.cos(alpha) * total[1]),
        float(np.cos(alpha) * total[0] + np.sin(alpha) * total[1]),
    )


def whole_force(here: Marching, vaned: VanedFlow) -> tuple[float, float, float, float]:
    """Lift, drag, moment of section and vanes, and the vanes' drag in it."""
    flow = vaned.flow
    body = force(here.at(flow.alpha, flow.circulation), flow.q, alpha=flow.alpha)
    lift, drag = vane_force(here, vaned.made, alpha=flow.alpha)
    return body.lift + lift, body.drag + drag, body.moment, drag
