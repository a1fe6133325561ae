"""What the stream carries through the cross-plane: each kernel gives carrying less value times divergence.

Values at faces are third order from upstream for the speeds and limited (van Leer) for turbulence. Leaving
the divergence out makes the result zero for an even field whatever the speeds.
"""

from __future__ import annotations

from slowflight.flow.compiled import kernel
from slowflight.flow.row_march.plane import Plane
from slowflight.flow.solution import FloatArray


@kernel
def divergence(plane: Plane, V: FloatArray, W: FloatArray, out: FloatArray) -> None:
    """Fill ``out``, shape (n, m), with V_y + W_z; V has shape (n+1, m), W (n, m+1)."""
    n, m = out.shape
    for j in range(n):
        for k in range(m):
            out[j, k] = (V[j + 1, k] - V[j, k]) / plane.cell[j] + (W[j, k + 1] - W[j, k]) / plane.dz


@kernel
def carry_cells(
    plane: Plane, V: FloatArray, W: FloatArray, q: FloatArray, above: float, out: FloatArray
) -> None:
    """Carry a field at cell centers, third order; ``above`` is its value beyond the top."""
    n, m = q.shape
    for j in range(n):
        for k in range(m):
            c = q[j, k]
            total = 0.0
            # through lower and upper face, value against the cell's own
            v = V[j, k]
            if j > 0:
                if v > 0.0:
                    f = plane.ahead[j, 1] * q[j - 1, k] + plane.ahead[j, 2] * c
                    if j > 1:
                        f += plane.ahead[j, 0] * q[j - 2, k]
                else:
                    f = plane.behind[j, 0] * q[j - 1, k] + plane.behind[j, 1] * c
                    if j + 1 < n:
                        f += plane.behind[j, 2] * q[j + 1, k]
                total -= v * (f - c) / plane.cell[j]
            v = V[j + 1, k]
            if j + 1 < n:
                if v > 0.0:
                    f = plane.ahead[j + 1, 1] * c + plane.ahead[j + 1, 2] * q[j + 1, k]
                    if j > 0:
                        f += plane.ahead[j + 1, 0] * q[j - 1, k]
                else:
                    f = plane.behind[j + 1, 0] * c + plane.behind[j + 1, 1] * q[j + 1, k]
                    if j + 2 < n:
                        f += plane.behind[j + 1, 2] * q[j + 2, k]
                total += v * (f - c) / plane.cell[j]
            elif v < 0.0:
                total += v * (above - c) / plane.cell[j]
            if m > 1:
                q2, q1 = q[j, plane.cells[k]], q[j, plane.cells[k + 1]]
                p1, p2 = q[j, plane.cells[k + 3]], q[j, plane.cells[k + 4]]
                w = W[j, k]
                f = (-q2 + 5.0 * q1 + 2.0 * c) / 6.0 if w > 0.0 else (2.0 * q1 + 5.0 * c - p1) / 6.0
                total -= w * (f - c) / plane.dz
                w = W[j, k + 1]
                f = (-q1 + 5.0 * c + 2.0 * p1) / 6.0 if w > 0.0 else (2.0 * c + 5.0 * p1 - p2) / 6.0
                total += w * (f - c) / plane.dz
            out[j, k] = total


@kernel
def _limited(a: float, b: float, c: float) -> float:
    """Value at the face between b and c with flow from b, a upstream of it (van Leer)."""
    s, t = b - a, c - b
    if s * t <= 0.0:
        return b
    return b + s * t / (s + t)


@kernel
def carry_limited(
    plane: Plane, V: FloatArray, W: FloatArray, q: FloatArray, above: float, out: FloatArray
) -> None:
    """Carry a positive field at cell centers that is zero at the skin; makes no new extremes."""
    n, m = q.shape
    for j in range(n):
        for k in range(m):
            c = q[j, k]
            low = q[j - 1, k] if j > 0 else 0.0
            high = q[j + 1, k] if j + 1 < n else above
            total = 0.0
            v = V[j, k]
            if v > 0.0:
                lower = q[j - 2, k] if j > 1 else 0.0
                total -= v * (_limited(lower, low, c) - c) / plane.cell[j]
            else:
                total -= v * (_limited(high, c, low) - c) / plane.cell[j]
            v = V[j + 1, k]
            if v > 0.0:
                total += v * (_limited(low, c, high) - c) / plane.cell[j]
            else:
                higher = q[j + 2, k] if j + 2 < n else above
                total += v * (_limited(higher, high, c) - c) / plane.cell[j]
            if m > 1:
                q2, q1 = q[j, plane.cells[k]], q[j, plane.cells[k + 1]]
                p1, p2 = q[j, plane.cells[k + 3]], q[j, plane.cells[k + 4]]
                w = W[j, k]
                f = _limited(q2, q1, c) if w > 0.0 else _limited(p1, c, q1)
                total -= w * (f - c) / plane.dz
                w = W[j, k + 1]
                f = _limited(q1, c, p1) if w > 0.0 else _limited(p2, p1, c)
                total += w * (f - c) / plane.dz
            out[j, k] = total


