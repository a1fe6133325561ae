"""What a layer only carries downstream: the amplification exponent N, with trips, and the shear S."""

from __future__ import annotations

import math

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

TRIP_LENGTH = 0.008  # shortest length over which a trip makes a layer turbulent [chords]
TRIP_AHEAD = 0.015  # least distance of a trip from stagnation [chords]
NO_LIMIT = 1e9


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
        if a1 <= at < a2:
            total += trips[k, 2]
    return total


@kernel
def most_forced(a1: float, a2: float, trips: FloatArray, side: int, divide: float, critical: float) -> float:
    """The N up to which trips may lift the layer at distance ``a2``, the end of an interval from ``a1``.

    A trip makes the layer turbulent over ``TRIP_LENGTH``, but over a panel where that is longer: the
    turbulent share of a station is then the part of that length behind the trip, and changes evenly as a
    trip moves through panels. A switch would step from station to station instead (own construction).
    """
    most = NO_LIMIT
    for k in range(trips.shape[0]):
        if int(trips[k, 0]) != side or trips[k, 2] <= 0.0:
            continue
        at = max((trips[k, 1] - divide) * (1.0 if side == 1 else -1.0), TRIP_AHEAD)
        part = (a2 - at) / max(TRIP_LENGTH, a2 - a1)
        if 0.0 < part < 1.0:
            most = min(most, critical + share_place(part))
    return most


@kernel
def share_place(share: float) -> float:
    """N above critical at which the turbulent share has a value: the inverse of 3 x^2 - 2 x^3."""
    return 0.5 - math.sin(math.asin(1.0 - 2.0 * share) / 3.0)


@kernel
def _grown(base: float, most: float, critical: float) -> float:
    """N downstream for N = base + most (1 - share of N): one root, since the share only grows with N."""
    n = base + most
    if n <= critical:
        return n
    # Newton alone can go from bound to bound
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
    return n


@kernel
def follow(
    q1: FloatArray, q2: FloatArray, c1: FloatArray, c2: FloatArray, ds: float, forced: float,
    reynolds: float, lag: float, critical: float, wake: bool, limit: float,
) -> tuple[float, bool]:  # fmt: skip
    """Solve the amplification and lag equations for N and S at the downstream end, and fill its record.

    Both are carried downstream only and each has one root, so they are kept satisfied between Newton steps:
    a guess of theta, H and u then never drags an old transition along.

    Parameters
    ----------
    limit : float
        The N up to which ``forced`` may lift the end (see ``most_forced``); the rest is left to the next
        interval.

    Returns
    -------
    given : float
        Part of ``forced`` that was used.
    held : bool
        Whether N stands at the limit, whatever it is upstream.
    """
    given, held = forced, False
    if not wake:
        base = q1[3] + 0.5 * ds * c1[GROWTH] + spread_over(ds, np.exp(q1[0]))[0] * c1[SPREADING]
        q2[3] = -1e3
        station(q2, reynolds, lag, critical, wake, c2)
        most = 0.5 * ds * c2[GROWTH]
        n = _grown(base + forced, most, critical)
        if n > limit and forced > 0.0:
            by_itself = _grown(base, most, critical)
            held = by_itself < limit
            given = limit - by_itself if held else 0.0
            n = limit if held else by_itself
        q2[3] = n
    station(q2, reynolds, lag, critical, wake, c2)
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
    station(q2, reynolds, lag, critical, wake, c2)
    return given, held
