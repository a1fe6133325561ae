"""Friction inside the cross-plane: explicit terms, and steps made implicit one direction after the other."""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.row_march.plane import Plane
from slowflight.flow.solution import FloatArray


@kernel
def line(a: FloatArray, b: FloatArray, c: FloatArray, r: FloatArray, cyclic: bool) -> None:
    """Solve a line of equations a x[k-1] + b x[k] + c x[k+1] = r in place of r; b and c are spent.

    Thomas' elimination; a closed ring by Sherman and Morrison's formula.
    """
    n = len(r)
    if not cyclic or n < 3:
        for k in range(1, n):
            w = a[k] / b[k - 1]
            b[k] -= w * c[k - 1]
            r[k] -= w * r[k - 1]
        r[n - 1] /= b[n - 1]
        for k in range(n - 2, -1, -1):
            r[k] = (r[k] - c[k] * r[k + 1]) / b[k]
        return
    g = -b[0]
    corner_low, corner_high = a[0], c[n - 1]
    b[0] -= g
    b[n - 1] -= corner_low * corner_high / g
    x = np.zeros(n)
    x[0], x[n - 1] = g, corner_high
    for k in range(1, n):
        w = a[k] / b[k - 1]
        b[k] -= w * c[k - 1]
        r[k] -= w * r[k - 1]
        x[k] -= w * x[k - 1]
    r[n - 1] /= b[n - 1]
    x[n - 1] /= b[n - 1]
    for k in range(n - 2, -1, -1):
        r[k] = (r[k] - c[k] * r[k + 1]) / b[k]
        x[k] = (x[k] - c[k] * x[k + 1]) / b[k]
    share = (r[0] + corner_low * r[n - 1] / g) / (1.0 + x[0] + corner_low * x[n - 1] / g)
    for k in range(n):
        r[k] -= share * x[k]


@kernel
def face_viscosity(
    plane: Plane, nu: float, eddy: FloatArray, up: FloatArray, across: FloatArray, corner: FloatArray
) -> None:
    """Total viscosity at y faces (n+1, m), side faces (n, m+1) and corners (n+1, m+1) from that at centers.

    The eddy viscosity (n, m) is zero at the skin.
    """
    n, m = eddy.shape
    for j in range(n):
        for k in range(m + 1):
            across[j, k] = nu + 0.5 * (eddy[j, plane.cells[k + 1]] + eddy[j, plane.cells[k + 2]])
    for j in range(n + 1):
        low = min(max(j - 1, 0), n - 1)
        high = min(j, n - 1)
        share = (plane.face[j] - plane.center[low]) / plane.gap[j] if 0 < j < n else 0.0
        for k in range(m):
            up[j, k] = nu if j == 0 else nu + (1.0 - share) * eddy[low, k] + share * eddy[high, k]
        for k in range(m + 1):
            corner[j, k] = nu if j == 0 else (1.0 - share) * across[low, k] + share * across[high, k]


@kernel
def spread_cells(
    plane: Plane, up: FloatArray, across: FloatArray, q: FloatArray, skin: float, above: float,
    out: FloatArray,
) -> None:  # fmt: skip
    """Fill ``out`` with div(nu grad q) of a field at centers that is zero at the skin.

    ``skin`` is 1 for a skin that holds the flow, 0 for one that lets it slip; ``above`` the value beyond.
    """
    n, m = q.shape
    for j in range(n):
        for k in range(m):
            c = q[j, k]
            low = up[j, k] * (c - q[j - 1, k]) / plane.gap[j] if j > 0 else skin * up[0, k] * c / plane.gap[0]
            high = (
                up[j + 1, k] * (q[j + 1, k] - c) / plane.gap[j + 1]
                if j + 1 < n
                else up[n, k] * (above - c) / plane.gap[n]
            )
            left = across[j, k] * (c - q[j, plane.cells[k + 1]])
            right = across[j, k + 1] * (q[j, plane.cells[k + 3]] - c)
            out[j, k] = (high - low) / plane.cell[j] + (right - left) / plane.dz**2


@kernel
def implicit_across_cells(
    plane: Plane, mass: FloatArray, across: FloatArray, factor: float, r: FloatArray
) -> None:
    """Replace r by x of mass (x) - d/dz(factor nu dx/dz) = r, fields at centers."""
    n, m = r.shape
    if m == 1:
        for j in range(n):
            r[j, 0] /= mass[j, 0]
        return
    a, b, c = np.empty(m), np.empty(m), np.empty(m)
    z = factor / plane.dz**2
    for j in range(n):
        for k in range(m):
            a[k] = -z * across[j, k]
            c[k] = -z * across[j, k + 1]
            b[k] = mass[j, k]
            if plane.cyclic or k > 0:
                b[k] -= a[k]
            if plane.cyclic or k + 1 < m:
                b[k] -= c[k]
        line(a, b, c, r[j], plane.cyclic)


