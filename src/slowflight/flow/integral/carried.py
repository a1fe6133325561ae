"""What a layer only carries downstream: the amplification exponent N, with trips, and the shear S."""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.layer import (
    GROWTH,
    LAG,
    SPREADING,
    log_mean,
    spread_over,
    station,
    turbulent_share,
)
from slowflight.flow.solution import FloatArray

TRIP_LENGTH = 0.008  # length over which a trip acts [chords]
TRIP_AHEAD = 0.015  # least distance of a trip from stagnation [chords]


@kernel
def _ramp(x: float) -> float:
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    return x * x * (3.0 - 2.0 * x)


@kernel
def forced_growth(a1: float, a2: float, trips: FloatArray, side: int, divide: float) -> float:
    """N added between two distances from stagnation by the trips of one side.

    Trips are rows (side, place on the body's arc, amount); one that the stagnation point has come close to
    acts ``TRIP_AHEAD`` behind it, since a layer that thin cannot be turbulent.
    """
    total = 0.0
    for k in range(trips.shape[0]):
        if int(trips[k, 0]) != side:
            continue
        at = max((trips[k, 1] - divide) * (1.0 if side == 1 else -1.0), TRIP_AHEAD)
        total += trips[k, 2] * (_ramp((a2 - at) / TRIP_LENGTH) - _ramp((a1 - at) / TRIP_LENGTH))
    return total


@kernel
def follow(
    q1: FloatArray, q2: FloatArray, c1: FloatArray, c2: FloatArray, ds: float, forced: float,
    reynolds: float, lag: float, critical: float, mixing: float, wake: bool,
) -> None:  # fmt: skip
    """Solve the amplification and lag equations for N and S at the downstream end, and fill its record.

    Both are carried downstream only and each has one root, so they are kept satisfied between Newton steps:
    a guess of theta, H and u then never drags an old transition along.
    """
    if not wake:
        base = q1[3] + 0.5 * ds * c1[GROWTH] + spread_over(ds, np.exp(q1[0]))[0] * c1[SPREADING] + forced
        q2[3] = -1e3
        station(q2, reynolds, lag, critical, mixing, wake, c2)
        most = 0.5 * ds * c2[GROWTH]
        n = base + most
        if n > critical:
            # one root between, since the share only grows with N; Newton alone can go from bound to bound
            lo, hi = base, n
            for _ in range(80):
                share, share_n = turbulent_share(n, critical)
                g = n - base - most * (1.0 - share)
                if abs(g) < 1e-12 * max(1.0, n) or hi - lo < 1e-13:
                    break
                if g > 0.0:
                    hi = n
                else:
                    lo = n
                n -= g / (1.0 + most * share_n)
                if not lo < n < hi:
                    n = 0.5 * (lo + hi)
        q2[3] = n
    station(q2, reynolds, lag, critical, mixing, wake, c2)
    lam = ds / log_mean(np.exp(q1[4]), np.exp(q2[4]))[0]
    # a2 - a1 - lam (pull - rate e^a2), increasing in a2
    rate = -c2[LAG + 3] / np.exp(q2[2])
    pull = c2[LAG] + rate * np.exp(q2[2])
    a = max(q1[2], np.log(max(pull / rate, 1e-6)))
    for _ in range(30):
        s = rate * np.exp(a)
        d = (a - q1[2] - lam * (pull - s)) / (1.0 + lam * s)
        a -= d
        if abs(d) < 1e-13:
            break
    q2[2] = a
    station(q2, reynolds, lag, critical, mixing, wake, c2)
