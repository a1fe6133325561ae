"""Cells and faces of a mesh of quadrilaterals, with every geometric weight the flow equations need.

A mesh is described by its grid lines: *strips* of cells from one boundary to another, with the faces between
them. Any arrangement of blocks is just a set of strips, so the flow kernels know no blocks, cuts or corners.

Weights follow the grid lines, not Cartesian distances: about a curved nose a cell two thousandths long and a
hundred thousandth high bulges by more than its height, and only along grid lines are its neighbors where they
seem to be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from slowflight.errors import InputError
from slowflight.flow.compiled import kernel
from slowflight.flow.solution import FloatArray

Indices = npt.NDArray[np.integer[Any]]

WALL, FAR, SLIP = 1, 2, 3
"""Kinds of boundary: a skin; a place where the outer state is given; a plane of symmetry."""


@dataclass(frozen=True)
class Strips:
    """Grid lines of one family, all of one length.

    Parameters
    ----------
    cells : Indices
        Cells along each line, shape (lines, n).
    nodes : Indices
        The two nodes of the face before, between and behind the cells, shape (lines, n + 1, 2).
    start, end : int
        Kind of boundary at both ends.
    """

    cells: Indices
    nodes: Indices
    start: int
    end: int


class Mesh(NamedTuple):
    """What the kernels read. Faces lie between cells 1 and 2 of ``cells`` [before, 1, 2, behind].

    Parameters
    ----------
    volume, distance : FloatArray
        Area of each cell and distance of its center from the nearest wall [chords], shape (n,).
    center : FloatArray
        Shape (n, 2) [chords].
    cells : Indices
        Per inner face, -1 where there is none, shape (f, 4).
    normal : FloatArray
        Unit normal from cell 1 to 2, and length of the face, shape (f, 3).
    reconstruction : FloatArray
        Per inner face: of pressure, velocity and turbulence (3), on both sides (2), from cells [before, 1, 2]
        and [1, 2, behind], shape (f, 3, 2, 3).
    share : FloatArray
        Weight of cell 1 in the value on the face, shape (f,).
    gradient : FloatArray
        Gradient on the face = [0:2] (cell 2 - cell 1) + [2:4] (node 2 - node 1), shape (f, 4).
    nodes : Indices
        Shape (f, 2).
    edge_cells, edge_normal, edge_nodes, edge_kind : Indices, FloatArray
        Per boundary face: first and second cell, outward unit normal and length, nodes, kind.
    edge_value : FloatArray
        Value on the boundary face extrapolated from first and second cell, shape (b, 2).
    edge_slope : FloatArray
        Outward derivative from boundary value, first and second cell, shape (b, 3).
    edge_middle : FloatArray
        Shape (b, 2).
    node_cells, node_weight : Indices, FloatArray
        Up to four cells about each node; weight 0 where the value at the node is given; shape (m, 4).
    slope_cells, slope_weight : Indices, FloatArray
        Gradient in a cell from itself and its four neighbors, shapes (n, 5) and (n, 5, 2).
    """

    volume: FloatArray
    distance: FloatArray
    center: FloatArray
    cells: Indices
    normal: FloatArray
    reconstruction: FloatArray
    share: FloatArray
    gradient: FloatArray
    nodes: Indices
    edge_cells: Indices
    edge_normal: FloatArray
    edge_nodes: Indices
    edge_kind: Indices
    edge_value: FloatArray
    edge_slope: FloatArray
    edge_middle: FloatArray
    node_cells: Indices
    node_weight: FloatArray
    slope_cells: Indices
    slope_weight: FloatArray


def build_mesh(
    nodes: FloatArray, quads: Indices, families: Sequence[Strips], *, second_order_edges: bool = False
) -> Mesh:
    """Work out faces and weights.

    Parameters
    ----------
    nodes : FloatArray
        Shape (m, 2) [chords].
    quads : Indices
        Nodes of each cell in turn, counterclockwise, shape (n, 4).
    families : sequence of Strips
        Each cell lies on exactly two strips.
    second_order_edges : bool
        Extrapolate to far boundaries linearly (for manufactured solutions) instead of taking the cell's own
        value.

    Returns
    -------
    Mesh

    Raises
    ------
    InputError
        Where a cell has no positive area.
    """
    corners = nodes[quads]
    volume = quad_area(corners)
    if not np.all(volume > 0.0):
        bad = int(np.argmin(volume))
        raise InputError(
            where="mesh",
            found=f"{int(np.sum(~(volume > 0.0)))} cells turned inside out, one near"
            f" x = {corners[bad, :, 0].mean():.4f}, y = {corners[bad, :, 1].mean():.4f}",
            needed="cells of positive area",
        )
    center = quad_centroid(corners, volume)
    inner = [_inner_faces(s, nodes, center) for s in families]
    edges = [_edge_faces(s, nodes, center, second_order_edges) for s in families]
    cells, normal, reconstruction, share, face_nodes = (
        np.ascontiguousarray(np.concatenate(parts)) for parts in zip(*inner, strict=True)
    )
    edge_cells, edge_normal, edge_nodes, edge_kind, edge_value, edge_slope = (
        np.ascontiguousarray(np.concatenate(parts)) for parts in zip(*edges, strict=True)
    )
    gradient = _face_gradient(cells, face_nodes, nodes, center)
    walls = nodes[edge_nodes[edge_kind == WALL]]
    distance = wall_distance(center, np.ascontiguousarray(walls)) if len(walls) else np.full(len(quads), 1e3)
    node_cells, node_weight = _node_weights(nodes, quads)
    node_weight[np.unique(edge_nodes[edge_kind == WALL])] = 0.0
    edge_middle = np.ascontiguousarray(nodes[edge_nodes].mean(axis=1))
    slope_cells, slope_weight = _cell_slopes(
        volume, cells, normal, share, edge_cells, edge_normal, edge_kind, edge_middle, center
    )
    return Mesh(
        volume, distance, center, cells, normal, reconstruction, share, gradient, face_nodes,
        edge_cells, edge_normal, edge_nodes, edge_kind, edge_value, edge_slope,
        edge_middle, node_cells, node_weight, slope_cells, slope_weight,
    )  # fmt: skip


def quad_area(corners: FloatArray) -> FloatArray:
    """Area of quadrilaterals, positive where counterclockwise; corners of shape (n, 4, 2)."""
    a, b = corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]
    return np.asarray(0.5 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]))


def quad_centroid(corners: FloatArray, area: FloatArray) -> FloatArray:
    """Centroid of quadrilaterals, shape (n, 2); relative to the first corner, or thin cells lose digits."""
    local = corners - corners[:, :1]
    total = np.zeros((len(corners), 2))
    for k in (1, 2):
        a, b = local[:, k], local[:, k + 1]
        total += 0.5 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])[:, None] * (a + b) / 3.0
    return np.asarray(corners[:, 0] + total / area[:, None])


def _outward(nodes: FloatArray, pairs: Indices, origin: FloatArray) -> FloatArray:
    """Unit normal and length of faces, pointing away from ``origin``, shape (f, 3)."""
    along = nodes[pairs[:, 1]] - nodes[pairs[:, 0]]
    length = np.hypot(along[:, 0], along[:, 1])
    normal = np.column_stack((along[:, 1], -along[:, 0])) / length[:, None]
    middle = nodes[pairs].mean(axis=1)
    normal *= np.where(np.sum(normal * (middle - origin), axis=1) < 0.0, -1.0, 1.0)[:, None]
    return np.column_stack((normal, length))


def _half_widths(strips: Strips, nodes: FloatArray, center: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Distance from each cell's center to the face before and the face behind it, shape (lines, n)."""
    middle = nodes[strips.nodes].mean(axis=2)
    c = center[strips.cells]
    before, behind = c - middle[:, :-1], middle[:, 1:] - c
    return np.hypot(before[..., 0], before[..., 1]), np.hypot(behind[..., 0], behind[..., 1])