@kernel
def implicit_up_cells(
    plane: Plane, mass: FloatArray, up: FloatArray, factor: float, skin: float, r: FloatArray
) -> None:
    """Replace r by x of mass x - d/dy(factor nu dx/dy) = mass r, fields at centers, change zero beyond."""
    n, m = r.shape
    upper = np.empty((n, m))
    for j in range(n):
        for k in range(m):
            low = factor * up[j, k] / (plane.gap[j] * plane.cell[j])
            if j == 0:
                low *= skin
            high = factor * up[j + 1, k] / (plane.gap[j + 1] * plane.cell[j])
            d = mass[j, k] + low + high
            x = mass[j, k] * r[j, k]
            if j > 0:
                d -= low * upper[j - 1, k]
                x += low * r[j - 1, k]
            upper[j, k] = high / d
            r[j, k] = x / d
    for j in range(n - 2, -1, -1):
        for k in range(m):
            r[j, k] += upper[j, k] * r[j + 1, k]


@kernel
def implicit_up_coupled(
    plane: Plane, mass: FloatArray, up: FloatArray, steep: FloatArray, ds: float, skin: float, r: FloatArray
) -> None:
    """Replace r by the change x of the speed along the skin, with the flow it pushes away from the skin.

    Solves mass x - d/dy(nu dx/dy) + v(x) dU/dy = mass r, where v(x) = -(integral of x from the skin)/ds:
    what a cell loses along the skin leaves through its upper face in the same step. Without it the two
    answer each other in turn and friction wobbles.

    Parameters
    ----------
    plane : Plane
        The cells.
    mass, up : FloatArray
        Speed over step (n, m), viscosity at y faces (n+1, m).
    steep : FloatArray
        Weights of v at the lower and upper face of a cell, shape (2, n, m).
    ds, skin : float
        The step, and 1 for a skin that holds the flow.
    r : FloatArray
        Right side on entry, shape (n, m).
    """
    n, m = r.shape
    upper, value = np.empty((n, m)), np.empty((n, m))
    for j in range(n):
        h = plane.cell[j]
        for k in range(m):
            low = up[j, k] / (plane.gap[j] * h)
            if j == 0:
                low *= skin
            high = up[j + 1, k] / (plane.gap[j + 1] * h)
            b = mass[j, k] + low + high
            d = b / h - steep[1, j, k] / ds
            u = 0.0
            if j + 1 < n:
                d += high / plane.cell[j + 1]
                u = -high / plane.cell[j + 1]
            x = mass[j, k] * r[j, k]
            if j > 0:
                l1 = -b / h - low / plane.cell[j - 1] - steep[0, j, k] / ds
                if j > 1:
                    l2 = low / plane.cell[j - 1]
                    l1 -= l2 * upper[j - 2, k]
                    x -= l2 * value[j - 2, k]
                d -= l1 * upper[j - 1, k]
                x -= l1 * value[j - 1, k]
            upper[j, k] = u / d
            value[j, k] = x / d
    for j in range(n - 2, -1, -1):
        for k in range(m):
            value[j, k] -= upper[j, k] * value[j + 1, k]
    for j in range(n):
        for k in range(m):
            below = value[j - 1, k] if j > 0 else 0.0
            r[j, k] = (value[j, k] - below) / plane.cell[j]


@kernel
def spread_up(
    plane: Plane, eddy: FloatArray, nu: float, corner: FloatArray, V: FloatArray, W: FloatArray,
    out: FloatArray,
) -> None:  # fmt: skip
    """Add the friction on the speed away from the skin at inner y faces to ``out``, (n+1, m).

    div(nu grad V) + (d nu/dy) V_y + (d nu/dz) W_y.
    """
    n, m = eddy.shape
    for j in range(1, n):
        g = plane.gap[j]
        for k in range(m):
            low_slope = (V[j, k] - V[j - 1, k]) / plane.cell[j - 1]
            high_slope = (V[j + 1, k] - V[j, k]) / plane.cell[j]
            total = ((nu + eddy[j, k]) * high_slope - (nu + eddy[j - 1, k]) * low_slope) / g
            total += (eddy[j, k] - eddy[j - 1, k]) / g * 0.5 * (low_slope + high_slope)
            if V.shape[1] > 1:
                left = corner[j, k] * (V[j, k] - V[j, plane.cells[k + 1]])
                right = corner[j, k + 1] * (V[j, plane.cells[k + 3]] - V[j, k])
                total += (right - left) / plane.dz**2
                w_slope = 0.5 * (W[j, k] + W[j, k + 1] - W[j - 1, k] - W[j - 1, k + 1]) / g
                total += (corner[j, k + 1] - corner[j, k]) / plane.dz * w_slope
            out[j, k] += total


