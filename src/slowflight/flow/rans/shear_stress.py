"""The two-equation turbulence model of Menter (k and omega, shear-stress transport), in its 1994 form.

Source: Menter 1994, with the production limiter of 20 that goes with it and production by the strain; the
NASA Turbulence Modeling Resource states the equations in this form. What keeps the free stream's turbulence
from dying out on its way is added as Spalart and Rumsey 2007 have it. Of the 2003 form (Menter, Kuntz and
Langtry) only the floor of the cross term, 1e-10, is taken. Two thirds of k count as pressure.

The unknowns are k over the molecular viscosity, and v, the logarithm of omega over its own asymptote at a
wall (Wilcox 2006, section 7.2.1) with a floor far away:

    omega = omega_s exp(v),  omega_s = 6 nu / beta_1 (1 / d^2 + 1 / L^2)

A logarithm keeps omega positive (Ilinca and Pelletier 1998). And omega itself goes to infinity at a skin,
where differences between cells are off by a third, however fine the grid; v is zero there and flat. What v
leaves out, the slope and the curvature of the logarithm of omega_s, is known and put in exactly.

    D(ln omega)/Dt = gamma S^2 / omega - beta (omega - ambient^2 / omega) + div(D grad ln omega)
                     + D |grad ln omega|^2 + 2 (1 - F1) sigma_2 / omega grad k . grad ln omega
"""

from __future__ import annotations

from typing import Any

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.rans.smooth import exponential, larger, positive, root, saturating, smaller

A1, BETA_STAR, KAPPA = 0.31, 0.09, 0.41
SIGMA_K1, SIGMA_K2 = 0.85, 1.0
SIGMA_W1, SIGMA_W2 = 0.5, 0.856
BETA_1, BETA_2 = 0.075, 0.0828
GAMMA_1 = BETA_1 / BETA_STAR - SIGMA_W1 * KAPPA**2 / np.sqrt(BETA_STAR)
GAMMA_2 = BETA_2 / BETA_STAR - SIGMA_W2 * KAPPA**2 / np.sqrt(BETA_STAR)
PRODUCTION_LIMIT = 20.0
LEAST_CROSS = 1e-10  # floor of the cross term [flight speeds^2 per chord^2]
LEAST_K = 1e-16  # keeps square roots off zero [flight speeds^2]
AMBIENT_K, AMBIENT_OMEGA = 1e-6, 5.0  # Spalart and Rumsey 2007: intensity of 0.08 %
# L over the molecular viscosity, some 40 wall units (own choice: another one moves nothing in the grid limit)
NEAR_SKIN = 1000.0


@kernel
def wall_omega(distance: float, nu: float) -> float:
    """What omega is measured against: its asymptote at a wall, with a floor far away."""
    reach = NEAR_SKIN * nu
    return 6.0 * nu / BETA_1 * (1.0 / (distance * distance) + 1.0 / (reach * reach))


@kernel
def _blends(k: Any, omega: Any, cross: Any, distance: float, nu: float) -> tuple[Any, Any]:
    """Both blending functions, F1 and F2; ``cross`` is grad k . grad ln omega."""
    over = root(k + LEAST_K) / (BETA_STAR * distance * omega)
    near = 500.0 * nu / (distance * distance * omega)
    twice = 2.0 * SIGMA_W2 * cross
    cross_term = positive(twice, LEAST_CROSS)
    far = 4.0 * SIGMA_W2 * (k + LEAST_K) / (cross_term * distance * distance)
    one = smaller(larger(over, near), far)
    two = larger(2.0 * over, near)
    square = one * one
    return saturating(square * square), saturating(two * two)


@kernel
def _eddy(k: Any, omega: Any, spin: Any, f2: Any) -> Any:
    return A1 * k / larger(A1 * omega, spin * f2)


@kernel
def closure(t: Any, spin: Any, cross: Any, distance: float, nu: float, out: Any) -> None:
    """Fill ``out`` (4,): eddy over molecular viscosity, diffusivities of k and of ln omega, cross factor.

    The last is what goes with grad (k / nu) . grad ln omega.

    Parameters
    ----------
    t : array of float or complex
        k over the molecular viscosity, and v, shape (2,).
    spin : float or complex
        Magnitude of the vorticity, above zero [flight speeds per chord].
    cross : float or complex
        grad (k / nu) . grad ln omega.
    distance, nu : float
        To the nearest wall [chords]; molecular viscosity, 1 over the Reynolds number.
    """
    k = nu * t[0] if t[0].real > 0.0 else 0.0 * t[0]
    omega = wall_omega(distance, nu) * exponential(t[1])
    f1, f2 = _blends(k, omega, nu * cross, distance, nu)
    eddy = _eddy(k, omega, spin, f2)
    out[0] = eddy / nu
    out[1] = nu + (SIGMA_K2 + (SIGMA_K1 - SIGMA_K2) * f1) * eddy
    out[2] = nu + (SIGMA_W2 + (SIGMA_W1 - SIGMA_W2) * f1) * eddy
    out[3] = 2.0 * (1.0 - f1) * SIGMA_W2 * nu / omega


@kernel
def sources(
    t: Any, spin: Any, strain: Any, cross: Any, steep: Any, bend: float, distance: float, nu: float,
    share: float, ambient_k: float, ambient_omega: float, out: Any,
) -> None:  # fmt: skip
    """Fill ``out`` (2,) with what is made per volume, of k over the molecular viscosity and of ln omega.

    The cross term is not among it: it goes through the faces.

    Parameters
    ----------
    t, spin, cross, distance, nu
        As of `closure`.
    strain : float or complex
        Square of the strain's magnitude.
    steep : float or complex
        Square of grad ln omega.
    bend : float
        Laplacian of ln omega_s.
    share : float
        Of production of k that is on.
    ambient_k, ambient_omega : float
        Of the free stream.
    """
    k = nu * t[0] if t[0].real > 0.0 else 0.0 * t[0]
    omega = wall_omega(distance, nu) * exponential(t[1])
    f1, f2 = _blends(k, omega, nu * cross, distance, nu)
    eddy = _eddy(k, omega, spin, f2)
    beta = BETA_2 + (BETA_1 - BETA_2) * f1
    gamma = GAMMA_2 + (GAMMA_1 - GAMMA_2) * f1
    sigma = SIGMA_W2 + (SIGMA_W1 - SIGMA_W2) * f1
    # both over k, so that k at zero needs no case of its own
    rate = smaller(A1 * strain / larger(A1 * omega, spin * f2), PRODUCTION_LIMIT * BETA_STAR * omega)
    made = share * rate * k + BETA_STAR * ambient_omega * ambient_k
    out[0] = made / nu - BETA_STAR * omega * t[0]
    out[1] = (
        gamma * strain / omega
        - beta * (omega - ambient_omega * ambient_omega / omega)
        + (nu + sigma * eddy) * (steep + bend)
    )
