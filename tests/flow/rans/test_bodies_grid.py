"""The grid about a wing and its flap: made or refused with the reason, never folded, closed, and halved."""

import math

import numpy as np
import pytest

from benchmarks.minutes_bodies import case
from slowflight.errors import InputError, SectionError
from slowflight.flow.rans.bodies_carried import carried_over_bodies
from slowflight.flow.rans.bodies_grid import BodiesGrid, quality
from slowflight.flow.rans.bodies_gridding import SLIGHTEST, bodies_grid
from slowflight.flow.rans.bodies_mesh import Numbered, bodies_mesh, skin_faces
from slowflight.flow.rans.mesh import FAR, SLIP, WALL, Mesh
from slowflight.wing.elements import arranged, single
from slowflight.wing.naca import naca_section
from tests.flow.bodies.cases import hung, williams_element
from tests.flow.bodies.noyes import noyes_elements


@pytest.fixture(scope="module")
def half_down() -> tuple[BodiesGrid, Mesh]:
    grid = bodies_grid(hung(16.0), reynolds=1.5e6, family="preview")
    return grid, bodies_mesh(grid)


@pytest.mark.parametrize("angle", [0.0, 31.0])
def test_a_hung_flaperon_is_gridded(angle: float) -> None:
    assert quality(bodies_grid(hung(angle), reynolds=1.5e6, family="preview")).least_sine > 0.2


def test_an_external_airfoil_and_the_exact_pair_are_gridded() -> None:
    pair = arranged(williams_element("main"), williams_element("flap"))
    for elements in (noyes_elements(45.0), pair):
        assert quality(bodies_grid(elements, reynolds=6e5, family="preview")).least_sine > 0.15


def test_every_cell_is_closed_and_lies_on_two_lines(half_down: tuple[BodiesGrid, Mesh]) -> None:
    grid, mesh = half_down
    around = np.zeros((grid.cells, 2))
    area = mesh.normal[:, :2] * mesh.normal[:, 2:]
    np.add.at(around, mesh.cells[:, 1], area)
    np.add.at(around, mesh.cells[:, 2], -area)
    np.add.at(around, mesh.edge_cells[:, 0], mesh.edge_normal[:, :2] * mesh.edge_normal[:, 2:])
    assert np.max(np.abs(around)) < 1e-11  # normals of a closed cell sum to zero
    faces = np.bincount(
        np.concatenate((mesh.cells[:, 1], mesh.cells[:, 2], mesh.edge_cells[:, 0])), minlength=grid.cells
    )
    assert np.all(faces == 4)


def test_the_area_of_the_air_is_that_between_the_far_boundary_and_both_skins(
    half_down: tuple[BodiesGrid, Mesh],
) -> None:
    """By Gauss's theorem over the boundary faces alone, which know nothing of cells inside."""
    _, mesh = half_down
    flux = np.sum(mesh.edge_middle * mesh.edge_normal[:, :2], axis=1) * mesh.edge_normal[:, 2]
    assert np.sum(mesh.volume) == pytest.approx(0.5 * np.sum(flux), rel=1e-10)


def test_both_skins_are_walls_and_in_order(half_down: tuple[BodiesGrid, Mesh]) -> None:
    grid, mesh = half_down
    numbered = Numbered(grid)
    wing, flap = skin_faces(mesh, numbered.wing_skin), skin_faces(mesh, numbered.flap_skin)
    assert np.sum(mesh.edge_kind == WALL) == wing.size + flap.size
    assert set(mesh.edge_kind) == {WALL, FAR}
    for faces, chord in ((wing, 1.0), (flap, 0.23)):
        force = np.sum(mesh.edge_normal[faces, :2] * mesh.edge_normal[faces, 2:], axis=0)
        assert np.max(np.abs(force)) < 1e-12  # a closed outline
        assert np.sum(mesh.edge_normal[faces, 2]) == pytest.approx(2.05 * chord, rel=0.05)
    assert set(bodies_mesh(grid, skin=SLIP).edge_kind) == {SLIP, FAR}


def test_first_cells_follow_the_reynolds_number(half_down: tuple[BodiesGrid, Mesh]) -> None:
    grid, mesh = half_down
    fine = bodies_grid(hung(16.0), reynolds=6e6, family="preview")
    coarse_height, fine_height = (np.linalg.norm(g.ring[30, 1] - g.ring[30, 0]) for g in (grid, fine))
    assert coarse_height / fine_height == pytest.approx(4.0, rel=0.05)
    # y+ near 1: friction of a plate at a tenth of chord, by the power law of the textbooks
    friction = math.sqrt(0.5 * 0.0592 / (0.1 * 1.5e6) ** 0.2)
    wall = mesh.edge_cells[mesh.edge_kind == WALL, 0]
    assert 0.2 < float(np.max(mesh.distance[wall])) * friction * 1.5e6 < 2.0


def test_node_values_keep_a_linear_course(half_down: tuple[BodiesGrid, Mesh]) -> None:
    """Also where five cells meet."""
    grid, mesh = half_down
    numbered = Numbered(grid)
    corners = numbered.ring[[grid.under_ring, len(numbered.ring) - 1 - grid.over_ring], -1]
    for node in corners:
        about = np.flatnonzero(np.any(numbered.quads == node, axis=1))
        assert about.size == 5
        cells, weight = mesh.node_cells[node], mesh.node_weight[node]
        assert np.sum(weight) == pytest.approx(1.0)
        np.testing.assert_allclose(weight @ mesh.center[cells], numbered.points[node], atol=1e-12)


def test_a_halved_grid_is_every_second_node_and_carries_a_state(half_down: tuple[BodiesGrid, Mesh]) -> None:
    grid, mesh = half_down
    half = grid.coarsened()
    assert half.cells * 4 == grid.cells
    coarse = bodies_mesh(half)
    q = np.tile(np.array([0.3, 1.0, -0.2, 5.0]), (half.cells, 1))
    np.testing.assert_allclose(carried_over_bodies(q, source=half, target=grid)[:, 3], 5.0)
    q[:, 1] = np.tanh(coarse.center[:, 1])
    found = carried_over_bodies(q, source=half, target=grid)[:, 1]
    assert np.max(np.abs(found - np.tanh(mesh.center[:, 1]))) < 0.25


@pytest.mark.parametrize("number", range(0, 60, 6))
def test_random_arrangements_are_gridded_or_refused_with_a_reason(number: int) -> None:
    """Ten of the 500 of ``benchmarks/minutes_bodies.py``."""
    found = case(number)
    if found["outcome"] == "grid made":
        assert found["sine"] >= SLIGHTEST
    else:
        assert len(found["why"]) > 60


def test_what_cannot_be_gridded_is_refused() -> None:
    with pytest.raises(InputError, match="a wing and one flap"):
        bodies_grid(single(naca_section("4412")), reynolds=1e6)
    with pytest.raises(SectionError, match="flap setting 60"):
        bodies_grid(hung(60.0), reynolds=1e6, family="preview")
