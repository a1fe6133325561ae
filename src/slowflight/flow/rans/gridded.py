"""A grid made ready for sweeps, whatever bodies it is about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from slowflight.flow.rans.grid import Grid
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.skin_columns import SkinColumns, section_columns
from slowflight.flow.rans.sweep import cold_start, levels, marching


@dataclass(frozen=True, eq=False)
class Gridded:
    """What a sweep asks of a grid.

    Parameters
    ----------
    turbulent : Marching
        The fully turbulent problem with nothing given.
    columns : SkinColumns
        Off the skin that carries rows.
    cold : callable
        Solves that problem at an angle [rad] from nothing.
    """

    turbulent: Marching
    columns: SkinColumns
    cold: Callable[[float], Flow]


def gridded_section(grid: Grid, *, reynolds: float) -> Gridded:
    """A grid about one section, made ready for a Reynolds number."""
    here = marching(grid, reynolds=reynolds)
    return Gridded(
        here,
        section_columns(grid),
        lambda alpha: cold_start(levels(grid), here, alpha=alpha, reynolds=reynolds),
    )
