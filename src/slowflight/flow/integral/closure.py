"""Closure of the two-equation layers: shape factors, friction and dissipation, with exact derivatives.

Everything is a function of the shape factor ``H``, of ``L = ln Re_theta`` and, where turbulent, of the shear
``S``, the root of the largest shear stress coefficient. The equations need the energy shape factor ``H*``
through its logarithm and the dissipation only as ``2 C_D / H*``, so these are what is returned.

Source: Drela and Giles, Viscous-Inviscid Analysis of Transonic and Low Reynolds Number Airfoils,
AIAA J. 25(10), 1987, pp. 1347-1355 (laminar fits, turbulent H*, slip velocity, equilibrium shear and lag),
with the friction law of Swafford, AIAA J. 21(6), 1983. Coefficients as a colleague transcribed them from
memory (high confidence); checked here on the Falkner-Skan family and against the Karman-Schoenherr line.
Departures, each our own: the floor of Re_theta in the turbulent fits is smooth; the wake dissipation vanishes
as H approaches 1, without which the far wake runs into H = 1 in a finite length.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel

_LN10 = np.log(10.0)


@kernel
def laminar_closure(H: float, L: float) -> tuple[float, ...]:
    """Laminar ln H*, friction and dissipation.

    Parameters
    ----------
    H : float
        Shape factor [-], 1.05 to about 40 (fitted on 2.2 to 8).
    L : float
        ln Re_theta [-].

    Returns
    -------
    tuple of 3 x (value, d/dH, d/dL)
        ln H*; Cf/2; 2 C_D / H*.
    """
    d = H - 4.0
    slope = 0.076 if H < 4.0 else 0.040
    hs = 1.515 + slope * d * d / H
    hs_h = slope * (2.0 * d / H - d * d / (H * H))
    re = np.exp(-L)
    if H < 7.4:
        a = 7.4 - H
        f = -0.067 + 0.01977 * a * a / (H - 1.0)
        f_h = 0.01977 * (-2.0 * a / (H - 1.0) - a * a / (H - 1.0) ** 2)
    else:
        a = 1.0 - 1.4 / (H - 6.0)
        f = -0.067 + 0.022 * a * a
        f_h = 0.044 * a * 1.4 / (H - 6.0) ** 2
    if H < 4.0:
        g = 0.207 + 0.00205 * (-d) ** 5.5
        g_h = -0.00205 * 5.5 * (-d) ** 4.5
    else:
        q = 1.0 + 0.02 * d * d
        g = 0.207 - 0.003 * d * d / q
        g_h = -0.003 * 2.0 * d / (q * q)
    return (
        np.log(hs), hs_h / hs, 0.0,
        f * re, f_h * re, -f * re,
        g * re, g_h * re, -g * re,
    )  # fmt: skip


@kernel
def _floored(re: float, least: float, width: float) -> tuple[float, float]:
    """Smooth maximum of re and least, and its derivative."""
    root = np.sqrt((re - least) ** 2 + width * width)
    return 0.5 * (re + least + root), 0.5 * (1.0 + (re - least) / root)


@kernel
def energy_shape(H: float, L: float) -> tuple[float, float, float]:
    """Turbulent energy shape factor H* and its derivatives with respect to H and L."""
    re = np.exp(L)
    high, high_r = _floored(re, 400.0, 40.0)
    r, r_r = _floored(re, 200.0, 20.0)
    h0 = 3.0 + 400.0 / high
    h0_l = -400.0 / (high * high) * high_r * re
    r_l = r_r * re
    base = 1.505 + 4.0 / r
    base_l = -4.0 / (r * r) * r_l
    if h0 > H:
        a = 0.165 - 1.6 / np.sqrt(r)
        a_l = 0.8 * r**-1.5 * r_l
        d = h0 - H
        p = d**1.6 / H
        p_d = 1.6 * d**0.6 / H
        return base + a * p, a * (-p_d - p / H), base_l + a_l * p + a * p_d * h0_l
    lr = np.log(r)
    lr_l = r_l / r
    d = H - h0
    e = d + 4.0 / lr
    b = 0.04 / H + 0.007 * lr / (e * e)
    b_d = -0.014 * lr / (e * e * e)
    b_lr = 0.007 / (e * e) + 0.014 * lr / (e * e * e) * 4.0 / (lr * lr)
    hs_h = 2.0 * d * b + d * d * (-0.04 / (H * H) + b_d)
    hs_l = base_l - (2.0 * d * b + d * d * b_d) * h0_l + d * d * b_lr * lr_l
    return base + d * d * b, hs_h, hs_l


@kernel
def turbulent_closure(H: float, L: float, S: float, wake: bool) -> tuple[float, ...]:
    """Turbulent ln H*, friction, dissipation and equilibrium shear.

    Parameters
    ----------
    H : float
        Shape factor [-], above 1.
    L : float
        ln Re_theta [-]; the fits are floored smoothly below Re_theta 200 to 400.
    S : float
        Root of the largest shear stress coefficient [-].
    wake : bool
        No wall: no friction, both halves of the layer dissipate.

    Returns
    -------
    tuple
        ln H* (value, d/dH, d/dL); Cf/2 (same); 2 C_D/H* (value, d/dH, d/dL, d/dS); S_EQ (value, d/dH, d/dL);
        1 - U_s, the velocity defect of the outer layer (value, d/dH, d/dL).
    """
    hs, hs_h, hs_l = energy_shape(H, L)
    # slip velocity U_s = H*/2 (1 - 4/3 (H-1)/H) = H* (4-H)/(6H)
    k = (4.0 - H) / (6.0 * H)
    k_h = -4.0 / (6.0 * H * H)
    us, us_h, us_l = hs * k, hs_h * k + hs * k_h, hs_l * k
    defect = 1.0 - us
    ratio = (H - 1.0) / H
    eq2 = hs * 0.015 * ratio**3 / defect
    seq = np.sqrt(eq2)
    seq_h = 0.5 * seq * (hs_h / hs + 3.0 / (H * (H - 1.0)) + us_h / defect)
    seq_l = 0.5 * seq * (hs_l / hs + us_l / defect)
    if wake:
        t = (H - 1.0) ** 2
        fade = t / (t + 9e-4)
        fade_h = 2.0 * (H - 1.0) * 9e-4 / (t + 9e-4) ** 2
        d = 4.0 * S * S * defect * fade / hs
        d_h = 4.0 * S * S * (-us_h * fade + defect * fade_h) / hs - d * hs_h / hs
        d_l = -4.0 * S * S * us_l * fade / hs - d * hs_l / hs
        d_s = 8.0 * S * defect * fade / hs
        cf2, cf2_h, cf2_l = 0.0, 0.0, 0.0
    else:
        x = max(L, 3.0)  # Re_theta 20: the power law means nothing below
        x_l = 1.0 if L > 3.0 else 0.0
        lg = x / _LN10
        p = -1.74 - 0.31 * H
        first = 0.3 * np.exp(-1.33 * H) * lg**p
        th = np.tanh(4.0 - H / 0.875)
        cf2 = 0.5 * (first + 0.00011 * (th - 1.0))
        cf2_h = 0.5 * (first * (-1.33 - 0.31 * np.log(lg)) - 0.00011 * (1.0 - th * th) / 0.875)
        cf2_l = 0.5 * first * p / x * x_l
        d = 2.0 * (cf2 * us + S * S * defect) / hs
        d_h = 2.0 * (cf2_h * us + (cf2 - S * S) * us_h) / hs - d * hs_h / hs
        d_l = 2.0 * (cf2_l * us + (cf2 - S * S) * us_l) / hs - d * hs_l / hs
        d_s = 4.0 * S * defect / hs
    return (
        np.log(hs), hs_h / hs, hs_l / hs,
        cf2, cf2_h, cf2_l,
        d, d_h, d_l, d_s,
        seq, seq_h, seq_l,
        defect, -us_h, -us_l,
    )  # fmt: skip


@kernel
def amplification(H: float, L: float) -> tuple[float, float, float]:
    """Growth of the amplification exponent N per momentum thickness run, theta dN/ds.

    Envelope of spatial growth on similar layers (Drela and Giles 1987, after van Ingen's use of linear
    theory). The onset at the critical Re_theta is a smooth step 0.16 decades wide (own choice).

    Parameters
    ----------
    H, L : float
        Shape factor and ln Re_theta [-]; H above 12 is taken as 12.

    Returns
    -------
    tuple of float
        Value, d/dH, d/dL.
    """
    free = 1.0 if H < 12.0 else 0.0
    H = min(H, 12.0)
    i = 1.0 / (H - 1.0)
    th = np.tanh(20.0 * i - 12.9)
    lg0 = (1.415 * i - 0.489) * th + 3.295 * i + 0.44
    lg0_h = -i * i * (1.415 * th + (1.415 * i - 0.489) * (1.0 - th * th) * 20.0 + 3.295) * free
    t = (L / _LN10 - lg0 + 0.08) / 0.16
    if t <= 0.0:
        return 0.0, 0.0, 0.0
    if t >= 1.0:
        step, step_t = 1.0, 0.0
    else:
        step, step_t = t * t * (3.0 - 2.0 * t), 6.0 * t * (1.0 - t)
    th2 = np.tanh(1.5 * H - 4.65)
    b = 2.4 * H - 3.7 + 2.5 * th2
    b_h = 2.4 + 3.75 * (1.0 - th2 * th2)
    slope = 0.01 * np.sqrt(b * b + 0.25)
    slope_h = 1e-4 * b * b_h / slope
    # (m + 1)/2 l with the division by l carried out
    e = H - 4.0
    c = 0.5 * (0.058 * e * e * i - 0.068 + (6.54 * H - 14.07) / (H * H))
    if c <= 0.0:
        return 0.0, 0.0, 0.0  # full layers far from the fits: nothing grows, nothing is taken back
    c_h = 0.5 * (0.058 * (2.0 * e * i - e * e * i * i) + 6.54 / (H * H) - 2.0 * (6.54 * H - 14.07) / H**3)
    return (
        slope * c * step,
        (slope_h * c + slope * c_h) * step * free - slope * c * step_t * lg0_h / 0.16,
        slope * c * step_t / (0.16 * _LN10),
    )