def _inner_faces(
    strips: Strips, nodes: FloatArray, center: FloatArray
) -> tuple[npt.NDArray[np.generic], ...]:
    before, behind = _half_widths(strips, nodes, center)
    lines, n = strips.cells.shape
    cells = np.full((lines, n - 1, 4), -1, dtype=np.int32)
    cells[:, :, 1], cells[:, :, 2] = strips.cells[:, :-1], strips.cells[:, 1:]
    cells[:, 1:, 0] = strips.cells[:, :-2]
    cells[:, :-1, 3] = strips.cells[:, 2:]
    here, there = behind[:, :-1], before[:, 1:]  # from the face to cell 1 and to cell 2
    pairs = np.ascontiguousarray(strips.nodes[:, 1:-1]).reshape(-1, 2)
    normal = _outward(nodes, pairs, center[cells[:, :, 1].ravel()])
    share = there / (here + there)
    weights = np.zeros((lines, n - 1, 3, 2, 3))
    weights[:, :, :, 0, 1] = weights[:, :, :, 1, 0] = share[:, :, None]
    weights[:, :, :, 0, 2] = weights[:, :, :, 1, 1] = (1.0 - share)[:, :, None]
    # centers and widths of cells before, 1 and 2 seen from the face, then of behind, 2 and 1 the other way
    width = before + behind
    far_before = here[:, 1:] + before[:, 1:-1] + behind[:, :-2]
    far_behind = there[:, :-1] + behind[:, 1:-1] + before[:, 2:]
    one, two = _mean(-here, width[:, :-1]), _mean(there, width[:, 1:])
    one_back, two_back = _mean(here, width[:, :-1]), _mean(-there, width[:, 1:])
    first = _parabola(_mean(-far_before, width[:, :-2]), one[:, 1:], two[:, 1:])
    weights[:, 1:, :, 0] = first[:, :, None]
    last = _parabola(_mean(-far_behind, width[:, 2:]), two_back[:, :-1], one_back[:, :-1])
    weights[:, :-1, :, 1] = last[:, :, None, ::-1]
    # next to a skin the velocities' parabola ends on it, where they are zero
    if strips.start == WALL:
        wall = -(here + before[:, :-1])[:, 0]
        weights[:, 0, 1:, 0, 1:] = _parabola(_mean(wall, 0.0 * wall), one[:, 0], two[:, 0])[:, None, 1:]
    if strips.end == WALL:
        wall = -(there + behind[:, 1:])[:, -1]
        ending = _parabola(_mean(wall, 0.0 * wall), two_back[:, -1], one_back[:, -1])
        weights[:, -1, 1:, 1, :2] = ending[:, None, :0:-1]
    # turbulence is carried first-order upwind
    weights[:, :, 2] = 0.0
    weights[:, :, 2, 0, 1] = weights[:, :, 2, 1, 1] = 1.0
    return cells.reshape(-1, 4), normal, weights.reshape(-1, 3, 2, 3), share.ravel(), pairs


