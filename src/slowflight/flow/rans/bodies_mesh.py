"""Cells, faces and grid lines of the four blocks about a wing section and its flap."""

from __future__ import annotations

import itertools
from collections import defaultdict

import numpy as np

from slowflight.flow.rans.bodies_grid import BodiesGrid
from slowflight.flow.rans.grid import _quads
from slowflight.flow.rans.mesh import FAR, WALL, Indices, Mesh, Strips, build_mesh
from slowflight.flow.solution import FloatArray

_Line = tuple[list[int], list[tuple[int, int]]]


class Numbered:
    """Numbers of the nodes and cells of a grid; nodes that blocks share have one number.

    Parameters
    ----------
    grid : BodiesGrid
    """

    def __init__(self, grid: BodiesGrid) -> None:
        self.grid = grid
        over, under = grid.over_ring, grid.under_ring
        counts = [b.shape[0] * b.shape[1] for b in grid.blocks]
        starts = np.concatenate(([0], np.cumsum(counts)))
        near, strip, outer, ring = (
            starts[k] + np.arange(counts[k]).reshape(b.shape[:2]) for k, b in enumerate(grid.blocks)
        )
        # what is shared takes its number from the block named first
        flap, wing = grid.flap_wake, grid.wing_wake
        ring[-1 : -flap - 2 : -1, 0] = ring[: flap + 1, 0]
        near[-1 : -wing - 2 : -1, 0] = near[: wing + 1, 0]
        near[: over + 1, -1] = ring[: -over - 2 : -1, -1]
        strip[:, 0] = near[over:, -1]
        strip[0] = ring[under : len(ring) - over, -1][::-1]
        outer[: under + 1, 0] = ring[: under + 1, -1]
        outer[under:, 0] = strip[:, -1]
        ids = (near, strip, outer, ring)
        used, packed = np.unique(np.concatenate([i.ravel() for i in ids]), return_inverse=True)
        self.points: FloatArray = np.concatenate([b.reshape(-1, 2) for b in grid.blocks])[used]
        parts = np.split(packed, starts[1:-1])
        self.near, self.strip, self.outer, self.ring = (
            p.reshape(b.shape[:2]) for p, b in zip(parts, grid.blocks, strict=True)
        )
        sizes = [(b.shape[0] - 1, b.shape[1] - 1) for b in grid.blocks]
        first = np.concatenate(([0], np.cumsum([a * b for a, b in sizes])))
        self.near_cells, self.strip_cells, self.outer_cells, self.ring_cells = (
            first[k] + np.arange(a * b).reshape(a, b) for k, (a, b) in enumerate(sizes)
        )
        self.quads: Indices = np.concatenate(
            [_quads(n) for n in (self.near, self.strip, self.outer, self.ring)]
        ).astype(np.int32)

    @property
    def wing_skin(self) -> Indices:
        """Nodes round the wing, lower trailing edge first."""
        wake = self.grid.wing_wake
        return np.asarray(self.near[wake : len(self.near) - wake, 0])

    @property
    def flap_skin(self) -> Indices:
        """Nodes round the flap, lower trailing edge first."""
        wake = self.grid.flap_wake
        return np.asarray(self.ring[wake : len(self.ring) - wake, 0])


def _column(nodes: Indices, cells: Indices, k: int) -> _Line:
    """Outward line of a block with the faces before, between and behind its cells."""
    return list(cells[k]), list(zip(nodes[k], nodes[k + 1], strict=True))


def _row(nodes: Indices, cells: Indices, k: int) -> _Line:
    return list(cells[:, k]), list(zip(nodes[:, k], nodes[:, k + 1], strict=True))


def _joined(*parts: _Line) -> _Line:
    cells, faces = list(parts[0][0]), list(parts[0][1])
    for more, pairs in parts[1:]:
        assert set(pairs[0]) == set(faces[-1])
        cells += more
        faces += pairs[1:]
    return cells, faces


def _back(line: _Line) -> _Line:
    return line[0][::-1], line[1][::-1]


