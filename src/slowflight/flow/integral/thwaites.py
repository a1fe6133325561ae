"""Laminar layers by Thwaites' quadrature: the first guess of the solver, and a check in its own right.

Thwaites, Approximate calculation of the laminar boundary layer, Aeronautical Quarterly 1, 1949, with the
correlations of Cebeci and Bradshaw (Momentum Transfer in Boundary Layers, 1977) for H and friction (from
memory, high confidence; compared with the Falkner-Skan family in the tests).
"""

from __future__ import annotations

from slowflight.flow.compiled import kernel

SEPARATION = -0.09  # value of lambda at which the layer separates [-]


@kernel
def quadrature_step(theta2_u6: float, u1: float, u2: float, ds: float, reynolds: float) -> float:
    """Carry theta^2 u^6 over one interval: its growth is 0.45 nu times the integral of u^5.

    Parameters
    ----------
    theta2_u6 : float
        At the upstream end [chords^2, speeds over flight speed].
    u1, u2 : float
        Edge speeds, taken as linear between [-].
    ds : float
        Length [chords].
    reynolds : float
        On chord and flight speed [-].

    Returns
    -------
    float
        At the downstream end.
    """
    # the exact integral of a fifth power of a linear speed
    fifth = (u1**5 + u1**4 * u2 + u1**3 * u2**2 + u1**2 * u2**3 + u1 * u2**4 + u2**5) / 6.0
    return theta2_u6 + 0.45 / reynolds * fifth * ds


@kernel
def shape_factor(lam: float) -> float:
    """Shape factor H for lambda = theta^2 (du/ds) / nu, -0.1 < lambda <= 0.1."""
    if lam >= 0.0:
        return 2.61 - 3.75 * lam + 5.24 * lam * lam
    return 2.088 + 0.0731 / (lam + 0.14)


@kernel
def shear(lam: float) -> float:
    """Friction parameter l = theta tau / (mu u) for lambda, -0.1 < lambda <= 0.1; Cf = 2 nu l / (u theta)."""
    if lam >= 0.0:
        return 0.22 + 1.57 * lam - 1.8 * lam * lam
    return 0.22 + 1.402 * lam + 0.018 * lam / (lam + 0.107)
