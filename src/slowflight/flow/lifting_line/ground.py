"""The ground under a wing: vortices mirrored below it turn the air up again."""

from __future__ import annotations

import numpy as np

from slowflight.errors import RangeError
from slowflight.flow.lifting_line.induced import downwash, downwash_both_halves
from slowflight.flow.lifting_line.strips import Strips
from slowflight.flow.solution import FloatArray

SOURCES = ("Wieselsberger1922",)
LOWEST = 0.03  # quarter-chord height over span; lower, the strips next to each other no longer resolve it


def over_ground(strips: Strips, *, height: float, dihedral: float = 0.0) -> FloatArray:
    """Return the matrix from circulation to induced angle of a wing near level ground.

    Parameters
    ----------
    strips : Strips
        Of one half loaded alike on both, or of both halves.
    height : float
        Of the quarter-chord line above the ground at the centerline [m].
    dihedral : float
        By which each half rises outward [rad].

    Returns
    -------
    FloatArray
        For ``Strips.air``: ``induced angle [rad] = air @ (circulation / (span * speed))``, downward positive,
        shape (n, n).

    Raises
    ------
    RangeError
        Where the height is not above 3 % of the span somewhere along it.

    Notes
    -----
    Each trailing vortex has a mirrored one of opposite sense below the ground (Wieselsberger 1922, after
    Prandtl's biplane). At a place ``u`` beside it and ``H`` above it turns the air up by
    ``(1 / 4 pi) d(circulation) u / (u^2 + H^2)``; by parts, with circulation zero at the tips, that is
    ``(1 / 4 pi) circulation (H^2 - u^2) / (u^2 + H^2)^2 dy``, summed by Multhopp's quadrature, which keeps
    the matrix symmetric but for the weights.

    Left out: the mirrored bound vortex, which slows the air under the wing. The dihedral counts in the
    heights alone. Maximum lift with flaps down is said to fall near the ground; nothing of that is here, so
    no maximum near the ground should be credited.
    """
    lowest = min(height, height + float(np.max(np.abs(strips.y))) * np.tan(dihedral))
    if not lowest >= LOWEST * strips.span:
        raise RangeError(
            where="height above the ground", found=f"{lowest:g} m",
            needed=f"at least {LOWEST:g} of the span, {LOWEST * strips.span:.2f} m, all along it",
        )  # fmt: skip
    n = strips.y.size if not strips.both_halves else (strips.y.size + 1) // 2
    turn = np.arange(1, 2 * n) * np.pi / (2 * n)
    y = 0.5 * strips.span * np.cos(turn)
    above = height + np.abs(y) * np.tan(dihedral)
    apart = (y[:, None] - y[None, :]) ** 2
    far = (above[:, None] + above[None, :]) ** 2
    width = 0.5 * strips.span * np.sin(turn) * np.pi / (2 * n)
    lifted = (strips.span / (4.0 * np.pi)) * (far - apart) / (apart + far) ** 2 * width[None, :]
    if strips.both_halves:
        return np.asarray(downwash_both_halves(n) - lifted)
    half = lifted[:n, :n].copy()
    half[:, :-1] += lifted[:n, : n - 1 : -1]
    return np.asarray(downwash(n) - half)