@kernel
def carry_up(plane: Plane, V: FloatArray, W: FloatArray, q: FloatArray, out: FloatArray) -> None:
    """Carry the speed away from the skin, at inner y faces; ``out`` is zero at the skin and the top."""
    n = V.shape[0] - 1
    m = V.shape[1]
    out[:] = 0.0
    for j in range(1, n):
        # the volume about this face reaches from center j-1 to center j
        size = plane.gap[j]
        low_share = (plane.center[j] - plane.face[j]) / size
        for k in range(m):
            c = q[j, k]
            v = 0.5 * (V[j - 1, k] + V[j, k])
            if v > 0.0:
                f = plane.point_ahead[j - 1, 1] * q[j - 1, k] + plane.point_ahead[j - 1, 2] * c
                if j > 1:
                    f += plane.point_ahead[j - 1, 0] * q[j - 2, k]
            else:
                f = plane.point_behind[j - 1, 0] * q[j - 1, k] + plane.point_behind[j - 1, 1] * c
                f += plane.point_behind[j - 1, 2] * q[j + 1, k]
            total = -v * (f - c) / size
            v = 0.5 * (V[j, k] + V[j + 1, k])
            if v > 0.0:
                f = plane.point_ahead[j, 0] * q[j - 1, k] + plane.point_ahead[j, 1] * c
                f += plane.point_ahead[j, 2] * q[j + 1, k]
            else:
                f = plane.point_behind[j, 0] * c + plane.point_behind[j, 1] * q[j + 1, k]
                if j + 2 <= n:
                    f += plane.point_behind[j, 2] * q[j + 2, k]
            total += v * (f - c) / size
            if m > 1:
                q2, q1 = q[j, plane.cells[k]], q[j, plane.cells[k + 1]]
                p1, p2 = q[j, plane.cells[k + 3]], q[j, plane.cells[k + 4]]
                w = low_share * W[j - 1, k] + (1.0 - low_share) * W[j, k]
                f = (-q2 + 5.0 * q1 + 2.0 * c) / 6.0 if w > 0.0 else (2.0 * q1 + 5.0 * c - p1) / 6.0
                total -= w * (f - c) / plane.dz
                w = low_share * W[j - 1, k + 1] + (1.0 - low_share) * W[j, k + 1]
                f = (-q1 + 5.0 * c + 2.0 * p1) / 6.0 if w > 0.0 else (2.0 * c + 5.0 * p1 - p2) / 6.0
                total += w * (f - c) / plane.dz
            out[j, k] = total


@kernel
def carry_across(plane: Plane, V: FloatArray, W: FloatArray, q: FloatArray, out: FloatArray) -> None:
    """Carry the speed across, at side faces; a plane of symmetry keeps zero."""
    n = q.shape[0]
    m = q.shape[1] - 1
    out[:] = 0.0
    first, last = (0, m) if plane.cyclic else (1, m)
    for j in range(n):
        for k in range(first, last):
            left, right = plane.cells[k + 1], plane.cells[k + 2]
            c = q[j, k]
            total = 0.0
            v = 0.5 * (V[j, left] + V[j, right])
            if j > 0:
                if v > 0.0:
                    f = plane.ahead[j, 1] * q[j - 1, k] + plane.ahead[j, 2] * c
                    if j > 1:
                        f += plane.ahead[j, 0] * q[j - 2, k]
                else:
                    f = plane.behind[j, 0] * q[j - 1, k] + plane.behind[j, 1] * c
                    if j + 1 < n:
                        f += plane.behind[j, 2] * q[j + 1, k]
                total -= v * (f - c) / plane.cell[j]
            v = 0.5 * (V[j + 1, left] + V[j + 1, right])
            if j + 1 < n:
                if v > 0.0:
                    f = plane.ahead[j + 1, 1] * c + plane.ahead[j + 1, 2] * q[j + 1, k]
                    if j > 0:
                        f += plane.ahead[j + 1, 0] * q[j - 1, k]
                else:
                    f = plane.behind[j + 1, 0] * c + plane.behind[j + 1, 1] * q[j + 1, k]
                    if j + 2 < n:
                        f += plane.behind[j + 1, 2] * q[j + 2, k]
                total += v * (f - c) / plane.cell[j]
            elif v < 0.0:
                total += v * (0.0 - c) / plane.cell[j]
            a, b = q[j, plane.sides[k]] * plane.sign[k], q[j, plane.sides[k + 2]] * plane.sign[k + 2]
            w = 0.5 * (a + c)
            if w > 0.0:
                # two faces upstream; next to a plane of symmetry its image
                a2 = q[j, plane.sides[k - 1]] * plane.sign[k - 1] if k > 0 else q[j, m - 2]
                f = (-a2 + 5.0 * a + 2.0 * c) / 6.0
            else:
                f = (2.0 * a + 5.0 * c - b) / 6.0
            total -= w * (f - c) / plane.dz
            w = 0.5 * (c + b)
            if w > 0.0:
                f = (-a + 5.0 * c + 2.0 * b) / 6.0
            else:
                b2 = q[j, k + 2] if k + 2 <= m else (q[j, k + 2 - m] if plane.cyclic else -c)
                f = (2.0 * c + 5.0 * b - b2) / 6.0
            total += w * (f - c) / plane.dz
            out[j, k] = total
        if plane.cyclic:
            out[j, m] = out[j, 0]
