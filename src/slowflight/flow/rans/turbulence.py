"""The choice of a turbulence model, and what the flow equations ask of it.

A model is told by its number of variables, which is the length of its tuple of ambient values: kernels are
compiled for each length, and the other branch drops out. Unknowns of a cell are pressure, two velocities and
the model's variables; all of these are zero on a skin.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.rans import shear_stress, spalart_allmaras
from slowflight.flow.solution import FloatArray

STEP = 1e-30  # complex step; nothing is subtracted, so it may be as small as numbers go
FLOW = 3  # unknowns of the flow itself, ahead of those of turbulence


class OneEquation(NamedTuple):
    """Spalart and Allmaras; its variable is their working variable over the molecular viscosity."""

    ambient: float = spalart_allmaras.FREE_STREAM


class TwoEquation(NamedTuple):
    """Menter's shear-stress transport; see `shear_stress` for its variables."""

    ambient_k: float = shear_stress.AMBIENT_K
    ambient_omega: float = shear_stress.AMBIENT_OMEGA


Model = OneEquation | TwoEquation


def free_stream(model: Model, nu: float) -> tuple[float, ...]:
    """The model's variables far away."""
    if isinstance(model, OneEquation):
        return (model.ambient,)
    far = shear_stress.wall_omega(1e6, nu)
    return model.ambient_k / nu, float(np.log(model.ambient_omega / far))


def row_weights(model: Model) -> FloatArray:
    """Weight of each equation in the residual's norm, shape (3 + variables,)."""
    if isinstance(model, OneEquation):
        return np.array([1.0, 1.0, 1.0, 0.01])
    # k over the molecular viscosity counts in ten thousands, the logarithm of omega in ones: with one weight
    # for both, linear systems were solved for k alone
    return np.array([1.0, 1.0, 1.0, 1e-4, 1.0])


def first_guess(model: Model, distance: FloatArray, nu: float, free: tuple[float, ...]) -> FloatArray:
    """Turbulence to start from, shape (n, variables): in the layer, or it may stay laminar for good."""
    bump = 100.0 * (distance / 0.02) * np.exp(1.0 - distance / 0.02)
    if isinstance(model, OneEquation):
        return free[0] + bump[:, None]
    # omega of a layer in balance, some 0.05 of flight speed in friction; k to go with the eddy viscosity
    friction = 0.05 / (np.sqrt(shear_stress.BETA_STAR) * shear_stress.KAPPA * distance)
    away = model.ambient_omega + friction * np.exp(-distance / 0.02)
    asymptote = np.array([shear_stress.wall_omega(d, nu) for d in distance])
    skin = 6.0 * nu / shear_stress.BETA_1 / distance**2
    return np.column_stack((free[0] + bump * away, np.log((away + skin) / asymptote)))


def bounded(model: Model, now: FloatArray, wanted: FloatArray, most: float) -> FloatArray:
    """Turbulence that changes by the factor ``most`` at most and never turns its sign, shape (n, variables).

    Parameters
    ----------
    model : Model
    now, wanted : FloatArray
        Shape (n, variables).
    most : float
        Above 1.
    """
    found = wanted.copy()
    size = np.abs(now[:, 0])
    found[:, 0] = np.where(now[:, 0] > 0.0, np.clip(wanted[:, 0], size / most, most * size), now[:, 0])
    if isinstance(model, TwoEquation):
        found[:, 1] = np.clip(wanted[:, 1], now[:, 1] - np.log(most), now[:, 1] + np.log(most))
    return found


@kernel
def closure(model: Any, t: Any, spin: Any, cross: Any, distance: float, nu: float, out: Any) -> None:
    """Fill ``out`` (2 variables,): eddy over molecular viscosity, diffusivities, and what the model adds."""
    if len(model) == 1:
        out[0] = spalart_allmaras.eddy_viscosity(t[0])[0]
        out[1] = nu / spalart_allmaras.SIGMA * spalart_allmaras.diffusivity(t[0])[0]
    else:
        shear_stress.closure(t, spin, cross, distance, nu, out)