def _lines(n: Numbered) -> list[tuple[_Line, bool, bool]]:
    """Every grid line, and whether it begins and ends on a skin."""
    grid = n.grid
    over, under, flap, wing = grid.over_ring, grid.under_ring, grid.flap_wake, grid.wing_wake
    columns, around = len(n.near_cells), len(n.ring_cells)
    found: list[tuple[_Line, bool, bool]] = []
    for nodes, cells in ((n.near, n.near_cells), (n.outer, n.outer_cells), (n.ring, n.ring_cells)):
        found += [(_row(nodes, cells, k), False, False) for k in range(cells.shape[1])]
    for k in range(n.strip_cells.shape[1]):
        front = _column(n.ring, n.ring_cells, around - over - 1 - k)
        found.append((_joined(front, _row(n.strip, n.strip_cells, k)), True, False))

    def from_wing(i: int) -> tuple[_Line, bool]:
        """Column ``i`` of the near block to its end, and whether that is the flap's skin."""
        first = _column(n.near, n.near_cells, i)
        if i >= over:
            m = i - over
            rest = _column(n.strip, n.strip_cells, m), _column(n.outer, n.outer_cells, under + m)
            return _joined(first, *rest), False
        inward = _back(_column(n.ring, n.ring_cells, around - 1 - i))
        if i >= flap:
            return _joined(first, inward), True
        outward = _column(n.ring, n.ring_cells, i), _column(n.outer, n.outer_cells, i)
        return _joined(first, inward, *outward), False

    for i in range(columns - wing):
        line, on_flap = from_wing(i)
        if i >= wing:
            found.append((line, True, on_flap))
        else:
            found.append((_joined(_back(from_wing(columns - 1 - i)[0]), line), False, on_flap))
    for c in range(flap, under):
        below = _column(n.ring, n.ring_cells, c), _column(n.outer, n.outer_cells, c)
        found.append((_joined(*below), True, False))
    return found


def bodies_mesh(grid: BodiesGrid, *, skin: int = WALL) -> Mesh:
    """Cells and faces, in the order near, strip, outer, ring.

    Parameters
    ----------
    grid : BodiesGrid
    skin : int
        Kind of the skins' faces: ``WALL``, or ``SLIP`` for air without friction.

    Returns
    -------
    Mesh

    Raises
    ------
    InputError
        Where a cell has no positive area.
    """
    n = Numbered(grid)
    groups: dict[tuple[int, int, int], list[_Line]] = defaultdict(list)
    for line, begins, ends in _lines(n):
        groups[(len(line[0]), skin if begins else FAR, skin if ends else FAR)].append(line)
    families = [
        Strips(
            np.array([cells for cells, _ in lines], dtype=np.int32),
            np.array([faces for _, faces in lines], dtype=np.int32),
            start,
            end,
        )
        for (_, start, end), lines in groups.items()
    ]
    mesh = build_mesh(n.points, n.quads, families)
    corners = n.ring[[grid.under_ring, len(n.ring) - 1 - grid.over_ring], -1]
    for node in corners:
        _settle_corner(mesh, n.points[node], int(node), np.flatnonzero(np.any(n.quads == node, axis=1)))
    return mesh


def _settle_corner(mesh: Mesh, point: FloatArray, node: int, about: Indices) -> None:
    """Weights where five cells meet: the smallest that give any linear course its value, on four of them."""
    taken = about[np.argsort(np.hypot(*(mesh.center[about] - point).T))[:4]]
    rows = np.vstack((np.ones(4), (mesh.center[taken] - point).T))
    scale = np.max(np.abs(rows), axis=1)
    mesh.node_cells[node] = taken
    mesh.node_weight[node] = np.linalg.pinv(rows / scale[:, None]) @ (np.array([1.0, 0.0, 0.0]) / scale)


def skin_faces(mesh: Mesh, nodes: Indices) -> Indices:
    """Which boundary faces lie along a row of nodes, in its order, shape (len(nodes) - 1,)."""
    on_skin = np.flatnonzero(mesh.edge_kind != FAR)
    known = {frozenset(map(int, mesh.edge_nodes[k])): int(k) for k in on_skin}
    pairs = itertools.pairwise(nodes)
    return np.array([known[frozenset((int(a), int(b)))] for a, b in pairs])
