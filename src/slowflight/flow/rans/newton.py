"""Newton's method to round-off, led there by steps in a made-up time.

Each step solves (volume over local time step + exact Jacobian) change = - residual, by a factorization or
with an older one as preconditioner. Time steps grow as the residual falls, so that the method ends as
Newton's own (switched evolution relaxation, Mulder and van Leer 1985). The circulation of the far-field
vortex is an unknown of its own, coupled through a border of the matrix, so that nothing lags.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from slowflight.errors import Unconverged
from slowflight.flow.rans.far_field import outer_slopes, outer_state
from slowflight.flow.rans.flux import BETA
from slowflight.flow.rans.forces import force, force_slopes
from slowflight.flow.rans.jacobian import outer_change
from slowflight.flow.rans.krylov import minimal_residual
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.residual import wave_flux
from slowflight.flow.rans.sparse_direct import DirectSolver
from slowflight.flow.rans.turbulence import FLOW, first_guess, row_weights
from slowflight.flow.solution import FloatArray

TOLERANCE = 1e-9
LARGEST_CHANGE = 0.5  # of pressure and velocities in one step
LOOSE = 5.0  # a step may raise the residual by this much: a tighter search gets stuck
SMALLEST_CFL, LARGEST_CFL = 1e-3, 1e8
CAREFUL_ABOVE, HASTY_BELOW = 0.25, 0.05  # largest change of a step that slows, or frees, the time step
# how far a linear system is solved, over its right-hand side; with 4e-2 for steps a first start went nowhere
LINEAR, LINEAR_TANGENT = 1e-2, 1e-3
WORN, MOST_WORN, MOST_FRESH = 20, 40, 8  # iterations after which a factor is renewed, and at most


@dataclass(frozen=True, eq=False)
class Flow:
    """A state and how far it is solved.

    Parameters
    ----------
    alpha : float
        Angle of attack [rad].
    q : FloatArray
        Pressure, velocities, turbulence of each cell, shape (n, unknowns).
    circulation : float
        Of the far-field vortex.
    residual : float
        Root of the summed squares of the weighted residuals.
    converged : bool
    steps, factors, iterations : int
        Newton steps, factorizations, and solutions with a factor.
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
    iterations: int
    history: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Marching:
    """A problem that can be solved at any angle of attack.

    Parameters
    ----------
    problem : Problem
    solver : DirectSolver
    turbulence : tuple of float
        Variables of the turbulence model in the free stream.
    vortex : bool
        Whether the outer state carries the vortex of the lift.
    """

    problem: Problem
    solver: DirectSolver
    turbulence: tuple[float, ...]
    vortex: bool = True

    def at(self, alpha: float, circulation: float) -> Problem:
        """The problem with the outer state of an angle and a circulation."""
        outer = outer_state(
            self.problem.mesh, alpha=alpha, circulation=circulation, turbulence=self.turbulence
        )
        return replace(self.problem, setting=self.problem.setting._replace(outer=outer))


def uniform_state(marching: Marching, *, alpha: float) -> FloatArray:
    """The free stream everywhere, slowed near walls, shape (n, unknowns)."""
    near = marching.problem.mesh.distance
    slowed = np.tanh(near / 0.01)
    q = np.zeros((near.size, marching.problem.unknowns))
    q[:, 1], q[:, 2] = np.cos(alpha) * slowed, np.sin(alpha) * slowed
    setting = marching.problem.setting
    q[:, FLOW:] = first_guess(setting.model, near, setting.nu, marching.turbulence)
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
    renew: bool = False,
    on_step: Callable[[int, float, float], None] | None = None,
) -> Flow:
    """Solve at one angle from a first guess, with the one-equation model; see `steady.solve` for either.

    Parameters
    ----------
    marching : Marching
    alpha : float
        Angle of attack [rad].
    q : FloatArray
        First guess, shape (n, unknowns).
    circulation : float
        First guess of the far-field vortex.
    first_cfl : float
        First local time step, in cells crossed by the fastest wave.
    most_steps : int
    tolerance : float
        On the weighted norm of the residual.
    renew : bool
        Whether the first step is not even tried with the factor at hand.
    on_step : callable, optional
        Called with step, residual and time step.

    Returns
    -------
    Flow
        Its ``converged`` says whether the tolerance was met.
    """
    mesh = marching.problem.mesh
    cfl = first_cfl
    q = q.copy()
    problem = marching.at(alpha, circulation)
    r, gap = problem.residual(q), _gap(marching, problem, q, circulation, alpha)
    rows = row_weights(problem.setting.model)
    size = _norm(r, gap, rows)
    history = [size]
    lines = LinearSystem(marching, worn=renew)
    step = 0
    while size > tolerance and step < most_steps and cfl > SMALLEST_CFL:
        step += 1
        waves = wave_flux(q, mesh)
        matrix = problem.jacobian(q)
        _add_time(matrix, waves / cfl)
        lines.set(problem, matrix, q, alpha)
        try:
            change, turn = lines.solve(-r, -gap, tolerance=LINEAR)
        except Unconverged:
            cfl *= 0.1
            continue
        most = float(np.max(np.abs(change[:, :FLOW])))
        scale = min(1.0, LARGEST_CHANGE / most) if np.isfinite(most) else 0.0
        taken = False
        while scale > 1e-3:
            q_new, circulation_new = q + scale * change, circulation + scale * turn
            problem_new = marching.at(alpha, circulation_new)
            r_new = problem_new.residual(q_new)
            gap_new = _gap(marching, problem_new, q_new, circulation_new, alpha)
            size_new = _norm(r_new, gap_new, rows)
            unsteady = r_new + _time_term(waves / cfl, scale * change)
            if _norm(unsteady, gap_new, rows) < LOOSE * size:
                taken = True
                break
            scale *= 0.5
        if on_step is not None:
            on_step(step, size_new if taken else np.nan, cfl)
        if not taken:
            cfl *= 0.1
            continue
        ratio = size / max(size_new, 1e-300)
        q, circulation, problem, r, gap, size = q_new, circulation_new, problem_new, r_new, gap_new, size_new
        history.append(size)
        cfl = min(LARGEST_CFL, cfl * _growth(ratio, scale * most))
    return Flow(
        alpha, q, circulation, size, size <= tolerance, step, lines.factors, lines.iterations, tuple(history)
    )


