"""A grid made ready for sweeps, whatever bodies it is about."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from slowflight.flow.rans.grid import Grid
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.prolong import split
from slowflight.flow.rans.skin_columns import SkinColumns, section_columns
from slowflight.flow.rans.sweep import USUAL, cold_start, levels, marching
from slowflight.flow.rans.turbulence import Model
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True, eq=False)
class Gridded:
    """What a sweep asks of a grid.

    Parameters
    ----------
    turbulent : Marching
        The fully turbulent problem with nothing given.
    skins : tuple of SkinColumns
        Columns off each skin; the first carries rows.
    blocks : callable
        Parts values of all cells, shape (n, ...), into blocks of shape (columns, rows, ...).
    cold : callable
        Solves that problem at an angle [rad] from nothing.
    """

    turbulent: Marching
    skins: tuple[SkinColumns, ...]
    blocks: Callable[[FloatArray], Sequence[FloatArray]]
    cold: Callable[[float], Flow]

    @property
    def columns(self) -> SkinColumns:
        """Those off the skin that carries rows."""
        return self.skins[0]


def gridded_section(grid: Grid, *, reynolds: float, model: Model = USUAL) -> Gridded:
    """A grid about one section, made ready for a Reynolds number and a turbulence model."""
    here = marching(grid, reynolds=reynolds, model=model)
    return Gridded(
        here,
        (section_columns(grid),),
        lambda values: split(values, grid),
        lambda alpha: cold_start(levels(grid), here, alpha=alpha, reynolds=reynolds),
    )
