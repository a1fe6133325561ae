"""Columns of cells off a skin: where layers are read, rows push and production of turbulence is off.

What needs them asks nothing else of a grid, so that it serves one section and a wing with its flap alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from slowflight.flow.rans.grid import Grid
from slowflight.flow.rans.mesh import Indices
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True, eq=False)
class SkinColumns:
    """Columns from the lower trailing edge over the nose to the upper one, each from the skin outward.

    Parameters
    ----------
    nodes : FloatArray
        On the lines between the columns, shape (around + 1, across + 1, 2) [chords]; a line that ends earlier
        repeats its last.
    cells : Indices
        Numbers in the mesh, shape (around, across); a column that ends earlier repeats its last.
    deep : Indices
        Number of cells of each column, shape (around,).
    faces : Indices
        The skin's among the mesh's boundary faces, shape (around,).
    whole : int
        Cells of the whole grid.
    """

    nodes: FloatArray
    cells: Indices
    deep: Indices
    faces: Indices
    whole: int

    @property
    def around(self) -> int:
        """Number of columns."""
        return int(self.cells.shape[0])

    @property
    def across(self) -> int:
        """Number of cells of the longest column."""
        return int(self.cells.shape[1])

    @property
    def wall(self) -> FloatArray:
        """Nodes on the skin, shape (around + 1, 2) [chords]."""
        return np.asarray(self.nodes[:, 0])

    @cached_property
    def arc(self) -> FloatArray:
        """Of the nodes on the skin, from the lower trailing edge, shape (around + 1,) [chords]."""
        return np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(self.wall, axis=0).T))))

    @cached_property
    def tangent(self) -> FloatArray:
        """Unit vectors along the skin at its nodes, shape (around + 1, 2)."""
        along = np.gradient(self.wall, self.arc, axis=0)
        return np.asarray(along / np.hypot(*along.T)[:, None])

    @cached_property
    def line_height(self) -> FloatArray:
        """Of the nodes above the skin, shape (around + 1, across + 1) [chords].

        Square to the skin, although lines lean forward, by up to 20 degrees at the trailing edge. Far outside
        the layer, where they turn upstream, it is made to grow all the same: by half a step's length.
        """
        up = np.column_stack((-self.tangent[:, 1], self.tangent[:, 0]))
        steps = np.diff(self.nodes, axis=1)
        rise = np.maximum(np.einsum("ikd,id->ik", steps, up), 0.5 * np.linalg.norm(steps, axis=2))
        return np.concatenate((np.zeros((len(rise), 1)), np.cumsum(rise, axis=1)), axis=1)

    @cached_property
    def line_arc(self) -> FloatArray:
        """Of the places on the skin below the nodes, shape (around + 1, across + 1) [chords]."""
        away = self.nodes - self.nodes[:, :1]
        return np.asarray(self.arc[:, None] + np.einsum("ikd,id->ik", away, self.tangent))

    @cached_property
    def face_height(self) -> FloatArray:
        """Of the faces below and above each cell, shape (around, across + 1) [chords]."""
        both = 0.5 * (self.line_height[1:] + self.line_height[:-1])
        return np.asarray(np.minimum(both, np.take_along_axis(both, self.deep[:, None], axis=1)))

    @cached_property
    def real(self) -> npt.NDArray[np.bool_]:
        """Which of ``cells`` are no repetition, shape (around, across)."""
        return np.asarray(np.arange(self.across) < self.deep[:, None])

    def spread(self, values: FloatArray, *, elsewhere: float = 0.0) -> FloatArray:
        """Values of the columns' cells, shape (around, across), among those of the whole grid, shape (n,)."""
        found = np.full(self.whole, elsewhere)
        found[self.cells[self.real]] = values[self.real]
        return found


def section_columns(grid: Grid) -> SkinColumns:
    """Those of a grid about one section, out to the far boundary."""
    around, across = grid.size.around, grid.size.across
    # the mesh counts these cells, and the skin's faces, first and in the outline's order
    cells: Indices = np.arange(around * across, dtype=np.int64).reshape(around, across)
    return SkinColumns(grid.body, cells, np.full(around, across), np.arange(around), grid.cells)
