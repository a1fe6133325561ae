"""Where layers turn turbulent: stations from the speed along the skin, and production off ahead of them."""

from dataclasses import replace

import numpy as np
import pytest

from slowflight.flow.integral.section_flow import section_model
from slowflight.flow.rans.conditions import conditions
from slowflight.flow.rans.given_flow import whole_force
from slowflight.flow.rans.given_sweep import given_sweep
from slowflight.flow.rans.grid import FAMILIES, GridSize, section_grid
from slowflight.flow.rans.gridded import gridded_section
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.flow.rans.skin_columns import section_columns
from slowflight.flow.rans.skin_layers import SkinLayers
from slowflight.flow.rans.sweep import marching
from slowflight.flow.rans.transition import free_stations, turbulent_from
from slowflight.flow.solution import FloatArray
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

SIZE = GridSize(32, 8, 48, 4)
SECTION = naca_section("naca0012", closed_trailing_edge=True)


def along(speed: FloatArray, distance: FloatArray) -> SkinLayers:
    """Equal sides on either side of a stagnation point, speed at distances from it."""
    arc = np.concatenate((-distance[::-1], [0.0], distance)) + distance[-1]
    x = np.abs(arc - distance[-1])
    both = np.concatenate((speed[::-1], [1e-3], speed))
    theta = np.full(arc.size, 1e-3)
    return SkinLayers(x, arc, float(arc[-1]), distance.size, both, theta, theta + 2.2)


def test_a_plate_turns_turbulent_where_it_was_measured() -> None:
    """Schubauer and Skramstad, NACA report 909: in quiet air from a Reynolds number of 2.8 million on.

    The envelope of growths and Thwaites' shape factor for a plate (2.61, exact 2.59) come out early.
    """
    distance = np.geomspace(1e-5, 1.0, 300)
    upper, lower = free_stations(along(np.ones(300), distance), reynolds=1e7, critical=9.0)
    assert upper == pytest.approx(0.28, rel=0.2)
    assert lower == pytest.approx(upper, rel=1e-6)


def test_a_layer_that_lets_go_ends_its_laminar_run() -> None:
    """Speed falling evenly from a plate's edge: Thwaites has separation at 0.123 of the way to rest."""
    distance = np.geomspace(1e-5, 0.5, 600)
    upper, _ = free_stations(along(1.0 - distance, distance), reynolds=1e5, critical=15.0)
    assert upper == pytest.approx(0.123, rel=0.05)


def test_production_is_off_ahead_of_a_station_only_there() -> None:
    grid = section_grid(SECTION, reynolds=1e6, family=GridSize(64, 8, 48, 4))
    mesh = grid.mesh()
    steps = np.hypot(*np.diff(grid.body[:, 0], axis=0).T)
    arc = np.cumsum(steps) - 0.5 * steps
    x = 0.5 * (grid.body[1:, 0, 0] + grid.body[:-1, 0, 0])
    flat = np.ones(64)
    layers = SkinLayers(x, arc, float(steps.sum()), 32, flat, 1e-3 * flat, 2.2 * flat)
    off, where = [], np.arange(grid.cells) // 48
    for station in (0.2, 0.21, 0.22, 0.4):
        share, made = turbulent_from(section_columns(grid), layers, (station, 0.0), reynolds=1e6)
        column = share[: 64 * 48].reshape(64, 48)
        assert np.all(column == column[:, :1])
        assert np.all(share[where < 32] == 1.0)
        assert np.all(column[(x < station - 0.05) & (np.arange(64) >= 33)] == 0.0)
        assert np.all(share[64 * 48 :] == 1.0)
        seeded = np.flatnonzero(made[: 64 * 48].reshape(64, 48).sum(axis=1))
        assert np.all(np.abs(x[seeded] - station) < 0.09)
        assert np.all(mesh.distance[made > 0.0] < 0.01)
        off.append(float(np.sum(1.0 - column[:, 0])))
    assert off[0] < off[1] < off[2] < off[3]  # moves evenly, also within a column


def test_a_laminar_run_lowers_drag_and_keeps_turbulence_out() -> None:
    grid = section_grid(SECTION, reynolds=2e6, family=SIZE)
    model = section_model(SECTION, reynolds=2e6)
    drags, turbulence = [], []
    for transition in (None, (0.4, 0.4)):
        (found,) = given_sweep(
            gridded_section(grid, reynolds=2e6), angles=[0.0], model=model, transition=transition,
            on_solved=lambda here, done: drags.append(whole_force(here, done)[1]),
        ).values()  # fmt: skip
        assert found.flow.converged
        near = found.flow.q[: 32 * 48, 3].reshape(32, 48)
        laminar = np.flatnonzero((grid.body[1:, 0, 0] < 0.2) & (grid.body[1:, 0, 0] > 0.02))
        turbulence.append(float(near[laminar, :20].max()))
    assert drags[1] < 0.8 * drags[0]
    assert turbulence[1] < 1.0 < turbulence[0]


def test_stations_of_the_clean_section_are_kept_but_for_the_row() -> None:
    grid = section_grid(SECTION, reynolds=2e6, family=SIZE)
    model = section_model(SECTION, reynolds=2e6)
    here = marching(grid, reynolds=2e6)
    how = conditions(
        section_columns(grid), here, model, transition=(None, None), known={0.0: (0.5, 0.6), 0.1: (0.2, 0.7)}
    )
    assert how.known_at(0.02) == (0.5, 0.6)
    assert how.known_at(0.2) == (0.2, 0.7)
    row = VaneRow(station=0.3, height=0.006, length=0.015, pitch=0.06, incidence=0.28, gap=0.012)
    assert replace(how, rows=(row,)).tripped_ahead((0.5, 0.6)) == (0.3, 0.6)


def test_a_free_curve_says_where_layers_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(FAMILIES, "preview", SIZE)
    curve = rans_lift_curve(SECTION, reynolds=1e6, angles_deg=(4.0,), transition=(None, 0.1), grid="preview")
    (point,) = curve.points
    assert point.converged
    upper, lower = point.elements[0].upper.transition, point.elements[0].lower.transition
    assert upper is not None
    assert lower is not None
    assert 0.1 < upper < 0.9
    assert lower == pytest.approx(0.1)
    assert "Thwaites1949" in curve.sources
    assert any("bubbles are not computed" in w for w in curve.warnings)
