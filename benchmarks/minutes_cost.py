"""What the minutes tier costs on four grids, and how that grows with cells.

    nice python -m benchmarks.minutes_cost [preview] [medium] [default] [fine]

NACA 4412, Reynolds number 1.5 million, fully turbulent: a first start at 12 degrees, then 14 degrees from it.
Processor time of one thread (set OMP_NUM_THREADS=1); on a shared machine an upper bound. Printed: the exact
Jacobian, a factorization, a solution with it, the adjoint of lift in factorizations, both angles, and the
power of the number of cells that each follows.
"""

from __future__ import annotations

import math
import resource
import sys
import time
from collections.abc import Callable

import numpy as np

from slowflight.flow.rans.adjoint import adjoints
from slowflight.flow.rans.grid import FAMILIES, section_grid
from slowflight.flow.rans.objectives import LIFT
from slowflight.flow.rans.sweep import cold_start, levels, marching, step_to
from slowflight.wing.naca import naca_section

REYNOLDS, FIRST, SECOND = 1.5e6, 12.0, 14.0
NAMES = ("cells", "Jacobian", "factorization", "solution", "adjoint", "first start", "next angle")


def seconds(what: Callable[[], object], repeats: int = 1) -> float:
    """Processor time of one call, the least of several."""
    taken = []
    for _ in range(repeats):
        begun = time.process_time()
        what()
        taken.append(time.process_time() - begun)
    return min(taken)


def costs(family: str) -> dict[str, float]:
    """Processor times of a grid [s]."""
    grid = section_grid(naca_section("naca4412", points=401), reynolds=REYNOLDS, family=family)
    here = marching(grid, reynolds=REYNOLDS)
    begun = time.process_time()
    flow = cold_start(levels(grid), here, alpha=math.radians(FIRST), reynolds=REYNOLDS)
    first = time.process_time() - begun
    begun = time.process_time()
    after = step_to(here, flow, alpha=math.radians(SECOND))
    second = time.process_time() - begun
    if not (flow.converged and after.converged):
        raise SystemExit(
            f"{family}: no converged answer, residuals {flow.residual:.1e}, {after.residual:.1e}"
        )
    problem = here.at(after.alpha, after.circulation)
    matrix = problem.jacobian(after.q)
    right = np.ones(matrix.shape[0])
    found = {
        "cells": float(grid.cells),
        "Jacobian": seconds(lambda: problem.jacobian(after.q), 3),
        "factorization": seconds(lambda: here.solver.factorize(matrix), 2),
        "solution": seconds(lambda: here.solver.once(right), 5),
        "adjoint": seconds(lambda: adjoints(here, after, (LIFT,))),
        "first start": first,
        "next angle": second,
    }
    print(
        f"{family}: " + ", ".join(f"{name} {found[name]:.3g}" for name in NAMES)
        + f" s; adjoint {found['adjoint'] / found['factorization']:.1f} factorizations; next angle"
        f" {after.steps} steps, {after.factors} factorizations, {after.iterations} solutions; most memory"
        f" {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6:.2f} GB",
        flush=True,
    )  # fmt: skip
    return found


def main(families: list[str]) -> None:
    """Run the grids and fit the powers."""
    costs(families[0])  # compiles
    rows = [costs(family) for family in families]
    if len(rows) > 1:
        cells = np.log([row["cells"] for row in rows])
        for name in NAMES[1:]:
            power = np.polyfit(cells, np.log([row[name] for row in rows]), 1)[0]
            print(f"{name}: cells to the power {power:.2f}")


if __name__ == "__main__":
    main(sys.argv[1:] or list(FAMILIES))
