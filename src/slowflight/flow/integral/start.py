"""First guesses: layers marched on a given speed, simply and without failure."""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.carried import forced_growth
from slowflight.flow.integral.closure import amplification
from slowflight.flow.integral.elimination import STAGNATION_SHAPE, STAGNATION_THICKNESS
from slowflight.flow.integral.thwaites import quadrature_step, shape_factor
from slowflight.flow.solution import FloatArray, IndexArray


@kernel
def march_guess(
    state: FloatArray, order: IndexArray, distance: FloatArray, speed: FloatArray, reynolds: float,
    critical: float, trips: FloatArray, side: int, divide: float, gradient: float,
) -> None:  # fmt: skip
    """Fill the layer along one side from a given edge speed.

    Laminar by Thwaites' quadrature (ARC R&M 2859, 1949), transition by the same amplification rate as the
    solver, turbulent by the momentum equation at constant shape factor: a guess, not a result.

    Parameters
    ----------
    state : FloatArray
        Unknowns of all stations, filled along ``order``.
    order : integer array
        Station indices from the first one after stagnation, shape (n,).
    distance, speed : FloatArray
        Distance from stagnation [chords] and speed there, shape (n,).
    trips : FloatArray
        Rows of side, place on the arc and N added.
    side : int
        0 lower, 1 upper.
    divide : float
        Arc of the stagnation point [chords].
    gradient : float
        Speed gradient there [1/chord].
    """
    integral = 0.0
    N = 0.0
    theta = 0.0
    turbulent = False
    for m in range(order.size):
        i = order[m]
        u = max(speed[m], 1e-4)
        if m == 0:
            theta = np.sqrt(STAGNATION_THICKNESS / (gradient * reynolds))
            integral = theta * theta * u**6
            H = STAGNATION_SHAPE
            slope = gradient
        else:
            ds = distance[m] - distance[m - 1]
            v = max(speed[m - 1], 1e-4)
            slope = (u - v) / ds
            if not turbulent:
                integral = quadrature_step(integral, v, u, ds, reynolds)
                theta = np.sqrt(integral / u**6)
                lam = min(max(theta * theta * slope * reynolds, -0.085), 0.1)
                H = max(shape_factor(lam), STAGNATION_SHAPE)
                rate, _, _ = amplification(H, np.log(reynolds * theta * u))
                N += ds * rate / theta
            else:
                friction = 0.5 * 0.246 * 10.0 ** (-0.678 * 1.5) * max(reynolds * theta * u, 50.0) ** (-0.268)
                grow = friction - 3.5 * theta / u * slope
                theta = max(theta + ds * grow, 0.3 * theta)
                theta = min(theta, 0.05)
                H = min(max(1.5 - 8.0 * theta / u * slope, 1.35), 2.3)
        before = distance[m - 1] if m > 0 else -1.0
        N += forced_growth(before, distance[m], trips, side, divide)
        if critical <= N and not turbulent:
            turbulent = True
            N = critical + 3.0
            H = min(H, 1.8)
        state[i, 0] = np.log(theta)
        state[i, 1] = np.log(H - 1.0)
        state[i, 2] = np.log(0.05)
        state[i, 3] = N
        state[i, 4] = np.log(u)
