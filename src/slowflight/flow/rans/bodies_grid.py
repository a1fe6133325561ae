"""A grid about a wing section and the flap behind it, made without being asked anything.

As about one section (see `slowflight.flow.rans.grid`) the plane is unrolled by a square root about a point
inside the wing's nose: section and wake become one waved line, and straight lines up from it a C about it.
The flap with a ring of its own lies between two of the C's lines; those that end on the front of the ring
run from there round the wing's nose. Four blocks come of it, all of quadrilaterals:

    near    from the wing's skin and wake out to the ring and, ahead of it, to the lines beside it
    strip   ahead of the ring's front, round the wing's nose, along its upper side to the far wake
    outer   from there, and from the ring's lower side, to the far boundary
    ring    about the flap and its wake

Five cells meet at each of the two corners of the ring's front, four everywhere else. Own construction.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.grid import _quads
from slowflight.flow.rans.mesh import Indices, quad_area
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True)
class BodiesSize:
    """Numbers of cells.

    Parameters
    ----------
    skin : int
        Round the wing ahead of the ring.
    above, below, wake : int
        Along the flap's upper and lower skin from the corners of its front on, and along its wake.
    front : int
        Across the strip.
    near, ring, outer : int
        From the wing to the ring, from the flap's skin through its ring, and from there outward.
    """

    skin: int
    above: int
    below: int
    wake: int
    front: int
    near: int
    ring: int
    outer: int


BODIES_FAMILIES = {
    "preview": BodiesSize(56, 24, 16, 16, 8, 28, 20, 28),
    "medium": BodiesSize(84, 36, 24, 24, 12, 42, 30, 42),
    "default": BodiesSize(112, 48, 32, 32, 16, 56, 40, 56),
    "fine": BodiesSize(168, 72, 48, 48, 24, 84, 60, 84),
}


@dataclass(frozen=True, eq=False)
class BodiesGrid:
    """Nodes of the four blocks [chords of the wing].

    Parameters
    ----------
    near : FloatArray
        From the far wake below the wing round its nose to the far wake above, and outward;
        shape (columns + 1, near + 1, 2).
    strip : FloatArray
        From the ring's front on, shape (columns ahead of the ring + 1, front + 1, 2).
    outer : FloatArray
        From below the flap's far wake on, shape (columns + 1, outer + 1, 2).
    ring : FloatArray
        From the flap's far wake below round its nose to the far wake above, shape (columns + 1, ring + 1, 2).
    wing_wake, flap_wake : int
        Columns behind each trailing edge, on each side.
    """

    near: FloatArray
    strip: FloatArray
    outer: FloatArray
    ring: FloatArray
    wing_wake: int
    flap_wake: int

    @property
    def blocks(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """All four."""
        return self.near, self.strip, self.outer, self.ring

    @property
    def cells(self) -> int:
        """Number of cells."""
        return sum((b.shape[0] - 1) * (b.shape[1] - 1) for b in self.blocks)

    @property
    def over_ring(self) -> int:
        """Columns of the near block that end on the ring."""
        return len(self.near) - len(self.strip)

    @property
    def under_ring(self) -> int:
        """Columns of the outer block that begin on the ring."""
        return len(self.outer) - len(self.strip)

    def coarsened(self) -> BodiesGrid:
        """Every second node.

        Raises
        ------
        ValueError
            Where a number of cells is odd.
        """
        counts = [n - 1 for b in self.blocks for n in b.shape[:2]]
        if any(n % 2 for n in (*counts, self.wing_wake, self.flap_wake, self.over_ring, self.under_ring)):
            raise ValueError("only a grid with even numbers of cells can be halved")
        near, strip, outer, ring = (b[::2, ::2] for b in self.blocks)
        return BodiesGrid(near, strip, outer, ring, self.wing_wake // 2, self.flap_wake // 2)


def block_quads(nodes: FloatArray) -> FloatArray:
    """Corners of a block's cells, counterclockwise, shape (n, 4, 2)."""
    ids: Indices = np.arange(nodes.shape[0] * nodes.shape[1]).reshape(nodes.shape[:2])
    return np.asarray(nodes.reshape(-1, 2)[_quads(ids)])


@dataclass(frozen=True)
class Quality:
    """How good a grid is.

    Parameters
    ----------
    least_sine : float
        Least ratio of a cell's area to the product of its mean sides, near the sine of its sharpest angle;
        negative where a cell is folded.
    x, y : float
        Where that is [chords].
    most_growth : float
        Largest ratio of heights of neighboring cells outward in a block.
    """

    least_sine: float
    x: float
    y: float
    most_growth: float


def quality(grid: BodiesGrid) -> Quality:
    """Measure all cells."""
    worst, place, growth = np.inf, np.zeros(2), 1.0
    for nodes in grid.blocks:
        corners = block_quads(nodes)
        side = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
        product = 0.25 * (side[:, 0] + side[:, 2]) * (side[:, 1] + side[:, 3])
        sine = quad_area(corners) / np.maximum(product, 1e-300)
        k = int(np.argmin(np.where(np.isfinite(sine), sine, -1.0)))
        if not sine[k] >= worst:
            worst, place = float(sine[k]), corners[k].mean(axis=0)
        step = np.linalg.norm(np.diff(nodes, axis=1), axis=2)
        ratio = step[:, 1:] / np.maximum(step[:, :-1], 1e-300)
        growth = max(growth, float(np.max(np.maximum(ratio, 1.0 / np.maximum(ratio, 1e-300)))))
    return Quality(worst, float(place[0]), float(place[1]), growth)
