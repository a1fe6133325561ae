"""Newton's method where k and omega are carried: what the plain method needs besides to come to rest.

Four things, put in together (what was measured of each: documents, 'How the minutes tier computes'):

1. omega moves by a share of itself. Its equation is written for ln omega, and a tangent of that points far
   past where omega is small; written for omega it is nearly straight. With R the residual of ln omega,
   omega R is that of omega, so that R is added to the diagonal and the step of ln omega is the logarithm of
   1 + the share that comes out. At rest R is zero and both are the same.
2. Mass that a cell still lacks carries no turbulence: t div u is taken out of the rows while div u is not
   zero. ln omega is 10 to 25 by its units alone.
3. Where turbulence of a cell wants to change by more than its own size, its time step shrinks, there alone,
   and the step is found anew. A bound on each cell's step by itself lets neighbors part.
4. A start from a flow of the one-equation model on the same grid, k and omega alone first, the flow held.
   A flow carried over from a coarser grid has kinks in its wake that feed k in single cells.
"""

from __future__ import annotations

import operator
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
from scipy import sparse

from slowflight.errors import Unconverged
from slowflight.flow.rans import shear_stress, spalart_allmaras
from slowflight.flow.rans.flux import BETA
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.krylov import minimal_residual
from slowflight.flow.rans.newton import (
    LARGEST_CFL,
    LINEAR,
    MOST_FRESH,
    SMALLEST_CFL,
    TOLERANCE,
    Flow,
    LinearSystem,
    Marching,
)
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.residual import wave_flux
from slowflight.flow.rans.turbulence import FLOW, row_weights
from slowflight.flow.solution import FloatArray

# a change of omega by its own size, or of k by twice that, is the most that is wanted of a step
FULL, CALM, STILL = 1.0, 0.3, 0.05
LEAST_K = 1.0  # over the molecular viscosity: what k is measured against where it is less
LOWEST, HIGHEST = -0.8, 3.0  # share of k, or of omega, by which a step may change it after all
SLOWER, SLOWEST, RELIEF = 2.0, 30.0, 0.3  # factors on a cell's own rate
TRIES = 5  # solutions of one step with ever smaller local time steps
LARGEST_FLOW, TAKEN_FLOW = 0.5, 0.3  # change of pressure and velocities that is solved anew, and taken
HELD_CFL, HELD_STEPS, HELD_FALL = 10.0, 60, 1e-6  # k and omega alone
START_CFL, START_STEPS = 10.0, 60


def from_one_equation(problem: Problem, q: FloatArray) -> FloatArray:
    """Flow of the one-equation model, and k and omega to go with its eddy viscosity, shape (n, 5).

    Parameters
    ----------
    problem : Problem
        Of the two-equation model.
    q : FloatArray
        State of the one-equation model on the same mesh, shape (n, 4).
    """
    mesh, setting = problem.mesh, problem.setting
    ambient_k, ambient_omega = setting.model[0], setting.model[-1]
    weights = mesh.slope_weight * (mesh.slope_cells >= 0)[:, :, None]
    slopes = np.einsum("nkd,nkv->nvd", weights, q[mesh.slope_cells, 1:FLOW])
    spin = np.abs(slopes[:, 1, 0] - slopes[:, 0, 1])
    eddy = setting.nu * np.array([spalart_allmaras.eddy_viscosity(t)[0] for t in q[:, FLOW]])
    # a layer in balance: production beta* omega k = eddy S^2, and eddy = k / omega
    away = ambient_omega + spin / np.sqrt(shear_stress.BETA_STAR)
    omega = away + 6.0 * setting.nu / shear_stress.BETA_1 / mesh.distance**2
    k = ambient_k + np.maximum(eddy, 0.0) * away
    return np.column_stack((q[:, :FLOW], k / setting.nu, np.log(omega) - setting.left))


def start(marching: Marching, one: Flow) -> Flow:
    """Solve from a flow of the one-equation model on the same grid."""
    problem = marching.at(one.alpha, one.circulation)
    q = turbulence_alone(problem, marching, from_one_equation(problem, one.q))
    return solve(
        marching, alpha=one.alpha, q=q, circulation=one.circulation, first_cfl=START_CFL,
        most_steps=START_STEPS, renew=True,
    )  # fmt: skip


