"""Functions without corners or with known slopes, for real and complex numbers alike.

Newton's method sees no corner in them, and a complex step (Martins et al. 2003) goes through them exactly:
what is above the real part is taken to first order, which is all that such a step needs.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from slowflight.flow.compiled import kernel

ROUNDING = 0.005  # share by which the larger of two equal numbers is raised, the smaller lowered
NEAR_ZERO = 1e-3  # below it a quotient of small numbers is taken by its series
FLAT_FROM = 3.0  # the hyperbolic tangent of a square or more of this is 1 to round-off


@kernel
def smooth_magnitude(value: Any, floor: float) -> Any:
    """Magnitude, rounded off near zero."""
    return np.sqrt(value * value + floor * floor)


@kernel
def larger(a: Any, b: Any) -> Any:
    """Return the larger of two positive numbers, rounded off where they are alike."""
    gap = a - b
    inner = gap * gap + 4.0 * ROUNDING * ROUNDING * a * b
    return 0.5 * (a + b + root(inner))


@kernel
def smaller(a: Any, b: Any) -> Any:
    """Return the smaller of two positive numbers, rounded off where they are alike."""
    return (1.0 - ROUNDING * ROUNDING) * a * b / larger(a, b)


@kernel
def positive(value: Any, floor: float) -> Any:
    """Return the number where it is above zero, next to nothing where it is not, ``floor`` at zero."""
    size = root(value * value + 4.0 * floor * floor)
    if value.real < 0.0:  # the sum below would lose all its digits
        return 2.0 * floor * floor / (size - value)
    return 0.5 * (value + size)


@kernel
def root(value: Any) -> Any:
    """Square root of a number above zero."""
    found = np.sqrt(value.real)
    return found + 0.5 * (value - value.real) / found


@kernel
def exponential(value: Any) -> Any:
    """Power of e."""
    found = np.exp(value.real)
    return found + found * (value - value.real)


@kernel
def tame_power(value: Any) -> Any:
    """Power of e up to 1, going on straight beyond."""
    if value.real > 1.0:
        return np.e * value
    return exponential(value)


@kernel
def tame_power_slope(value: float) -> float:
    """Derivative of `tame_power`."""
    return float(np.exp(min(value, 1.0)))


@kernel
def mean_power(value: Any) -> Any:
    """Mean of the powers of e from 0 to a number: (e^value - 1) / value."""
    if abs(value.real) < NEAR_ZERO:
        return 1.0 + value * (1.0 + value * (1.0 + 0.25 * value) / 3.0) / 2.0
    return (exponential(value) - 1.0) / value


@kernel
def mean_power_slope(value: float) -> float:
    """Derivative of `mean_power`."""
    if abs(value) < NEAR_ZERO:
        return 0.5 + value * (1.0 + 0.375 * value) / 3.0
    power = np.exp(value)
    return float((power - (power - 1.0) / value) / value)


@kernel
def saturating(value: Any) -> Any:
    """Hyperbolic tangent of a number above zero."""
    if value.real > FLAT_FROM * FLAT_FROM:
        return 1.0 + 0.0 * value
    found = np.tanh(value.real)
    return found + (1.0 - found * found) * (value - value.real)
