"""The turbulent layer a march starts from: speed and eddy viscosity from momentum thickness and shape factor.

Inner part: the speed that belongs to the turbulence model's own linear growth at the skin. Outer part: Coles'
wake (Coles, Journal of Fluid Mechanics 1, 1956). Eddy viscosity: Clauser's outer value with Klebanoff's
intermittency (both as in Schlichting's textbook; constants from memory, the first steps of a march replace
them by the model's own).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq

from slowflight.errors import RangeError
from slowflight.flow.compiled import kernel
from slowflight.flow.solution import FloatArray

KAPPA, CV1 = 0.41, 7.1
CLAUSER = 0.0168  # outer eddy viscosity over edge speed times displacement thickness [-], from memory
LEAST_SHAPE, MOST_SHAPE = 1.2, 2.6
LEAST_RE_THETA = 150.0


@dataclass(frozen=True, kw_only=True)
class LayerProfile:
    """A turbulent layer over heights above the skin.

    Parameters
    ----------
    speed : FloatArray
        Over edge speed [-], shape (n,).
    working : FloatArray
        Working variable of the turbulence model over kinematic viscosity [-], shape (n,).
    thickness : float
        Where the wake ends, in the unit of the heights.
    friction_speed : float
        Over edge speed [-].
    """

    speed: FloatArray
    working: FloatArray
    thickness: float
    friction_speed: float


LOWEST, HIGHEST, PLACES = 1e-2, 1e6, 4000  # of the inner law's table [wall units]
PER_PLACE = np.log(HIGHEST / LOWEST) / (PLACES - 1)


def _inner_law() -> tuple[FloatArray, FloatArray]:
    """Heights and speeds in wall units: du/dy = 1 / (1 + eddy viscosity) with a working variable KAPPA y."""
    y = np.concatenate(([0.0], np.geomspace(LOWEST, HIGHEST, PLACES)))
    chi = KAPPA * y
    slope = 1.0 / (1.0 + chi**4 / (chi**3 + CV1**3))
    u = np.concatenate(([0.0], np.cumsum(0.5 * (slope[1:] + slope[:-1]) * np.diff(y))))
    return y, u


_Y_PLUS, _U_PLUS = _inner_law()


def _shape(eta: FloatArray) -> FloatArray:
    return 2.0 * np.sin(0.5 * np.pi * np.clip(eta, 0.0, 1.0)) ** 2


def _speed(y: FloatArray, *, thickness: float, friction_speed: float, per_nu: float) -> FloatArray:
    """Speed over edge speed, 1 at the edge of the layer and beyond."""
    plus = np.minimum(y, thickness) * friction_speed * per_nu
    inner = friction_speed * np.interp(plus, _Y_PLUS, _U_PLUS)
    at_edge = friction_speed * np.interp(thickness * friction_speed * per_nu, _Y_PLUS, _U_PLUS)
    return np.asarray(inner + 0.5 * (1.0 - at_edge) * _shape(y / thickness), dtype=np.float64)


_ETA = np.concatenate(([0.0], np.geomspace(1e-5, 1.0, 400)))
_LOG_ETA = np.concatenate(([-np.inf], np.log(_ETA[1:])))
_WAKE = _shape(_ETA)


@kernel
def _inner(log_plus: float, y_plus: FloatArray, u_plus: FloatArray) -> float:
    """The inner law at a logarithm of the height in wall units; its table is even in it."""
    at = (log_plus - np.log(y_plus[1])) / PER_PLACE
    if at <= 0.0:
        return float(np.exp(log_plus))
    i = min(int(at), y_plus.size - 3)
    low, high = y_plus[i + 1], y_plus[i + 2]
    share = min((np.exp(log_plus) - low) / (high - low), 1.0)
    return float((1.0 - share) * u_plus[i + 1] + share * u_plus[i + 2])


@kernel
def _summed(
    log_thickness: float, friction_speed: float, per_nu: float, eta: FloatArray, log_eta: FloatArray,
    wake: FloatArray, y_plus: FloatArray, u_plus: FloatArray,
) -> tuple[float, float]:  # fmt: skip
    """Displacement and momentum thickness of the layer by the trapezoidal rule."""
    scale = log_thickness + np.log(friction_speed * per_nu)
    thickness = np.exp(log_thickness)
    at_edge = friction_speed * _inner(scale, y_plus, u_plus)
    displacement, momentum, before = 0.0, 0.0, 0.0
    for i in range(1, eta.size):
        u = friction_speed * _inner(log_eta[i] + scale, y_plus, u_plus) + 0.5 * (1.0 - at_edge) * wake[i]
        half = 0.5 * (eta[i] - eta[i - 1]) * thickness
        displacement += half * (2.0 - u - before)
        momentum += half * (u * (1.0 - u) + before * (1.0 - before))
        before = u
    return displacement, momentum


@kernel
def _log_thickness_for(
    friction_speed: float, momentum_thickness: float, per_nu: float, eta: FloatArray, log_eta: FloatArray,
    wake: FloatArray, y_plus: FloatArray, u_plus: FloatArray,
) -> float:  # fmt: skip
    """Logarithm of the thickness with a momentum thickness and a friction speed; NaN where none fits.

    A layer so full that it would be faster than its edge gets thinner again: the first that fits is taken.
    """
    least, most, steps = np.log(2.0 * momentum_thickness), np.log(60.0 * momentum_thickness), 39
    high, missed = least, 0.0
    for k in range(1, steps + 1):
        low, high = high, least + (most - least) * k / steps
        missed = (
            _summed(high, friction_speed, per_nu, eta, log_eta, wake, y_plus, u_plus)[1] - momentum_thickness
        )
        if missed >= 0.0:
            break
    if missed < 0.0:
        return math.nan
    # false position that keeps its bracket and halves the end that stays (Illinois)
    at_high, at_low = (
        missed,
        (_summed(low, friction_speed, per_nu, eta, log_eta, wake, y_plus, u_plus)[1] - momentum_thickness),
    )
    if at_low >= 0.0:
        return float(low)
    stayed = 0
    for _ in range(60):
        x = high - at_high * (high - low) / (at_high - at_low)
        miss = _summed(x, friction_speed, per_nu, eta, log_eta, wake, y_plus, u_plus)[1] - momentum_thickness
        if abs(miss) < 1e-11 * momentum_thickness or high - low < 1e-11:
            return float(x)
        if miss > 0.0:
            high, at_high = x, miss
            at_low *= 0.5 if stayed == 1 else 1.0
            stayed = 1
        else:
            low, at_low = x, miss
            at_high *= 0.5 if stayed == -1 else 1.0
            stayed = -1
    return float(x)


@lru_cache(maxsize=64)
def _fitting(momentum_thickness: float, shape_factor: float, per_nu: float) -> tuple[float, float]:
    """Thickness and friction speed of the layer; kept, because one march asks for the same layer thrice."""
    re_theta = momentum_thickness * per_nu
    tables = per_nu, _ETA, _LOG_ETA, _WAKE, _Y_PLUS, _U_PLUS

    def excess(friction_speed: float) -> float:
        thickness = _log_thickness_for(friction_speed, momentum_thickness, *tables)
        if np.isnan(thickness):
            return math.nan
        displacement, momentum = _summed(thickness, friction_speed, *tables)
        return float(displacement / momentum - shape_factor)

    trial = np.linspace(0.002, 0.07, 35)
    low = excess(float(trial[0]))
    for i in range(len(trial) - 1):
        high = excess(float(trial[i + 1]))
        if low > 0.0 >= high:
            friction_speed = float(brentq(excess, trial[i], trial[i + 1], xtol=1e-10))
            return float(
                np.exp(_log_thickness_for(friction_speed, momentum_thickness, *tables))
            ), friction_speed
        low = high
    raise RangeError(
        where="layer shape_factor",
        found=f"{shape_factor:.3g} at a Reynolds number of {re_theta:.0f} on momentum thickness",
        needed="a pair that a turbulent layer can have",
    )


def turbulent_profile(
    *, heights: FloatArray, momentum_thickness: float, shape_factor: float, per_nu: float
) -> LayerProfile:
    """Find the layer of a given momentum thickness and shape factor.

    Parameters
    ----------
    heights : FloatArray
        Above the skin where it is wanted, shape (n,).
    momentum_thickness : float
        In the same unit.
    shape_factor : float
        Of a turbulent layer, 1.2 to 2.6.
    per_nu : float
        Edge speed over kinematic viscosity, per that unit.

    Returns
    -------
    LayerProfile

    Raises
    ------
    RangeError
        Where the shape factor is none of a turbulent layer, or the layer is too thin to be one.
    """
    re_theta = momentum_thickness * per_nu
    if not LEAST_SHAPE <= shape_factor <= MOST_SHAPE:
        raise RangeError(
            where="layer shape_factor",
            found=f"{shape_factor:.3g}",
            needed=f"{LEAST_SHAPE} to {MOST_SHAPE}, a turbulent layer that has not separated",
        )
    if not re_theta >= LEAST_RE_THETA:
        raise RangeError(
            where="layer momentum_thickness",
            found=f"a Reynolds number of {re_theta:.3g} on it",
            needed=f"at least {LEAST_RE_THETA:.0f}, below which no layer is turbulent",
        )

    thickness, friction_speed = _fitting(momentum_thickness, shape_factor, per_nu)
    speed = _speed(heights, thickness=thickness, friction_speed=friction_speed, per_nu=per_nu)
    outer = CLAUSER * shape_factor * re_theta
    fading = 1.0 / (1.0 + 5.5 * np.minimum(heights / thickness, 20.0) ** 6)
    working = outer * (1.0 - np.exp(-KAPPA * heights * friction_speed * per_nu / outer)) * fading
    return LayerProfile(speed=speed, working=working, thickness=thickness, friction_speed=friction_speed)
