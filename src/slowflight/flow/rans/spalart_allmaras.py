"""The one-equation turbulence model of Spalart and Allmaras, negative variant, without the trip terms.

The working variable is carried as ``chi``, over the molecular viscosity. Kernels take real or complex
numbers: the Jacobian differentiates them with a complex step (Martins et al. 2003).

Source: Allmaras, Johnson and Spalart, ICCFD7-1902, 2012: the model, the change of the modified vorticity that
keeps it positive, and the continuation to negative values. Left out is the laminar-suppression term (ft2):
with it a cold start may stay laminar; where a laminar run is wanted, production is switched off instead.
"""

from __future__ import annotations

from typing import Any

from slowflight.flow.compiled import kernel

CB1, SIGMA, CB2, KAPPA = 0.1355, 2.0 / 3.0, 0.622, 0.41
CW2, CW3, CV1 = 0.3, 2.0, 7.1
CW1 = CB1 / KAPPA**2 + (1.0 + CB2) / SIGMA
C2, C3 = 0.7, 0.9  # of the modified vorticity
CT3, CN1 = 1.2, 16.0  # of the negative branch
LARGEST_R = 10.0
FREE_STREAM = 3.0  # working variable of fully turbulent air far away, 3 to 5 in the source


@kernel
def eddy_viscosity(chi: Any) -> tuple[Any, Any]:
    """Eddy over molecular viscosity, and its derivative; zero on the negative branch."""
    if chi.real <= 0.0:
        return 0.0 * chi, 0.0 * chi
    cube = chi * chi * chi
    below = cube + CV1**3
    return chi * cube / below, cube * (cube + 4.0 * CV1**3) / (below * below)


@kernel
def diffusivity(chi: Any) -> tuple[Any, Any]:
    """Diffusivity of the working variable over molecular viscosity (before 1/sigma), and its derivative."""
    if chi.real >= 0.0:
        return 1.0 + chi, 1.0 + 0.0 * chi
    cube = chi * chi * chi
    below = CN1 - cube
    factor = (CN1 + cube) / below
    return 1.0 + chi * factor, factor + chi * 6.0 * CN1 * chi * chi / (below * below)


@kernel
def source(chi: Any, vorticity: Any, distance: float, nu: float, share: float) -> Any:
    """Production less destruction of the working variable, per volume.

    Parameters
    ----------
    chi : float or complex
        Working variable over molecular viscosity [-].
    vorticity : float or complex
        Magnitude, above zero [flight speeds per chord].
    distance : float
        To the nearest wall [chords].
    nu : float
        Molecular viscosity, 1 over the Reynolds number.
    share : float
        0 where production is off (a laminar run), 1 where it is on.
    """
    over = chi / distance
    if chi.real < 0.0:
        return share * CB1 * (1.0 - CT3) * vorticity * chi + CW1 * nu * over * over
    cube = chi * chi * chi
    fv1 = cube / (cube + CV1**3)
    fv2 = 1.0 - chi / (1.0 + chi * fv1)
    lengths = KAPPA * KAPPA * distance * distance
    bar = nu * chi * fv2 / lengths
    if bar.real >= -C2 * vorticity.real:
        modified = vorticity + bar
    else:
        modified = vorticity + vorticity * (C2 * C2 * vorticity + C3 * bar) / (
            (C3 - 2.0 * C2) * vorticity - bar
        )
    below = modified * lengths
    # r = nu chi / below, cut off where the air far away has next to no vorticity
    r = LARGEST_R + 0.0 * chi if nu * chi.real >= LARGEST_R * below.real else nu * chi / below
    squared = r * r
    g = r + CW2 * (squared * squared * squared - r)
    sixth = g * g * g * g * g * g
    fw = g * ((1.0 + CW3**6) / (sixth + CW3**6)) ** (1.0 / 6.0)
    return share * CB1 * modified * chi - CW1 * fw * nu * over * over