@kernel
def closure_slopes(
    model: Any, t: Any, spin: float, cross: float, distance: float, nu: float, z: Any, out: Any, slopes: Any
) -> None:
    """Fill ``slopes`` (2 variables, variables + 2): derivatives of `closure` by variables, spin and cross.

    ``z`` (variables,) and ``out`` (2 variables,) are complex room to work in.
    """
    slopes[:] = 0.0
    if len(model) == 1:
        slopes[0, 0] = spalart_allmaras.eddy_viscosity(t[0])[1]
        slopes[1, 0] = nu / spalart_allmaras.SIGMA * spalart_allmaras.diffusivity(t[0])[1]
        return
    for k in range(len(model) + 2):
        for j in range(len(model)):
            z[j] = complex(t[j], STEP if k == j else 0.0)
        turning = complex(spin, STEP if k == len(model) else 0.0)
        crossing = complex(cross, STEP if k == len(model) + 1 else 0.0)
        shear_stress.closure(z, turning, crossing, distance, nu, out)
        for j in range(2 * len(model)):
            slopes[j, k] = out[j].imag / STEP


@kernel
def skin_closure(model: Any, nu: float, out: Any) -> None:
    """Fill ``out`` as `closure` does, on a skin."""
    out[:] = 0.0
    for j in range(len(model)):
        out[1 + j] = nu / spalart_allmaras.SIGMA if len(model) == 1 else nu


@kernel
def sources(
    model: Any, t: Any, spin: Any, strain: Any, cross: Any, steep: Any, bend: float, distance: float,
    nu: float, share: float, out: Any,
) -> None:  # fmt: skip
    """Fill ``out`` (variables,) with what is made per volume.

    Parameters
    ----------
    model : Model
    t : array of float or complex
        Its variables, shape (variables,).
    spin, strain, cross, steep : float or complex
        Magnitude of vorticity, square of the strain's magnitude, product of the gradients of first and last
        variable, square of the last one's gradient.
    bend : float
        Laplacian of what the last variable leaves out.
    distance, nu, share : float
        To the wall, molecular viscosity, share of production that is on.
    """
    if len(model) == 1:
        made = spalart_allmaras.source(t[0], spin, distance, nu, share)
        out[0] = made + spalart_allmaras.CB2 / spalart_allmaras.SIGMA * nu * steep
    else:
        shear_stress.sources(
            t, spin, strain, cross, steep, bend, distance, nu, share, model[0], model[len(model) - 1], out
        )


@kernel
def source_slopes(
    model: Any, t: Any, spin: float, strain: float, cross: float, steep: float, bend: float, distance: float,
    nu: float, share: float, z: Any, out: Any, slopes: Any,
) -> None:  # fmt: skip
    """Fill ``slopes`` (variables, variables + 4): derivatives of `sources` by variables and invariants."""
    last = len(model)
    if len(model) == 1:
        for k in range(2):
            z[0] = complex(t[0], STEP if k == 0 else 0.0)
            turning = complex(spin, STEP if k == 1 else 0.0)
            slopes[0, k] = spalart_allmaras.source(z[0], turning, distance, nu, share).imag / STEP
        slopes[0, 2] = slopes[0, 3] = 0.0
        slopes[0, 4] = spalart_allmaras.CB2 / spalart_allmaras.SIGMA * nu
        return
    for k in range(last + 4):
        for j in range(last):
            z[j] = complex(t[j], STEP if k == j else 0.0)
        shear_stress.sources(
            z,
            complex(spin, STEP if k == last else 0.0),
            complex(strain, STEP if k == last + 1 else 0.0),
            complex(cross, STEP if k == last + 2 else 0.0),
            complex(steep, STEP if k == last + 3 else 0.0),
            bend, distance, nu, share, model[0], model[last - 1], out,
        )  # fmt: skip
        for j in range(last):
            slopes[j, k] = out[j].imag / STEP
