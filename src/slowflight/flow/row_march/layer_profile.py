"""The turbulent layer a march starts from: speed and eddy viscosity from momentum thickness and shape factor.

Inner part: the speed that belongs to the turbulence model's own linear growth at the skin. Outer part: Coles'
wake (Coles, Journal of Fluid Mechanics 1, 1956). Eddy viscosity: Clauser's outer value with Klebanoff's
intermittency (both as in Schlichting's textbook; constants from memory, the first steps of a march replace
them by the model's own).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

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


def _inner_law() -> tuple[FloatArray, FloatArray]:
    """Heights and speeds in wall units: du/dy = 1 / (1 + eddy viscosity) with a working variable KAPPA y."""
    y = np.concatenate(([0.0], np.geomspace(1e-2, 1e6, 4000)))
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
_WAKE = _shape(_ETA)


@kernel
def _summed(
    thickness: float, friction_speed: float, per_nu: float, eta: FloatArray, wake: FloatArray,
    y_plus: FloatArray, u_plus: FloatArray,
) -> tuple[float, float]:  # fmt: skip
    """Displacement and momentum thickness of the layer by the trapezoidal rule."""
    inner = friction_speed * np.interp(eta * thickness * friction_speed * per_nu, y_plus, u_plus)
    at_edge = inner[-1]
    displacement, momentum, before = 0.0, 0.0, 0.0
    for i in range(1, eta.size):
        u = inner[i] + 0.5 * (1.0 - at_edge) * wake[i]
        half = 0.5 * (eta[i] - eta[i - 1]) * thickness
        displacement += half * (2.0 - u - before)
        momentum += half * (u * (1.0 - u) + before * (1.0 - before))
        before = u
    return displacement, momentum


def _integrals(thickness: float, friction_speed: float, per_nu: float) -> tuple[float, float]:
    found: tuple[float, float] = _summed(thickness, friction_speed, per_nu, _ETA, _WAKE, _Y_PLUS, _U_PLUS)
    return found


@lru_cache(maxsize=64)
def _fitting(momentum_thickness: float, shape_factor: float, per_nu: float) -> tuple[float, float]:
    """Thickness and friction speed of the layer; kept, because one march asks for the same layer thrice."""
    re_theta = momentum_thickness * per_nu

    def thickness_for(friction_speed: float) -> float:
        def miss(log_thickness: float) -> float:
            return _integrals(float(np.exp(log_thickness)), friction_speed, per_nu)[1] - momentum_thickness

        # a layer so full that it would be faster than its edge gets thinner again: take the first that fits
        steps = np.log(momentum_thickness) + np.linspace(np.log(2.0), np.log(60.0), 40)
        for low, high in pairwise(steps):
            if miss(high) >= 0.0:
                return float(np.exp(brentq(miss, low, high, xtol=1e-10)))
        raise ValueError("no thickness gives this momentum thickness")

    def excess(friction_speed: float) -> float:
        displacement, momentum = _integrals(thickness_for(friction_speed), friction_speed, per_nu)
        return displacement / momentum - shape_factor

    lowest, highest = 0.002, 0.07
    trial = np.linspace(lowest, highest, 35)
    values = []
    for u in trial:
        try:
            values.append(excess(float(u)))
        except ValueError:  # no thickness gives this momentum thickness
            values.append(np.nan)
    for i in range(len(trial) - 1):
        if values[i] > 0.0 >= values[i + 1]:
            friction_speed = float(brentq(excess, trial[i], trial[i + 1], xtol=1e-10))
            break
    else:
        raise RangeError(
            where="layer shape_factor",
            found=f"{shape_factor:.3g} at a Reynolds number of {re_theta:.0f} on momentum thickness",
            needed="a pair that a turbulent layer can have",
        )
    return thickness_for(friction_speed), friction_speed


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