@kernel
def spread_across(
    plane: Plane, eddy: FloatArray, nu: float, corner: FloatArray, V: FloatArray, W: FloatArray, skin: float,
    out: FloatArray,
) -> None:  # fmt: skip
    """Add the friction on the speed across at side faces to ``out``, (n, m+1).

    div(nu grad W) + (d nu/dy) V_z + (d nu/dz) W_z.
    """
    n, m = eddy.shape
    first, last = (0, m) if plane.cyclic else (1, m)
    for j in range(n):
        for k in range(first, last):
            left, right = plane.cells[k + 1], plane.cells[k + 2]
            c = W[j, k]
            low = (
                corner[j, k] * (c - W[j - 1, k]) / plane.gap[j]
                if j > 0
                else skin * corner[0, k] * c / plane.gap[0]
            )
            high = corner[j + 1, k] * (W[j + 1, k] - c) / plane.gap[j + 1] if j + 1 < n else 0.0
            a = W[j, plane.sides[k]] * plane.sign[k]
            b = W[j, plane.sides[k + 2]] * plane.sign[k + 2]
            total = (high - low) / plane.cell[j]
            total += ((nu + eddy[j, right]) * (b - c) - (nu + eddy[j, left]) * (c - a)) / plane.dz**2
            v_slope = 0.5 * (V[j, right] + V[j + 1, right] - V[j, left] - V[j + 1, left]) / plane.dz
            total += (corner[j + 1, k] - corner[j, k]) / plane.cell[j] * v_slope
            total += (eddy[j, right] - eddy[j, left]) / plane.dz * 0.5 * (b - a) / plane.dz
            out[j, k] += total


@kernel
def implicit_up_faces(
    plane: Plane, eddy: FloatArray, nu: float, corner: FloatArray, mass: FloatArray, r: FloatArray
) -> None:
    """Replace r by x of mass x - div(nu grad x) = r, at y faces, x zero at the skin, even at the top."""
    n, m = eddy.shape
    a, b, c = np.empty(m), np.empty(m), np.empty(m)
    z = 1.0 / plane.dz**2
    if m > 1:
        for j in range(1, n):
            for k in range(m):
                a[k] = -z * corner[j, k]
                c[k] = -z * corner[j, k + 1]
                b[k] = mass[j, k]
                if plane.cyclic or k > 0:
                    b[k] -= a[k]
                if plane.cyclic or k + 1 < m:
                    b[k] -= c[k]
            line(a, b, c, r[j], plane.cyclic)
    else:
        for j in range(1, n):
            r[j, 0] /= mass[j, 0]
    upper = np.zeros((n, m))
    for k in range(m):
        r[0, k] = 0.0
    for j in range(1, n):
        for k in range(m):
            low = (nu + eddy[j - 1, k]) / (plane.cell[j - 1] * plane.gap[j])
            high = (nu + eddy[j, k]) / (plane.cell[j] * plane.gap[j])
            d = mass[j, k] + low
            if j + 1 < n:
                d += high
            d -= low * upper[j - 1, k]
            upper[j, k] = high / d if j + 1 < n else 0.0
            r[j, k] = (mass[j, k] * r[j, k] + low * r[j - 1, k]) / d
    for j in range(n - 2, 0, -1):
        for k in range(m):
            r[j, k] += upper[j, k] * r[j + 1, k]


@kernel
def implicit_across_faces(
    plane: Plane, eddy: FloatArray, nu: float, corner: FloatArray, mass: FloatArray, skin: float,
    r: FloatArray,
) -> None:  # fmt: skip
    """Replace r by x of mass x - div(nu grad x) = r, at side faces, x zero at planes of symmetry."""
    n, m = eddy.shape
    if m == 1:
        r[:] = 0.0
        return
    first = 0 if plane.cyclic else 1
    count = m - first
    a, b, c, x = np.empty(count), np.empty(count), np.empty(count), np.empty(count)
    z = 1.0 / plane.dz**2
    for j in range(n):
        for i in range(count):
            k = first + i
            a[i] = -z * (nu + eddy[j, plane.cells[k + 1]])
            c[i] = -z * (nu + eddy[j, plane.cells[k + 2]])
            b[i] = mass[j, k] - a[i] - c[i]
            x[i] = r[j, k]
        line(a, b, c, x, plane.cyclic)
        for i in range(count):
            r[j, first + i] = x[i]
    upper = np.empty((n, m + 1))
    for j in range(n):
        for k in range(first, m):
            low = corner[j, k] / (plane.gap[j] * plane.cell[j])
            if j == 0:
                low *= skin
            high = corner[j + 1, k] / (plane.gap[j + 1] * plane.cell[j]) if j + 1 < n else 0.0
            d = mass[j, k] + low + high
            v = mass[j, k] * r[j, k]
            if j > 0:
                d -= low * upper[j - 1, k]
                v += low * r[j - 1, k]
            upper[j, k] = high / d
            r[j, k] = v / d
    for j in range(n - 2, -1, -1):
        for k in range(first, m):
            r[j, k] += upper[j, k] * r[j + 1, k]
    for j in range(n):
        if plane.cyclic:
            r[j, m] = r[j, 0]
        else:
            r[j, 0] = 0.0
            r[j, m] = 0.0