def tangent(marching: Marching, flow: Flow) -> tuple[FloatArray, float]:
    """Change of state and circulation with the angle of attack [1/rad], for a converged flow."""
    problem = marching.at(flow.alpha, flow.circulation)
    _, by_alpha = outer_slopes(
        problem.mesh, alpha=flow.alpha, circulation=flow.circulation, unknowns=problem.unknowns
    )
    right = outer_change(flow.q, problem.mesh, problem.setting, by_alpha)
    lines = LinearSystem(marching)
    lines.set(problem, problem.jacobian(flow.q), flow.q, flow.alpha)
    # lift turns with the angle too: its derivative at a fixed state is minus the drag
    now = force(problem, flow.q, alpha=flow.alpha)
    return lines.solve(-right, -0.5 * now.drag, tolerance=LINEAR_TANGENT)


class LinearSystem:
    """The matrix of one Newton step with the border of the far-field vortex, and the factor nearest to it.

    J dq + b dG = f, dG - (d lift/dq . dq) / 2 = g; without a vortex J dq = f alone.

    Parameters
    ----------
    marching : Marching
        Its solver's last factorization is used as long as it serves.
    worn : bool
        Whether it is known not to serve.
    """

    def __init__(self, marching: Marching, *, worn: bool = False) -> None:
        self._marching = marching
        self._solver = marching.solver
        self.factors, self.iterations = 0, 0
        self._worn = worn
        self._bordered: FloatArray | None = None

    def set(
        self, problem: Problem, matrix: Any, q: FloatArray, alpha: float, *, carried: FloatArray | None = None
    ) -> None:
        """Take a new matrix; its rows may be less what is carried (n, variables) times their mass."""
        self._matrix = matrix
        self._weight = np.tile(row_weights(problem.setting.model), len(q))
        if self._marching.vortex:
            by_circulation, _ = outer_slopes(
                problem.mesh, alpha=alpha, circulation=0.0, unknowns=problem.unknowns
            )
            border = outer_change(q, problem.mesh, problem.setting, by_circulation)
            if carried is not None:
                border[:, FLOW:] -= carried * border[:, :1]
            self._border = border.ravel()
            self._half = 0.5 * force_slopes(problem, alpha=alpha)[0].ravel()

    def solve(self, right: FloatArray, gap: float, *, tolerance: float) -> tuple[FloatArray, float]:
        """Change of state, shape (n, unknowns), and of circulation.

        Raises
        ------
        Unconverged
            Where even a fresh factorization does not solve the system.
        """
        for fresh in (False, True):
            if fresh:
                self._solver.factorize(self._matrix)
                self.factors += 1
                self._bordered = None
            elif self._worn or not self._solver.ready:
                continue
            found = minimal_residual(
                self._apply,
                self._nearly_solve,
                np.append(self._weight * right.ravel(), gap),
                tolerance=tolerance,
                most=MOST_FRESH if fresh else MOST_WORN,
            )
            self.iterations += found.iterations
            self._worn = found.iterations > WORN
            if found.error <= tolerance:
                return found.x[:-1].reshape(right.shape), float(found.x[-1])
        self._worn = True
        raise Unconverged(f"a linear system was solved to {found.error:.1e} only")

    def _apply(self, x: FloatArray) -> FloatArray:
        product = self._matrix @ x[:-1]
        if not self._marching.vortex:
            return np.append(self._weight * product, x[-1])
        return np.append(self._weight * (product + x[-1] * self._border), x[-1] - self._half @ x[:-1])

    def _nearly_solve(self, y: FloatArray) -> FloatArray:
        change = self._solver.once(y[:-1] / self._weight)
        if not self._marching.vortex:
            return np.append(change, y[-1])
        if self._bordered is None:
            self._bordered = self._solver.once(self._border)
        turn = (y[-1] + self._half @ change) / (1.0 + self._half @ self._bordered)
        return np.append(change - turn * self._bordered, turn)


def _growth(ratio: float, most: float) -> float:
    """Factor on the time step after a step that lowered the residual by ``ratio`` and moved by ``most``."""
    if most > CAREFUL_ABOVE:
        return float(np.clip(ratio, 0.5, 1.2))
    if most < HASTY_BELOW:
        return float(np.clip(2.0 * ratio, 1.5, 10.0))
    return float(np.clip(1.5 * ratio, 1.0, 4.0))


def _norm(r: FloatArray, gap: float, rows: FloatArray) -> float:
    found = float(np.sqrt(np.sum((r * rows) ** 2) + gap * gap))
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
    for var in range(data.shape[1]):
        data[diagonal, var, var] += rate / (BETA if var == 0 else 1.0)
