"""The layer equations on one station and over one interval, with exact derivatives.

Unknowns at a station, in this order everywhere:

    t = ln theta,  h = ln(H - 1),  a = ln S,  N (amplification exponent),  w = ln u_e

Over an interval the momentum and energy equations hold in logarithms, the lag equation for S is implicit, and
N is carried along. Transition is no point but a ramp: the turbulent share of every closure term rises
smoothly from 0 at N = n_c to 1 at N = n_c + 1, and once begun N grows by itself over ``SPREAD`` momentum
thicknesses (own construction). The equations are therefore smooth in all unknowns wherever transition lies
between two stations, and a run in which N only just reaches n_c has a partly turbulent layer instead of two
answers.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.closure import amplification, laminar_closure, turbulent_closure
from slowflight.flow.solution import FloatArray

SPREAD = 30.0  # length over which a begun transition completes [momentum thicknesses]
FEWEST = 2.0  # and panels added to that length
START_SHARE = 0.7  # shear at the start of transition over its equilibrium value [-]
_HOLD = 20.0  # how much faster S follows its starting value while laminar [-]

# what rows of vanes hand to an interval: momentum thickness and change of ln H* of their wake; momentum that
# their vortices take, their mixing and, where they stir less than the closure does, the work (see
# ``vane_terms``) [chords, but for ln H*]
WAKE_MOMENTUM, WAKE_SHAPE, MOMENTUM, MIXING, WORK = 0, 1, 2, 3, 4
HANDED = 5
NO_VANES = np.zeros(HANDED)
# shape factor at which nothing is left to mix but the layer at the skin itself; marches come to 1.1. Without
# it the closure runs towards H = 1, where nothing drives it back (own choice)
UNMIXED = 1.05

# columns of a station record: value, then d/dt, d/dh, d/da, d/dN, d/dw
HS, FRICTION, ENERGY, LAG, GROWTH, SPREADING, WEIGHT = 0, 6, 12, 18, 24, 30, 36
RECORD = 42


@kernel
def turbulent_share(N: float, critical: float) -> tuple[float, float]:
    """Turbulent share and its derivative with respect to N."""
    x = N - critical
    if x <= 0.0:
        return 0.0, 0.0
    if x >= 1.0:
        return 1.0, 0.0
    return x * x * (3.0 - 2.0 * x), 6.0 * x * (1.0 - x)


@kernel
def station(q: FloatArray, reynolds: float, lag: float, critical: float, wake: bool, out: FloatArray) -> None:
    """Everything an interval needs from one of its ends.

    Parameters
    ----------
    q : FloatArray
        Unknowns t, h, a, N, w, shape (5,).
    reynolds, lag, critical : float
        Reynolds number on chord and flight speed; lag constant; critical amplification exponent [-].
    wake : bool
    out : FloatArray
        Record to fill, shape (RECORD,).
    """
    t, h, a, N, w = q[0], q[1], q[2], q[3], q[4]
    theta, u, S = np.exp(t), np.exp(w), np.exp(a)
    H1 = np.exp(h)
    H = 1.0 + H1
    L = t + w + np.log(reynolds)
    share, share_n = turbulent_share(N, critical)
    if wake:
        share, share_n = 1.0, 0.0

    hs, hs_h, hs_l, hs_n = 0.0, 0.0, 0.0, 0.0
    cf, cf_h, cf_l, cf_n = 0.0, 0.0, 0.0, 0.0
    d, d_h, d_l, d_s, d_n = 0.0, 0.0, 0.0, 0.0, 0.0
    if share < 1.0:
        v = laminar_closure(H, L)
        k = 1.0 - share
        hs, hs_h, hs_l, hs_n = k * v[0], k * v[1], k * v[2], -share_n * v[0]
        cf, cf_h, cf_l, cf_n = k * v[3], k * v[4], k * v[5], -share_n * v[3]
        d, d_h, d_l, d_n = k * v[6], k * v[7], k * v[8], -share_n * v[6]
    z = turbulent_closure(H, L, S, wake)
    if share > 0.0:
        hs, hs_h, hs_l, hs_n = (
            hs + share * z[0],
            hs_h + share * z[1],
            hs_l + share * z[2],
            hs_n + share_n * z[0],
        )
        cf, cf_h, cf_l, cf_n = (
            cf + share * z[3],
            cf_h + share * z[4],
            cf_l + share * z[5],
            cf_n + share_n * z[3],
        )
        d, d_h, d_l, d_n = d + share * z[6], d_h + share * z[7], d_l + share * z[8], d_n + share_n * z[6]
        d_s = share * z[9]
    seq, seq_h, seq_l = z[10], z[11], z[12]

    out[HS] = hs
    out[HS + 1], out[HS + 2], out[HS + 3], out[HS + 4], out[HS + 5] = hs_l, hs_h * H1, 0.0, hs_n, hs_l

    r = u / theta
    f = r * cf
    out[FRICTION] = f
    out[FRICTION + 1] = -f + r * cf_l
    out[FRICTION + 2] = r * cf_h * H1
    out[FRICTION + 3] = 0.0
    out[FRICTION + 4] = r * cf_n
    out[FRICTION + 5] = f + r * cf_l

    g = r * (d - cf)
    out[ENERGY] = g
    out[ENERGY + 1] = -g + r * (d_l - cf_l)
    out[ENERGY + 2] = r * (d_h - cf_h) * H1
    out[ENERGY + 3] = r * d_s * S
    out[ENERGY + 4] = r * (d_n - cf_n)
    out[ENERGY + 5] = g + r * (d_l - cf_l)

    # lag: u K/2 (S_target - S) / delta, held close to its starting value while laminar
    thick = 3.15 + 1.72 / H1 + H
    thick_h = (-1.72 / (H1 * H1) + 1.0) * H1
    start = START_SHARE + (1.0 - START_SHARE) * share
    hold = 1.0 + _HOLD * (1.0 - share) ** 2
    rate = 0.5 * lag * hold * r / thick
    gap = start * seq - S
    y = rate * gap
    out[LAG] = y
    out[LAG + 1] = -y + rate * start * seq_l
    out[LAG + 2] = -y * thick_h / thick + rate * start * seq_h * H1
    out[LAG + 3] = -rate * S
    out[LAG + 4] = (
        rate * share_n * (1.0 - START_SHARE) * seq - y / hold * 2.0 * _HOLD * (1.0 - share) * share_n
    )
    out[LAG + 5] = y + rate * start * seq_l

    # growth of N per arc length: linear theory while laminar, then the spreading of turbulence itself
    out[GROWTH : GROWTH + 6] = 0.0
    out[SPREADING : SPREADING + 6] = 0.0
    if not wake:
        if share < 1.0:
            v0, v_h, v_l = amplification(H, L)
            k = (1.0 - share) / theta
            out[GROWTH] = k * v0
            out[GROWTH + 1] = k * (v_l - v0)
            out[GROWTH + 2] = k * v_h * H1
            out[GROWTH + 4] = -share_n * v0 / theta
            out[GROWTH + 5] = k * v_l
        done, done_n = turbulent_share(N, critical + 1.5)
        out[SPREADING] = share * (1.0 - done)
        out[SPREADING + 4] = share_n * (1.0 - done) - share * done_n

    # downstream weight of the friction and dissipation averages: trapezoidal laminar, 0.6 turbulent
    out[WEIGHT] = 0.5 + 0.1 * share
    out[WEIGHT + 1 : WEIGHT + 6] = 0.0
    out[WEIGHT + 4] = 0.1 * share_n


@kernel
def spread_over(ds: float, theta: float) -> tuple[float, float]:
    """Growth of N over an interval by spreading at full rate, and its derivative with respect to ln theta.

    The length is ``SPREAD`` momentum thicknesses, but never less than a panel can carry: a switch inside one
    panel makes the equations stiff beyond what Newton's method follows.
    """
    length = SPREAD * theta + FEWEST * ds
    return 2.0 * ds / length, -2.0 * ds * SPREAD * theta / (length * length)


@kernel
def log_mean(u1: float, u2: float) -> tuple[float, float, float]:
    """Logarithmic mean of two speeds and its derivatives with respect to their logarithms."""
    x = np.log(u2 / u1)
    if abs(x) < 1e-4:
        g = np.sqrt(u1 * u2)
        m = g * (1.0 + x * x / 24.0)
        return m, m * (0.5 - x / 12.0), m * (0.5 + x / 12.0)
    m = (u2 - u1) / x
    return m, (m - u1) / x, (u2 - m) / x


@kernel
def dead_air(
    q1: FloatArray, q2: FloatArray, gap1: float, gap2: float, R: FloatArray, J1: FloatArray, J2: FloatArray
) -> None:
    """Add to an interval of the wake the dead air behind a blunt trailing edge, of thickness gap1 and gap2.

    It displaces the stream as the layer does, so that H stands for (displacement thickness + gap) / theta
    where it multiplies the change of the speed. Its own momentum is nothing.
    """
    x = q2[4] - q1[4]
    more1, more2 = 0.5 * gap1 / np.exp(q1[0]), 0.5 * gap2 / np.exp(q2[0])
    more = more1 + more2
    for equation, way in ((0, 1.0), (1, -1.0)):
        R[equation] += way * more * x
        J1[equation, 0] -= way * more1 * x
        J2[equation, 0] -= way * more2 * x
        J1[equation, 4] -= way * more
        J2[equation, 4] += way * more


@kernel
def left_to_mix(H: float) -> tuple[float, float]:
    """Square of the velocity defect that vortices can still mix, and its derivative by ln(H - 1).

    It is ((H - 1) / H)^2 but for the least of it, and negative below: a layer can not be stirred fuller.
    """
    r = 1.0 - UNMIXED / H
    return r * abs(r), 2.0 * abs(r) * UNMIXED * (H - 1.0) / (H * H)


@kernel
def vane_terms(
    q1: FloatArray, q2: FloatArray, c2: FloatArray, handed: FloatArray, R: FloatArray, J1: FloatArray,
    J2: FloatArray,
) -> None:  # fmt: skip
    """Add what rows of vanes do to momentum and energy over an interval.

    With H* the ratio of kinetic energy to momentum thickness, the span-mean layer obeys

        d theta / ds + (H + 2) theta d ln u / ds = C_f / 2 + M
        d ln H* / ds + (1 - H) d ln u / ds = (2 C_D / H* - C_f / 2 + N) / theta

    where C_D and C_f are the closure's, and M and N what the march's span mean has beside them (see
    ``closure_budget``). Where N is positive it is handed over as K times ``left_to_mix``, because it goes
    with the square of the velocity defect there is to mix. The vanes' wake comes at once: theta and ln H*
    grow by given amounts.
    """
    theta1 = np.exp(q1[0])
    more = handed[WAKE_MOMENTUM]
    R[0] -= np.log(1.0 + more / theta1)
    J1[0, 0] += more / (theta1 + more)
    R[1] -= handed[WAKE_SHAPE]
    # the rest on the means of both ends
    theta = np.exp(0.5 * (q1[0] + q2[0]))
    m = handed[MOMENTUM] / theta
    R[0] -= m
    J1[0, 0] += 0.5 * m
    J2[0, 0] += 0.5 * m
    left1, left1_h = left_to_mix(1.0 + np.exp(q1[1]))
    left2, left2_h = left_to_mix(1.0 + np.exp(q2[1]))
    share, share_n = 10.0 * (c2[WEIGHT] - 0.5), 10.0 * c2[WEIGHT + 4]
    half = 0.5 * handed[MIXING] / theta
    drive = half * (left1 + left2) + handed[WORK] / theta
    R[1] -= share * drive
    J1[1, 0] += 0.5 * share * drive
    J2[1, 0] += 0.5 * share * drive
    J1[1, 1] -= share * half * left1_h
    J2[1, 1] -= share * half * left2_h
    J2[1, 3] -= share_n * drive


@kernel
def interval(
    q1: FloatArray, q2: FloatArray, c1: FloatArray, c2: FloatArray, ds: float, forced: float,
    handed: FloatArray, R: FloatArray, J1: FloatArray, J2: FloatArray,
) -> None:  # fmt: skip
    """Residuals of momentum, energy, lag and amplification over one interval.

    Parameters
    ----------
    q1, q2 : FloatArray
        Unknowns at both ends, shape (5,).
    c1, c2 : FloatArray
        Their records from ``station``, shape (RECORD,).
    ds : float
        Length [chords].
    forced : float
        N added by a trip in this interval [-].
    handed : FloatArray
        What rows of vanes hand to this interval, shape (HANDED,).
    R : FloatArray
        Residuals to fill, shape (4,).
    J1, J2 : FloatArray
        Derivatives with respect to the unknowns at both ends, shape (4, 5).
    """
    J1[:] = 0.0
    J2[:] = 0.0
    u1, u2 = np.exp(q1[4]), np.exp(q2[4])
    x = q2[4] - q1[4]
    m, m_1, m_2 = log_mean(u1, u2)
    lam = ds / m
    lam_1, lam_2 = -lam * m_1 / m, -lam * m_2 / m
    H1a, H2a = 1.0 + np.exp(q1[1]), 1.0 + np.exp(q2[1])
    Hm = 0.5 * (H1a + H2a)
    # inside an interval that is part laminar, part turbulent the weight follows the downstream end
    om = c2[WEIGHT]
    om_n = c2[WEIGHT + 4]

    # momentum
    f = (1.0 - om) * c1[FRICTION] + om * c2[FRICTION]
    R[0] = q2[0] - q1[0] + (Hm + 2.0) * x - lam * f
    J1[0, 0], J2[0, 0] = -1.0, 1.0
    J1[0, 1], J2[0, 1] = 0.5 * (H1a - 1.0) * x, 0.5 * (H2a - 1.0) * x
    J1[0, 4], J2[0, 4] = -(Hm + 2.0) - lam_1 * f, Hm + 2.0 - lam_2 * f
    for k in range(5):
        J1[0, k] -= lam * (1.0 - om) * c1[FRICTION + 1 + k]
        J2[0, k] -= lam * om * c2[FRICTION + 1 + k]
    J2[0, 3] -= lam * om_n * (c2[FRICTION] - c1[FRICTION])

    # energy
    g = (1.0 - om) * c1[ENERGY] + om * c2[ENERGY]
    R[1] = c2[HS] - c1[HS] + (1.0 - Hm) * x - lam * g
    for k in range(5):
        J1[1, k] = -c1[HS + 1 + k] - lam * (1.0 - om) * c1[ENERGY + 1 + k]
        J2[1, k] = c2[HS + 1 + k] - lam * om * c2[ENERGY + 1 + k]
    J1[1, 1] -= 0.5 * (H1a - 1.0) * x
    J2[1, 1] -= 0.5 * (H2a - 1.0) * x
    J1[1, 4] += -(1.0 - Hm) - lam_1 * g
    J2[1, 4] += 1.0 - Hm - lam_2 * g
    J2[1, 3] -= lam * om_n * (c2[ENERGY] - c1[ENERGY])

    if handed[WAKE_MOMENTUM] != 0.0 or handed[MIXING] != 0.0:
        vane_terms(q1, q2, c2, handed, R, J1, J2)

    # lag, implicit
    R[2] = q2[2] - q1[2] - lam * c2[LAG]
    J1[2, 2], J2[2, 2] = -1.0, 1.0
    for k in range(5):
        J2[2, k] -= lam * c2[LAG + 1 + k]
    J1[2, 4] -= lam_1 * c2[LAG]
    J2[2, 4] -= lam_2 * c2[LAG]

    # amplification; the spreading is taken upstream, so that one N upstream gives one N downstream
    spread, spread_t = spread_over(ds, np.exp(q1[0]))
    R[3] = q2[3] - q1[3] - 0.5 * ds * (c1[GROWTH] + c2[GROWTH]) - spread * c1[SPREADING] - forced
    J1[3, 0] -= spread_t * c1[SPREADING]
    J1[3, 3], J2[3, 3] = -1.0, 1.0
    for k in range(5):
        J1[3, k] -= 0.5 * ds * c1[GROWTH + 1 + k] + spread * c1[SPREADING + 1 + k]
        J2[3, k] -= ds * 0.5 * c2[GROWTH + 1 + k]