def turbulence_alone(problem: Problem, marching: Marching, q: FloatArray) -> FloatArray:
    """K and omega at a held flow, nearly at rest, shape (n, 5)."""
    weights = row_weights(problem.setting.model)[FLOW:]
    rates = _Rates(wave_flux(q, problem.mesh), HELD_CFL)
    first: float | None = None
    for _ in range(HELD_STEPS):
        matrix = problem.jacobian(q)
        r = _rearranged(problem, q, problem.residual(q), matrix)[:, FLOW:]
        size = float(np.linalg.norm(r * weights))
        first = size if first is None else first
        if not size > HELD_FALL * first:
            break
        blocks = np.ascontiguousarray(matrix.data[:, FLOW:, FLOW:])
        for attempt in range(TRIES):
            held = sparse.bsr_matrix((blocks.copy(), matrix.indices, matrix.indptr), shape=(r.size, r.size))
            rates.add(held, first=0)
            marching.solver.factorize(held)
            found = minimal_residual(
                partial(operator.matmul, held), marching.solver.once, -r.ravel(),
                tolerance=0.1 * LINEAR, most=MOST_FRESH,
            )  # fmt: skip
            change = np.column_stack((np.zeros((len(q), FLOW)), found.x.reshape(r.shape)))
            if not rates.shrink(q, change) or attempt == TRIES - 1:
                break
        q = _advanced(q, change)
        rates.settle(0.0)
    marching.solver.forget()
    return q


def solve(
    marching: Marching,
    *,
    alpha: float,
    q: FloatArray,
    circulation: float = 0.0,
    first_cfl: float = START_CFL,
    most_steps: int = START_STEPS,
    tolerance: float = TOLERANCE,
    renew: bool = False,
    on_step: Callable[[int, float, float], None] | None = None,
) -> Flow:
    """Solve at one angle from a first guess; parameters are those of `newton.solve`."""
    q = q.copy()
    rows = row_weights(marching.problem.setting.model)
    rates = _Rates(wave_flux(q, marching.problem.mesh), first_cfl)
    lines = LinearSystem(marching, worn=renew)
    history: list[float] = []
    step = 0
    while True:
        problem = marching.at(alpha, circulation)
        plain = problem.residual(q)
        gap = circulation - 0.5 * force(problem, q, alpha=alpha).lift if marching.vortex else 0.0
        size = float(np.sqrt(np.sum((plain * rows) ** 2) + gap * gap))
        history.append(size)
        if not (size > tolerance and np.isfinite(size) and step < most_steps and rates.cfl > SMALLEST_CFL):
            break
        step += 1
        matrix = problem.jacobian(q)
        r = _rearranged(problem, q, plain, matrix)
        rates.waves = wave_flux(q, problem.mesh)
        found = _step(lines, rates, problem, matrix, (q, r, gap, alpha))
        if found is None:
            continue
        change, turn = found
        flow = float(np.max(np.abs(change[:, :FLOW])))
        scale = min(1.0, TAKEN_FLOW / max(flow, 1e-300))
        q, circulation = _advanced(q, scale * change), circulation + scale * turn
        rates.settle(flow)
        if on_step is not None:
            on_step(step, size, rates.cfl)
    return Flow(
        alpha, q, circulation, size, size <= tolerance, step, lines.factors, lines.iterations, tuple(history)
    )


def _step(
    lines: LinearSystem, rates: _Rates, problem: Problem, matrix: Any,
    at: tuple[FloatArray, FloatArray, float, float],
) -> tuple[FloatArray, float] | None:  # fmt: skip
    """Change of state and circulation, with local time steps that it stands; None without a solution."""
    q, r, gap, alpha = at
    blocks = matrix.data.copy()
    for attempt in range(TRIES):
        matrix.data[:] = blocks
        rates.add(matrix, first=FLOW)
        lines.set(problem, matrix, q, alpha, carried=_carried(problem, q))
        try:
            change, turn = lines.solve(-r, -gap, tolerance=LINEAR)
        except Unconverged:
            rates.cfl *= RELIEF
            continue
        last = attempt == TRIES - 1
        if float(np.max(np.abs(change[:, :FLOW]))) > LARGEST_FLOW and not last:
            rates.cfl *= RELIEF
        elif not rates.shrink(q, change) or last:
            return change, turn
    return None


