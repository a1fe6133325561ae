"""What a marched row does beside the closure: sums for the momentum and energy of the coupled layer.

A layer stirred by vortices is no ordinary layer. The vortices' stress works on it, and its turbulence is not
what the closure, fitted on ordinary layers, has for its shape factor: it goes on mixing while the closure's
dies with the fuller profile. Both are in the march. So the closure's two equations are taken along the
march's theta and H, its friction and dissipation summed (with its own lag), and what they lack is handed
over:

    d theta + (H + 2) theta d ln u - C_f/2 ds
    theta d ln H* + (1 - H) theta d ln u - (2 C_D/H* - C_f/2) ds

with the closure's H*(H, Re_theta), so that it comes to the march's displacement thickness;
less the same sums along the layer marched without vanes, which are what two methods make of one ordinary
layer. Without vanes nothing is left, by construction; there is no constant to set. Where the clean march has
ended, its sums are held. Close behind the vanes the second sum is the work of the vortices' stress
(``row_march.handed_over``); farther back most of it is turbulence that the closure misses.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.closure import turbulent_closure
from slowflight.flow.integral.layer import left_to_mix
from slowflight.flow.row_march.handed_over import HandedOver, SpanMean
from slowflight.flow.solution import FloatArray

FULLEST = 1.08  # shape factor below which mixing is referred to this one


@kernel
def log_energy_shape(speed: FloatArray, theta: FloatArray, H: FloatArray, reynolds: float) -> FloatArray:
    """The closure's ln H* along a layer, shape (k,)."""
    found = np.empty(theta.size)
    for i in range(theta.size):
        found[i] = turbulent_closure(H[i], np.log(theta[i] * speed[i] * reynolds), 0.04, False)[0]
    return found


@kernel
def closure_sums(
    distance: FloatArray, speed: FloatArray, theta: FloatArray, H: FloatArray, reynolds: float, lag: float,
    friction: FloatArray, drive: FloatArray,
) -> None:  # fmt: skip
    """Sum the closure's C_f/2 and 2 C_D/H* - C_f/2 along a turbulent layer, shear lagging its equilibrium.

    Parameters
    ----------
    distance, speed, theta, H : FloatArray
        Of the layer, shape (k,).
    reynolds, lag : float
        On the units of distance and speed; lag constant [-].
    friction, drive : FloatArray
        Filled with the sums, in the unit of distance, shape (k,).
    """
    friction[:] = 0.0
    drive[:] = 0.0
    S = turbulent_closure(H[0], np.log(theta[0] * speed[0] * reynolds), 0.04, False)[10]
    for i in range(distance.size - 1):
        ds = distance[i + 1] - distance[i]
        t, h, u = 0.5 * (theta[i] + theta[i + 1]), 0.5 * (H[i] + H[i + 1]), 0.5 * (speed[i] + speed[i + 1])
        L = np.log(t * u * reynolds)
        equilibrium = turbulent_closure(h, L, S, False)[10]
        # dS/ds = lag S (S_EQ - S) / (2 delta), exact over the interval
        rate = 0.5 * lag * equilibrium / (t * (3.15 + 1.72 / (h - 1.0) + h))
        after = equilibrium / (1.0 + (equilibrium / S - 1.0) * np.exp(-rate * ds))
        z = turbulent_closure(h, L, 0.5 * (S + after), False)
        friction[i + 1] = friction[i] + z[3] * ds
        drive[i + 1] = drive[i] + (z[6] - z[3]) * ds
        S = after


def budgets(
    *, distance: FloatArray, speed: FloatArray, layer: SpanMean, reynolds: float, lag: float
) -> tuple[FloatArray, FloatArray]:
    """Sums of momentum and energy that the closure does not have, along one marched layer.

    Parameters
    ----------
    distance, speed : FloatArray
        Places behind the vanes [chords] and edge speed there over flight speed, shape (k,).
    layer : SpanMean
        At the first of them.
    reynolds, lag : float
        On chord and flight speed; lag constant [-].

    Returns
    -------
    tuple of FloatArray
        [chords], shape (reached,).
    """
    theta, H = layer.momentum_thickness, layer.shape_factor
    n = theta.size
    logs = log_energy_shape(speed[:n], theta, H, reynolds)
    faster = np.diff(np.log(speed[:n]))

    def summed(rate: FloatArray, steps: FloatArray) -> FloatArray:
        return np.concatenate(([0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]) * steps)))

    friction, drive = np.zeros(n), np.zeros(n)
    closure_sums(distance[:n], speed[:n], theta, H, reynolds, lag, friction, drive)
    return (
        theta - theta[0] + summed((H + 2.0) * theta, faster) - friction,
        summed(theta, np.diff(logs)) + summed((1.0 - H) * theta, faster) - drive,
    )


def wake_shape(*, speed: float, found: HandedOver, reynolds: float) -> float:
    """Change of the closure's ln H* by the vanes' wake, from the march's theta and H."""
    at = np.array([speed])
    both = [
        log_energy_shape(at, part.momentum_thickness[:1], part.shape_factor[:1], reynolds)[0]
        for part in (found.stirred, found.clean)
    ]
    return float(both[0] - both[1])


def beside_closure(
    *, distance: FloatArray, speed: FloatArray, found: HandedOver, reynolds: float, lag: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Sums of momentum, mixing and work of a marched row beside the closure.

    Parameters
    ----------
    distance, speed : FloatArray
        Places behind the vanes [chords] and edge speed there over flight speed, shape (k,).
    found : HandedOver
        Not refused, lengths in chords.
    reynolds, lag : float
        On chord and flight speed; lag constant [-].

    Returns
    -------
    tuple of FloatArray
        [chords], shape (reached,). What fills the layer more than the closure does is mixing, over
        ``layer.left_to_mix``; what fills it less is work.
    """
    momentum, energy = budgets(
        distance=distance, speed=speed, layer=found.stirred, reynolds=reynolds, lag=lag
    )
    clean = budgets(distance=distance, speed=speed, layer=found.clean, reynolds=reynolds, lag=lag)
    n = momentum.size
    for total, part in ((momentum, clean[0]), (energy, clean[1])):
        total -= np.concatenate((part, np.full(max(n - part.size, 0), part[-1])))[:n]
    left = np.array([left_to_mix(h)[0] for h in found.stirred.shape_factor])
    left = np.maximum(0.5 * (left[1:] + left[:-1]), left_to_mix(FULLEST)[0])
    more = np.diff(energy)
    mixing = np.concatenate(([0.0], np.cumsum(np.maximum(more, 0.0) / left)))
    work = np.concatenate(([0.0], np.cumsum(np.minimum(more, 0.0))))
    return momentum, mixing, work
