"""Newton's method to round-off, led there by steps in a made-up time.

Each step solves (volume over local time step + Jacobian) change = - residual, exactly. Time steps grow as the
residual falls, so that the method ends as Newton's own (switched evolution relaxation, Mulder and van Leer
1985). The circulation of the far-field vortex is an unknown of its own, coupled through a border of the
matrix, so that nothing lags.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from slowflight.errors import Unconverged
from slowflight.flow.rans.far_field import outer_slopes, outer_state
from slowflight.flow.rans.flux import BETA
from slowflight.flow.rans.forces import force, force_slopes
from slowflight.flow.rans.residual import Problem, outer_change, wave_flux
from slowflight.flow.rans.sparse_direct import BLOCK, DirectSolver
from slowflight.flow.solution import FloatArray

TOLERANCE = 1e-9
ROWS = np.array([1.0, 1.0, 1.0, 0.01])  # weight of each equation in the residual's norm
LARGEST_CHANGE = 0.5  # of pressure and velocities in one step
LOOSE = 5.0  # a step may raise the residual by this much: a tighter search gets stuck
LARGEST_CFL = 1e8
CAREFUL_ABOVE, HASTY_BELOW = 0.25, 0.05  # largest change of a step that slows, or frees, the time step
KEEP_FACTOR_BELOW, KEEP_FACTOR_CFL = 1e-4, 1e5  # from here on a factor serves more than once
KEEP_GAIN = 0.1


@dataclass(frozen=True, eq=False)
class Flow:
    """A state and how far it is solved.

    Parameters
    ----------
    alpha : float
        Angle of attack [rad].
    q : FloatArray
        Pressure, velocities, turbulence variable of each cell, shape (n, 4).
    circulation : float
        Of the far-field vortex.
    residual : float
        Root of the summed squares of the weighted residuals.
    converged : bool
    steps, factors : int
        Newton steps and factorizations.
    history : tuple of float
        Residual before each step and at the end.
    """

    alpha: float
    q: FloatArray
    circulation: float
    residual: float
    converged: bool
    steps: int
    factors: int
    history: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Marching:
    """A problem that can be solved at any angle of attack.

    Parameters
    ----------
    problem : Problem
    solver : DirectSolver
    turbulence : float
        Working variable of the free stream over molecular viscosity.
    vortex : bool
        Whether the outer state carries the vortex of the lift.
    """

    problem: Problem
    solver: DirectSolver
    turbulence: float
    vortex: bool = True

    def at(self, alpha: float, circulation: float) -> Problem:
        """The problem with the outer state of an angle and a circulation."""
        outer = outer_state(
            self.problem.mesh, alpha=alpha, circulation=circulation, turbulence=self.turbulence
        )
        return replace(self.problem, setting=self.problem.setting._replace(outer=outer))


def uniform_state(marching: Marching, *, alpha: float) -> FloatArray:
    """The free stream everywhere, slowed near walls, shape (n, 4)."""
    near = marching.problem.mesh.distance
    slowed = np.tanh(near / 0.01)
    q = np.zeros((near.size, 4))
    q[:, 1], q[:, 2] = np.cos(alpha) * slowed, np.sin(alpha) * slowed
    # turbulence in the layer from the start, or it may stay laminar for good
    q[:, 3] = marching.turbulence + 100.0 * (near / 0.02) * np.exp(1.0 - near / 0.02)
    return q


def solve(
    marching: Marching,
    *,
    alpha: float,
    q: FloatArray,
    circulation: float = 0.0,
    first_cfl: float = 10.0,
    most_steps: int = 40,
    tolerance: float = TOLERANCE,
    on_step: Callable[[int, float, float], None] | None = None,
) -> Flow:
    """Solve at one angle from a first guess.

    Parameters
    ----------
    marching : Marching
    alpha : float
        Angle of attack [rad].
    q : FloatArray
        First guess, shape (n, 4).
    circulation : float
        First guess of the far-field vortex.
    first_cfl : float
        First local time step, in cells crossed by the fastest wave.
    most_steps : int
    tolerance : float
        On the weighted norm of the residual.
    on_step : callable, optional
        Called with step, residual and time step.

    Returns
    -------
    Flow
        Its ``converged`` says whether the tolerance was met.
    """
    mesh = marching.problem.mesh
    cfl, factors = first_cfl, 0
    q = q.copy()
    problem = marching.at(alpha, circulation)
    r, gap = problem.residual(q), _gap(marching, problem, q, circulation, alpha)
    size = _norm(r, gap)
    history = [size]
    kept = False
    step = 0
    while size > tolerance and step < most_steps:
        step += 1
        if not kept:
            waves = wave_flux(q, mesh)
            matrix = problem.jacobian(q)
            _add_time(matrix, waves / cfl)
            factors += 1
            marching.solver.factorize(matrix)
        try:
            change, turn = _step(marching, problem, q, r, gap, alpha)
        except Unconverged:
            cfl, kept = 0.1 * cfl, False
            if cfl < 1e-3:
                break
            continue
        most = float(np.max(np.abs(change[:, :3])))
        scale = min(1.0, LARGEST_CHANGE / most) if np.isfinite(most) else 0.0
        taken = False
        while scale > 1e-3:
            q_new, circulation_new = q + scale * change, circulation + scale * turn
            problem_new = marching.at(alpha, circulation_new)
            r_new = problem_new.residual(q_new)
            gap_new = _gap(marching, problem_new, q_new, circulation_new, alpha)
            size_new = _norm(r_new, gap_new)
            if kept:
                taken = size_new < KEEP_GAIN * size
                break
            unsteady = r_new + _time_term(waves / cfl, scale * change)
            if _norm(unsteady, gap_new) < LOOSE * size:
                taken = True
                break
            scale *= 0.5
        if on_step is not None:
            on_step(step, size_new if taken else np.nan, 0.0 if kept else cfl)
        if not taken:
            if not kept:
                cfl *= 0.1
                if cfl < 1e-3:
                    break
            kept = False
            continue
        ratio = size / max(size_new, 1e-300)
        q, circulation, problem, r, gap, size = q_new, circulation_new, problem_new, r_new, gap_new, size_new
        history.append(size)
        cfl = min(LARGEST_CFL, cfl * _growth(ratio, scale * most))
        kept = size < KEEP_FACTOR_BELOW and (kept or cfl > KEEP_FACTOR_CFL)
    return Flow(alpha, q, circulation, size, size <= tolerance, step, factors, tuple(history))


def tangent(marching: Marching, flow: Flow) -> tuple[FloatArray, float]:
    """Change of state and circulation with the angle of attack, by the last factorization [1/rad]."""
    problem = marching.at(flow.alpha, flow.circulation)
    by_circulation, by_alpha = outer_slopes(problem.mesh, alpha=flow.alpha, circulation=flow.circulation)
    right = outer_change(flow.q, problem.mesh, problem.setting, by_alpha)
    # lift turns with the angle too: its derivative at a fixed state is minus the drag
    now = force(problem, flow.q, alpha=flow.alpha)
    return _bordered(marching, problem, flow.q, right, 0.5 * now.drag, by_circulation, flow.alpha)


def _growth(ratio: float, most: float) -> float:
    """Factor on the time step after a step that lowered the residual by ``ratio`` and moved by ``most``."""
    if most > CAREFUL_ABOVE:
        return float(np.clip(ratio, 0.5, 1.2))
    if most < HASTY_BELOW:
        return float(np.clip(2.0 * ratio, 1.5, 10.0))
    return float(np.clip(1.5 * ratio, 1.0, 4.0))


def _norm(r: FloatArray, gap: float) -> float:
    found = float(np.sqrt(np.sum((r * ROWS) ** 2) + gap * gap))
    return found if np.isfinite(found) else np.inf


def _gap(marching: Marching, problem: Problem, q: FloatArray, circulation: float, alpha: float) -> float:
    if not marching.vortex:
        return 0.0
    return circulation - 0.5 * force(problem, q, alpha=alpha).lift


def _time_term(rate: FloatArray, change: FloatArray) -> FloatArray:
    term = rate[:, None] * change
    term[:, 0] /= BETA
    return term


def _add_time(matrix: object, rate: FloatArray) -> None:
    """Add volume over time step to the diagonal blocks."""
    starts, columns, data = matrix.indptr, matrix.indices, matrix.data  # type: ignore[attr-defined]
    rows = np.repeat(np.arange(len(rate)), np.diff(starts))
    diagonal = np.flatnonzero(columns == rows)
    for var in range(BLOCK):
        data[diagonal, var, var] += rate / (BETA if var == 0 else 1.0)


def _step(
    marching: Marching, problem: Problem, q: FloatArray, r: FloatArray, gap: float, alpha: float
) -> tuple[FloatArray, float]:
    by_circulation, _ = outer_slopes(problem.mesh, alpha=alpha, circulation=0.0)
    return _bordered(marching, problem, q, r, gap, by_circulation, alpha)


def _bordered(
    marching: Marching,
    problem: Problem,
    q: FloatArray,
    r: FloatArray,
    gap: float,
    by_circulation: FloatArray,
    alpha: float,
) -> tuple[FloatArray, float]:
    """Solve J dq + b dG = -r, dG - (d lift/dq . dq) / 2 = -gap with the last factorization."""
    if not marching.vortex:
        return -marching.solver.solve(r.ravel()).reshape(r.shape), 0.0
    border = outer_change(q, problem.mesh, problem.setting, by_circulation)
    solved = marching.solver.solve(np.column_stack((-r.ravel(), -border.ravel())))
    lift, _ = force_slopes(problem, alpha=alpha)
    half = 0.5 * lift.ravel()
    turn = float((half @ solved[:, 0] - gap) / (1.0 - half @ solved[:, 1]))
    return (solved[:, 0] + turn * solved[:, 1]).reshape(r.shape), turn
