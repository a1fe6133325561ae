"""Averages over time where no steady answer was found, and how far they are to be trusted.

The equations are carried on in physical time by the three-point backward formula (second order, stable for
any step; Gear 1971), each step solved by Newton's method with the exact Jacobian. Of a series of lifts the
first part is thrown away; of the rest, means of batches tell how well the mean is known (Schmeiser 1982).

A section alone sheds vortices as straight as its span is taken to be long; a wing's break up along it. What
swings here swings less in flight: read the mean, and it only as a trend.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.stats import t as student

from slowflight.errors import Unconverged
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.newton import Flow, LinearSystem, Marching
from slowflight.flow.rans.problem import Problem
from slowflight.flow.solution import FloatArray

SOURCES = ("Gear1971", "Schmeiser1982")
STEP = 0.05  # [chords flown]: some forty to a vortex shed at 25 degrees
THROWN_AWAY = 20.0  # [chords flown]
WINDOW, LONGEST = 20.0, 120.0  # means are looked at after each window, at most so far [chords flown]
BATCHES = 8
WELL_KNOWN = 0.02  # half band of the mean lift that ends the run
CONFIDENCE = 0.90
STEP_TOLERANCE = 1e-6  # largest change of velocity or pressure by the last correction of a step
MOST_NEWTON = 12
LARGEST_CHANGE = 2.0  # of velocity or pressure by one correction; more is no step of time
LINEAR = 1e-2
AT_REST = 1e-4  # swing of lift below which the flow is as good as steady


@dataclass(frozen=True, eq=False)
class TimeAverage:
    """A flow averaged over time.

    Parameters
    ----------
    flow : Flow
        The last state; its ``converged`` says whether every step was solved.
    lift, drag, moment : float
        Means.
    amplitude : float
        Half of what lift swings over, from its 5th to its 95th hundredth.
    error : float
        Half band of the mean lift that chance alone leaves, 90 %.
    chords : float
        Flown while averaging.
    settled : bool
        Whether the mean is known well enough and does not drift.
    """

    flow: Flow
    lift: float
    drag: float
    moment: float
    amplitude: float
    error: float
    chords: float
    settled: bool


def averaged(
    marching: Marching,
    *,
    start: Flow,
    alpha: float,
    step: float = STEP,
    thrown_away: float = THROWN_AWAY,
    longest: float = LONGEST,
    on_step: Callable[[float, float], None] | None = None,
) -> TimeAverage:
    """Fly on from a state at an angle and average.

    Parameters
    ----------
    marching : Marching
        With what is given held.
    start : Flow
        Usually the last steady answer, at another angle.
    alpha : float
        [rad]
    step : float
        Of time [chords flown].
    thrown_away, longest : float
        Not averaged, and averaged at most [chords flown].
    on_step : callable, optional
        Called with time and lift.
    """
    way = _Way(marching, alpha=alpha, q=start.q, circulation=start.circulation, step=step)
    series: list[tuple[float, float, float]] = []
    for number in range(round((thrown_away + longest) / step)):
        if not way.advance():
            break
        now = force(way.problem(), way.q, alpha=alpha)
        time = (number + 1) * step
        if time > thrown_away:
            series.append((now.lift, now.drag, now.moment))
        if on_step is not None:
            on_step(time, now.lift)
        if len(series) >= WINDOW / step and len(series) % round(WINDOW / step) == 0:
            lifts = np.array(series)[:, 0]
            if steady_enough(lifts) or float(np.ptp(lifts)) < AT_REST:
                break
    flow = Flow(alpha, way.q, way.circulation, way.size, way.solved, way.steps, way.lines.factors,
                way.lines.iterations, ())  # fmt: skip
    if len(series) < WINDOW / step:
        return TimeAverage(flow, np.nan, np.nan, np.nan, np.nan, np.inf, len(series) * step, False)
    table = np.array(series)
    lifts = table[:, 0]
    low, high = np.quantile(lifts, (0.05, 0.95))
    lift, drag, moment = (float(x) for x in np.mean(table, axis=0))
    settled = way.solved and (steady_enough(lifts) or float(np.ptp(lifts)) < AT_REST)
    return TimeAverage(
        flow, lift, drag, moment, 0.5 * float(high - low), batch_error(lifts), len(series) * step, settled
    )


def batch_error(series: FloatArray) -> float:
    """Half band of a series' mean by the means of its batches, 90 %, shape (n,)."""
    means = np.array([np.mean(batch) for batch in np.array_split(series, BATCHES)])
    quantile = float(student.ppf(0.5 + 0.5 * CONFIDENCE, BATCHES - 1))
    return float(quantile * np.std(means, ddof=1) / np.sqrt(BATCHES))


