"""The grid: made for any section, never folded, finer where asked, the same law in all families."""

import numpy as np
import pytest

from slowflight.flow.rans.grid import FAMILIES, GridSize, section_grid, smallest_area_share
from slowflight.flow.rans.mesh import FAR, WALL
from slowflight.wing.flap import PlainFlap, deflect
from slowflight.wing.naca import naca_section

SMALL = GridSize(44, 16, 24, 4)


@pytest.mark.parametrize("name", ["naca0006", "naca0012", "naca4412", "naca23018", "naca4424"])
@pytest.mark.parametrize("closed", [False, True])
def test_no_cell_folds_and_none_is_badly_slanted(name: str, closed: bool) -> None:
    grid = section_grid(naca_section(name, closed_trailing_edge=closed), reynolds=2e6, family="preview")
    assert smallest_area_share(grid) > 0.35  # sine of the sharpest corner
    assert (grid.base == 0) == closed


def test_a_turned_flap_is_gridded() -> None:
    section = deflect(naca_section("naca4412"), flap=PlainFlap(chord=0.25), angle=np.radians(20.0))
    assert smallest_area_share(section_grid(section, reynolds=2e6, family="preview")) > 0.1


def test_first_cells_follow_the_reynolds_number() -> None:
    section = naca_section("naca0012")
    heights = [
        np.linalg.norm(grid.body[22, 1] - grid.body[22, 0])
        for grid in (section_grid(section, reynolds=re, family="preview") for re in (1e6, 4e6))
    ]
    assert heights[0] / heights[1] == pytest.approx(4.0, rel=0.02)  # steps grow within the first cell too


def test_mesh_closes_every_cell_and_knows_its_boundaries() -> None:
    grid = section_grid(naca_section("naca4412"), reynolds=2e6, family=SMALL)
    mesh = grid.mesh()
    assert len(mesh.volume) == grid.cells
    around = np.zeros((grid.cells, 2))
    area = mesh.normal[:, :2] * mesh.normal[:, 2:]
    np.add.at(around, mesh.cells[:, 1], area)
    np.add.at(around, mesh.cells[:, 2], -area)
    np.add.at(around, mesh.edge_cells[:, 0], mesh.edge_normal[:, :2] * mesh.edge_normal[:, 2:])
    assert np.max(np.abs(around)) < 1e-11  # face normals of a closed cell sum to zero
    assert np.sum(mesh.edge_kind == WALL) == SMALL.around + SMALL.base
    assert np.sum(mesh.edge_kind == FAR) == SMALL.around + 4 * SMALL.wake + 2 * SMALL.across + SMALL.base - (
        2 * SMALL.wake
    )


def test_halved_grid_is_every_second_node() -> None:
    grid = section_grid(naca_section("naca0012"), reynolds=2e6, family=SMALL)
    half = grid.coarsened()
    assert half.cells * 4 == grid.cells
    np.testing.assert_array_equal(half.body, grid.body[::2, ::2])


def test_families_grow_in_proportion() -> None:
    preview, default, fine = (FAMILIES[name] for name in ("preview", "default", "fine"))
    for small, middle, large in zip(*(vars(f).values() for f in (preview, default, fine)), strict=True):
        assert middle == 2 * small
        assert large == 3 * small