def _mean(center: FloatArray, width: FloatArray) -> FloatArray:
    """Means of 1, s and s squared over a cell from its center and width; a point has no width.

    Means, not values at centers: on a stretched grid that is what the balance of a cell holds. The center is
    the cell's centroid, which lies off its middle where grid lines spread.
    """
    return np.stack((np.ones_like(center), center, center * center + width * width / 12.0), axis=-1)


def _parabola(first: FloatArray, second: FloatArray, last: FloatArray) -> FloatArray:
    """Weights of three means that give a parabola's value at 0, shape (..., 3)."""
    matrix = np.stack((first, second, last), axis=-2)
    size = np.max(np.abs(matrix[..., 1]), axis=-1)[..., None, None]  # lengths scaled to order 1
    matrix = matrix / np.concatenate((np.ones_like(size), size, size * size), axis=-1)
    wanted = np.zeros((*matrix.shape[:-1], 1))
    wanted[..., 0, 0] = 1.0
    return np.asarray(np.linalg.solve(np.swapaxes(matrix, -1, -2), wanted)[..., 0])


def _edge_faces(
    strips: Strips, nodes: FloatArray, center: FloatArray, second_order: bool
) -> tuple[npt.NDArray[np.generic], ...]:
    before, behind = _half_widths(strips, nodes, center)
    parts = []
    for kind, first, second, pairs, near, rest in (
        (strips.start, 0, 1, strips.nodes[:, 0], before[:, 0], behind[:, 0] + before[:, 1]),
        (strips.end, -1, -2, strips.nodes[:, -1], behind[:, -1], before[:, -1] + behind[:, -2]),
    ):
        count = len(pairs)
        first_cells, second_cells = strips.cells[:, first], strips.cells[:, second]
        normal = _outward(nodes, pairs, center[first_cells])
        if kind == WALL:  # nothing changes along a skin at rest: only the distance square to it counts
            middle = nodes[pairs].mean(axis=1)
            near = np.sum((middle - center[first_cells]) * normal[:, :2], axis=1)
            rest = np.sum((center[first_cells] - center[second_cells]) * normal[:, :2], axis=1)
        far = near + rest
        value = np.column_stack((far / rest, -near / rest))
        if kind == FAR and not second_order:
            value[:] = 1.0, 0.0
        # derivative at 0 of the parabola through 0, near and far, inward; outward is its negative
        slope = -np.column_stack((-(near + far) / (near * far), far / (near * rest), -near / (far * rest)))
        cells = np.column_stack((first_cells, second_cells))
        # nodes in the order of the tangent (-ny, nx)
        along = nodes[pairs[:, 1]] - nodes[pairs[:, 0]]
        against = along[:, 1] * normal[:, 0] - along[:, 0] * normal[:, 1] < 0.0
        pairs = np.where(against[:, None], pairs[:, ::-1], pairs)
        parts.append((cells, normal, pairs, np.full(count, kind, dtype=np.int32), value, slope))
    return tuple(np.concatenate(p) for p in zip(*parts, strict=True))