def steady_enough(series: FloatArray) -> bool:
    """Whether a mean is known well enough, and both halves agree within what chance leaves."""
    error = batch_error(series)
    first, second = (float(np.mean(half)) for half in np.array_split(series, 2))
    return error < WELL_KNOWN and abs(second - first) < 2.0 * max(error, AT_REST)


class _Way:
    """State and the one before it, carried on in time."""

    def __init__(
        self, marching: Marching, *, alpha: float, q: FloatArray, circulation: float, step: float
    ) -> None:
        self._marching, self._alpha, self._step = marching, alpha, step
        self._before: FloatArray | None = None
        self.q, self.circulation = q.copy(), circulation
        self.lines = LinearSystem(marching, worn=True)
        self.size, self.solved, self.steps = np.inf, True, 0

    def problem(self) -> Problem:
        """The problem as it stands."""
        return self._marching.at(self._alpha, self.circulation)

    def advance(self) -> bool:
        """One step of time; whether it was solved."""
        now, before = self.q, self._before
        # first step by the two-point formula
        weight = (1.5 if before is not None else 1.0) / self._step
        known = now / self._step if before is None else (2.0 * now - 0.5 * before) / self._step
        q = now.copy() if before is None else 2.0 * now - before
        q[:, 3:] = now[:, 3:]
        solved = self._solve(q, weight, known) or self._solve(now.copy(), weight, known)
        if solved:
            self._before = now
        self.solved = self.solved and solved
        self.steps += 1
        return solved

    def _solve(self, q: FloatArray, weight: float, known: FloatArray) -> bool:
        """Newton's method on one step of time."""
        marching, alpha, circulation = self._marching, self._alpha, self.circulation
        volume = marching.problem.mesh.volume
        for _ in range(MOST_NEWTON):
            problem = marching.at(alpha, circulation)
            r = problem.residual(q)
            # air that cannot be compressed has no rate of change of pressure
            r[:, 1:] += volume[:, None] * (weight * q - known)[:, 1:]
            gap = circulation - 0.5 * force(problem, q, alpha=alpha).lift
            matrix = problem.jacobian(q)
            _add_rate(matrix, weight * volume)
            self.lines.set(problem, matrix, q, alpha)
            try:
                change, turn = self.lines.solve(-r, -gap, tolerance=LINEAR)
            except Unconverged:
                return False
            q, circulation = q + change, circulation + turn
            self.size = float(np.max(np.abs(change[:, :3])))
            if not np.isfinite(self.size) or self.size > LARGEST_CHANGE:
                return False
            if self.size < STEP_TOLERANCE:
                self.q, self.circulation = q, circulation
                return True
        return False


def _add_rate(matrix: Any, rate: FloatArray) -> None:
    """Add a rate of change to the diagonal of all equations but that of mass."""
    rows = np.repeat(np.arange(len(rate)), np.diff(matrix.indptr))
    diagonal = np.flatnonzero(matrix.indices == rows)
    for var in range(1, matrix.data.shape[1]):
        matrix.data[diagonal, var, var] += rate