class _Rates:
    """Volume over time step of each cell: the flow's, and on top of it a factor for its turbulence.

    Parameters
    ----------
    waves : FloatArray
        Sums of wave speed times length, shape (n,).
    cfl : float
    """

    def __init__(self, waves: FloatArray, cfl: float) -> None:
        self.waves, self.cfl = waves, cfl
        self._slower = np.ones(len(waves))
        self._wanted = np.zeros(len(waves))

    def add(self, matrix: Any, *, first: int) -> None:
        """Add to the diagonal blocks; ``first`` is the first unknown of turbulence in them."""
        diagonal = _diagonal(matrix)
        rate = self.waves / self.cfl
        for j in range(matrix.data.shape[1]):
            share = self._slower if j >= first else 1.0 / BETA if j == 0 else 1.0
            matrix.data[diagonal, j, j] += rate * share

    def shrink(self, q: FloatArray, change: FloatArray) -> bool:
        """Shrink time steps where turbulence wants to change too much; whether any did."""
        k = np.abs(change[:, FLOW]) / (2.0 * (np.maximum(q[:, FLOW], 0.0) + LEAST_K))
        self._wanted = np.maximum(k, np.abs(change[:, FLOW + 1]))
        wild = self._wanted > FULL
        self._slower = np.where(
            wild, self._slower * np.clip(SLOWER * self._wanted, SLOWER, SLOWEST), self._slower
        )
        return bool(np.any(wild))

    def settle(self, flow: float) -> None:
        """After a step is taken that changed pressure or velocity by ``flow``: longer steps where calm."""
        relieved = np.where(self._wanted < CALM, self._slower * RELIEF, self._slower)
        self._slower = np.maximum(1.0, relieved)
        most = max(float(np.max(self._wanted)), 4.0 * flow)
        if most < STILL:
            self.cfl *= 4.0
        elif most < CALM:
            self.cfl *= 2.0
        elif most <= FULL:
            self.cfl *= 1.2
        elif 4.0 * flow > FULL:
            self.cfl *= 0.5
        self.cfl = min(LARGEST_CFL, self.cfl)


def _carried(problem: Problem, q: FloatArray) -> FloatArray:
    """What mass carries: k over the molecular viscosity, and ln omega, shape (n, 2)."""
    carried = q[:, FLOW:].copy()
    carried[:, 1] += problem.setting.left
    return carried


def _rearranged(problem: Problem, q: FloatArray, r: FloatArray, matrix: Any) -> FloatArray:
    """Residual less what missing mass would carry; the matrix to go with it, by shares of omega."""
    carried = _carried(problem, q)
    found = r.copy()
    found[:, FLOW:] -= carried * r[:, :1]
    rows = np.repeat(np.arange(len(q)), np.diff(matrix.indptr))
    diagonal = _diagonal(matrix)
    for j in range(2):
        matrix.data[:, FLOW + j, :] -= carried[rows, j][:, None] * matrix.data[:, 0, :]
        matrix.data[diagonal, FLOW + j, FLOW + j] -= r[:, 0]
    matrix.data[diagonal, FLOW + 1, FLOW + 1] += found[:, FLOW + 1]
    return found


def _diagonal(matrix: Any) -> Any:
    rows = np.repeat(np.arange(len(matrix.indptr) - 1), np.diff(matrix.indptr))
    return np.flatnonzero(matrix.indices == rows)


def _advanced(q: FloatArray, change: FloatArray) -> FloatArray:
    """State after a step; k and omega stay above zero."""
    found = q + change
    k = q[:, FLOW]
    found[:, FLOW] = k + np.where(
        k > 0.0, np.clip(change[:, FLOW], LOWEST * k, HIGHEST * k + LEAST_K), np.maximum(change[:, FLOW], 0.0)
    )
    found[:, FLOW + 1] = q[:, FLOW + 1] + np.log1p(np.clip(change[:, FLOW + 1], LOWEST, HIGHEST))
    return found