def _face_gradient(cells: Indices, pairs: Indices, nodes: FloatArray, center: FloatArray) -> FloatArray:
    """Gradient from the differences along the line of centers and along the face."""
    across = center[cells[:, 2]] - center[cells[:, 1]]
    along = nodes[pairs[:, 1]] - nodes[pairs[:, 0]]
    twice = (across[:, 0] * along[:, 1] - across[:, 1] * along[:, 0])[:, None]
    return np.hstack(
        (
            np.column_stack((along[:, 1], -along[:, 0])) / twice,
            np.column_stack((-across[:, 1], across[:, 0])) / twice,
        )
    )


def _node_weights(nodes: FloatArray, quads: Indices) -> tuple[Indices, FloatArray]:
    """Weights of the cells about each node, as in a product of two lines: 1 over the edges' lengths."""
    side = np.linalg.norm(nodes[quads] - nodes[np.roll(quads, -1, axis=1)], axis=2)
    raw = 1.0 / (side * np.roll(side, 1, axis=1))
    order = np.argsort(quads.ravel(), kind="stable")
    owner = quads.ravel()[order]
    place = np.arange(owner.size) - np.searchsorted(owner, owner)
    inside = place < 4  # only a corner of the skin has more, where the value is given
    cells = np.full((len(nodes), 4), -1, dtype=np.int32)
    weight = np.zeros((len(nodes), 4))
    cells[owner[inside], place[inside]] = (order // 4)[inside]
    weight[owner[inside], place[inside]] = raw.ravel()[order][inside]
    total = weight.sum(axis=1, keepdims=True)
    return cells, weight / np.where(total > 0.0, total, 1.0)


@kernel
def _cell_slopes(
    volume: FloatArray,
    cells: Indices,
    normal: FloatArray,
    share: FloatArray,
    edge_cells: Indices,
    edge_normal: FloatArray,
    edge_kind: Indices,
    edge_middle: FloatArray,
    center: FloatArray,
) -> tuple[Indices, FloatArray]:
    """Gradient in a cell by Gauss's theorem, as weights on itself (first) and its neighbors.

    A skin adds nothing: what is zero there needs no weight. Elsewhere on the boundary the value on the face
    is extrapolated.
    """
    n = len(volume)
    found = np.full((n, 5), -1, dtype=np.int32)
    weight = np.zeros((n, 5, 2))
    used = np.ones(n, dtype=np.int64)
    for i in range(n):
        found[i, 0] = i
    for k in range(len(cells)):
        for side in range(2):
            me, you = cells[k, 1 + side], cells[k, 2 - side]
            kept = share[k] if side == 0 else 1.0 - share[k]
            area = normal[k, 2] if side == 0 else -normal[k, 2]
            for d in range(2):
                weight[me, 0, d] += kept * area * normal[k, d] / volume[me]
                weight[me, used[me], d] = (1.0 - kept) * area * normal[k, d] / volume[me]
            found[me, used[me]] = you
            used[me] += 1
    for k in range(len(edge_cells)):
        if edge_kind[k] == WALL:
            continue
        me, second = edge_cells[k, 0], edge_cells[k, 1]
        ahead = np.hypot(edge_middle[k, 0] - center[me, 0], edge_middle[k, 1] - center[me, 1]) / np.hypot(
            center[second, 0] - center[me, 0], center[second, 1] - center[me, 1]
        )
        for place in range(1, 5):
            if found[me, place] == second:
                for d in range(2):
                    out = edge_normal[k, d] * edge_normal[k, 2] / volume[me]
                    weight[me, 0, d] += (1.0 + ahead) * out
                    weight[me, place, d] -= ahead * out
                break
    return found, weight


@kernel
def wall_distance(points: FloatArray, walls: FloatArray) -> FloatArray:
    """Smallest distance from points (n, 2) to straight pieces of wall (w, 2, 2), shape (n,)."""
    found = np.empty(len(points))
    for i in range(len(points)):
        best = np.inf
        for k in range(len(walls)):
            ax, ay = walls[k, 0]
            bx, by = walls[k, 1, 0] - ax, walls[k, 1, 1] - ay
            px, py = points[i, 0] - ax, points[i, 1] - ay
            along = min(max((px * bx + py * by) / (bx * bx + by * by), 0.0), 1.0)
            dx, dy = px - along * bx, py - along * by
            best = min(best, dx * dx + dy * dy)
        found[i] = np.sqrt(best)
    return found
