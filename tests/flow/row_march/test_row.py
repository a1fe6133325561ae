"""Rows of vanes marched along a plate: limits, symmetry, budget, grids, and what is refused or flagged."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slowflight.errors import RangeError
from slowflight.flow.integral import vanes
from slowflight.flow.row_march.designed import designed_case
from slowflight.flow.row_march.row_march import RowMarch, march_row
from slowflight.flow.row_march.run import MarchSettings, RowLayer
from slowflight.flow.row_march.sizes import VaneSizes, vane_sizes
from slowflight.flow.row_march.start import vane_circulation
from slowflight.flow.solution import FloatArray
from slowflight.wing.vane_row import VaneRow

SHAPE = 1.36
THETA = 1.0 / (3.15 + 1.72 / (SHAPE - 1.0) + SHAPE)
LAYER = RowLayer(thickness=1.0, momentum_thickness=THETA, shape_factor=SHAPE)
PAIRS = VaneSizes(height=1.0, length=2.5, pitch=6.0, trailing_gap=2.5, incidence=np.radians(16.5))
SINGLE = replace(PAIRS, arrangement="co-rotating", trailing_gap=0.0)


def on_plate(
    row: VaneSizes, *, heights: float = 60.0, slowing: float = 0.0, re_theta: float = 2500.0,
    settings: MarchSettings | None = None, curvature: float = 0.0,
) -> RowMarch:  # fmt: skip
    """The vanes on a layer of thickness 1, edge speed falling in proportion to distance."""
    arc = np.linspace(0.0, heights * (row.height or 1.0), 61)
    return march_row(
        row=row, layer=LAYER, arc=arc, edge_speed=1.0 - slowing * arc, reynolds=re_theta / THETA,
        curvature=np.full_like(arc, curvature), settings=settings or MarchSettings(),
    )  # fmt: skip


@pytest.fixture(scope="module")
def pairs() -> RowMarch:
    return on_plate(PAIRS)


def test_a_row_of_no_height_is_the_clean_layer() -> None:
    found = on_plate(replace(PAIRS, height=0.0))
    assert found.status == "ran"
    assert found.start_circulation == 0.0
    assert found.shape_factor_fall == pytest.approx(np.zeros(61), abs=2e-3)
    assert found.friction == pytest.approx(found.clean_friction, rel=3e-3)
    assert found.friction_low == pytest.approx(found.friction_high, rel=1e-9)
    assert np.abs(found.shear).max() < 1e-12
    assert found.warnings == ()


def test_the_plate_with_pairs_is_fuller_and_closes_its_budget(pairs: RowMarch) -> None:
    assert pairs.status == "ran"
    assert pairs.valid_to == pytest.approx(60.0)
    assert (pairs.shape_factor_fall[10:] > 0.1).all()
    assert np.abs(pairs.budget_residual).max() < 0.015
    assert (pairs.friction_low < pairs.friction).all()
    assert (pairs.friction < pairs.friction_high).all()
    # circulation goes slowly, peak vorticity fast; the pair spreads, meets its neighbor and lifts off
    assert 0.6 < pairs.circulation[-1] / pairs.circulation[0] < 1.1
    assert pairs.peak_vorticity[-1] < 0.15 * pairs.peak_vorticity[0]
    assert pairs.core_span[30] > 1.4 * pairs.core_span[0]
    assert pairs.core_height[-1] > 1.8
    assert pairs.sources


def test_without_wake_the_budget_closes_closely() -> None:
    found = on_plate(PAIRS, settings=MarchSettings(wake=False))
    assert np.abs(found.budget_residual).max() < 0.006


def test_what_the_swirl_loses_thickens_the_layer() -> None:
    fed = on_plate(PAIRS, settings=MarchSettings(feed=True))
    not_fed = on_plate(PAIRS, settings=MarchSettings(feed=False))
    gained = fed.momentum_loss[-1] - not_fed.momentum_loss[-1]
    assert 0.5 * fed.wake.in_swirl < gained < 1.5 * fed.wake.in_swirl


def test_the_wake_puts_the_drag_into_the_layer() -> None:
    found, without = on_plate(PAIRS), on_plate(PAIRS, settings=MarchSettings(wake=False))
    assert found.wake.placed == pytest.approx(1.0)
    added = found.momentum_loss[0] - without.momentum_loss[0]
    assert added == pytest.approx(found.wake.momentum_thickness - found.wake.in_swirl, rel=0.02)


@pytest.mark.parametrize(("across", "fineness", "tolerance"), [(16, 0.7, 0.012), (36, 1.4, 0.008)])
def test_three_grids_agree(pairs: RowMarch, across: int, fineness: float, tolerance: float) -> None:
    other = on_plate(PAIRS, settings=MarchSettings(across=across, fineness=fineness))
    at = [10, 30, 60]
    assert other.shape_factor_fall[at] == pytest.approx(pairs.shape_factor_fall[at], abs=tolerance)
    carried, standard = (np.array([np.trapezoid(q, r.height) for q in r.shear]) for r in (other, pairs))
    assert carried[at] == pytest.approx(standard[at], rel=0.1)
    assert other.circulation[at] == pytest.approx(pairs.circulation[at], rel=0.07)
    assert other.core_height[at] == pytest.approx(pairs.core_height[at], rel=0.04)


def test_a_whole_period_of_pairs_is_its_half_mirrored(pairs: RowMarch) -> None:
    whole = on_plate(PAIRS, settings=MarchSettings(whole_period=True))
    assert whole.shape_factor == pytest.approx(pairs.shape_factor, abs=2e-3)
    assert whole.core_height[:40] == pytest.approx(pairs.core_height[:40], rel=0.02)
    assert whole.core_span[:40] == pytest.approx(pairs.core_span[:40], rel=0.02)
    assert whole.friction_low == pytest.approx(pairs.friction_low, rel=0.02)


def test_pairs_that_open_upstream_are_the_others_half_a_pitch_aside(pairs: RowMarch) -> None:
    # a pair turning the other way with the gap on its other side is the same row seen from its neighbor
    aside = on_plate(replace(PAIRS, opening="upstream", trailing_gap=PAIRS.pitch - PAIRS.trailing_gap))
    assert aside.shape_factor == pytest.approx(pairs.shape_factor, abs=2e-3)
    assert aside.circulation == pytest.approx(pairs.circulation, rel=0.01)
    assert PAIRS.pitch / 2 - aside.core_span[:40] == pytest.approx(pairs.core_span[:40], abs=0.05)


def test_co_rotating_vanes_drift_aside_and_help_less(pairs: RowMarch) -> None:
    found = on_plate(SINGLE)
    assert found.status == "ran"
    # inviscid drift over a wall (row and image): Gamma / (2 D) coth(2 pi y / D) per length
    drift = found.start_circulation / (2.0 * 6.0) / np.tanh(2.0 * np.pi / 6.0)
    moved = found.core_span[5] - found.core_span[0]
    assert 0.5 * drift < moved / found.arc[5] < 1.5 * drift
    assert 0.0 < found.shape_factor_fall[20] < pairs.shape_factor_fall[20]


def test_a_weak_row_does_little_and_in_proportion_to_its_square() -> None:
    weak, weaker = (
        on_plate(replace(PAIRS, incidence=np.radians(b)), heights=10.0, settings=MarchSettings(wake=False))
        for b in (2.0, 1.0)
    )
    assert 2.8 < weak.shape_factor_fall[-1] / weaker.shape_factor_fall[-1] < 4.4


def test_circulation_is_that_of_the_integral_method() -> None:
    mine = vane_circulation(sizes=PAIRS, thickness=1.3)
    assert mine == pytest.approx(
        vanes.circulation(PAIRS.incidence, 1.0, PAIRS.length, PAIRS.height, 1.3, 1.0), rel=1e-12
    )


def test_answers_scale_with_chord_and_speed(pairs: RowMarch) -> None:
    arc = 0.01 * pairs.arc
    other = march_row(
        row=PAIRS.over(100.0),
        layer=RowLayer(thickness=0.01, momentum_thickness=0.01 * THETA, shape_factor=SHAPE),
        arc=arc, edge_speed=np.full_like(arc, 2.0), reynolds=2500.0 / (0.01 * THETA * 2.0),
    )  # fmt: skip
    assert other.shape_factor == pytest.approx(pairs.shape_factor, abs=1e-6)
    assert other.circulation == pytest.approx(pairs.circulation * 0.02, rel=1e-5)
    assert other.shear == pytest.approx(pairs.shear * 4.0, rel=1e-4, abs=1e-9)


def test_the_march_stops_at_local_reversal_and_holds() -> None:
    found = on_plate(replace(PAIRS, height=0.5, length=1.25, pitch=3.0, trailing_gap=1.25), slowing=0.02)
    assert found.status == "stopped at local reversal"
    assert found.valid_to < found.arc[-1]
    assert any("held beyond" in w for w in found.warnings)
    beyond = found.arc > found.valid_to + 1.0
    assert beyond.any()
    assert np.isnan(found.shape_factor[beyond]).all()
    last = int(np.flatnonzero(np.isfinite(found.shape_factor))[-1])
    assert (found.shear[beyond] == found.shear[last]).all()
    assert np.isfinite(found.shear).all()


def test_vortices_carry_the_flow_past_where_it_would_let_go() -> None:
    found = on_plate(PAIRS, slowing=0.005, heights=90.0)
    assert found.clean_valid_to < 80.0
    assert found.valid_to > found.clean_valid_to


def test_curvature_of_a_wing_changes_little() -> None:
    # a skin that bends by a radius of 50 layer thicknesses, as aft of the nose of a thick section
    flat, bulged = on_plate(PAIRS, heights=30.0), on_plate(PAIRS, heights=30.0, curvature=0.02)
    assert bulged.shape_factor_fall[-1] == pytest.approx(flat.shape_factor_fall[-1], abs=0.05)
    assert bulged.shape_factor_fall[-1] != flat.shape_factor_fall[-1]


@pytest.mark.parametrize(
    ("row", "layer", "word"),
    [
        (replace(PAIRS, height=9.0, pitch=54.0), LAYER, "layer thicknesses high"),
        (replace(PAIRS, pitch=1.2, trailing_gap=0.5), LAYER, "pitch"),
        (replace(PAIRS, trailing_gap=7.0), LAYER, "trailing tips"),
        (replace(PAIRS, trailing_gap=0.1), LAYER, "trailing tips"),
        (replace(PAIRS, incidence=1.2), LAYER, "incidence"),
        (PAIRS, replace(LAYER, shape_factor=3.5), "shape_factor"),
        (PAIRS, replace(LAYER, thickness=0.0), "thickness"),
        (PAIRS, replace(LAYER, momentum_thickness=np.nan), "thickness"),
    ],
)
def test_what_cannot_be_computed_is_refused_with_its_reason(
    row: VaneSizes, layer: RowLayer, word: str
) -> None:
    arc = np.linspace(0.0, 10.0, 5)
    found = march_row(row=row, layer=layer, arc=arc, edge_speed=np.ones(5), reynolds=2500.0 / THETA)
    assert found.status == "refused"
    assert word in found.warnings[0]
    assert np.isnan(found.shape_factor).all()


@pytest.mark.parametrize(
    ("arc", "speed"),
    [
        (np.array([0.0, 1.0, 0.5]), np.ones(3)),
        (np.array([0.0, 1.0]), np.ones(3)),
        (np.array([0.0, np.nan]), np.ones(2)),
        (np.array([0.0, 1.0]), np.array([1.0, -1.0])),
    ],
)
def test_arrays_that_do_not_fit_are_errors(arc: FloatArray, speed: FloatArray) -> None:
    with pytest.raises(RangeError):
        march_row(row=PAIRS, layer=LAYER, arc=arc, edge_speed=speed, reynolds=1e5)


def test_vanes_outside_the_fit_of_circulation_are_remarked() -> None:
    found = on_plate(replace(PAIRS, incidence=np.radians(28.0), length=1.0), heights=5.0)
    assert any("28 deg" in w for w in found.warnings)
    found = on_plate(replace(PAIRS, length=6.0, trailing_gap=3.0), heights=5.0)
    assert any("aspect ratio" in w for w in found.warnings)


def test_an_owners_row_becomes_sizes_in_chords() -> None:
    row = VaneRow(station=0.1, height=6e-3, length=18e-3, pitch=60e-3, gap=15e-3, incidence=np.radians(15.0))
    sizes = vane_sizes(row, chord_m=1.5)
    assert sizes.height == pytest.approx(0.004)
    assert sizes.trailing_gap == pytest.approx((15e-3 + 36e-3 * np.sin(np.radians(15.0))) / 1.5)


@pytest.mark.parametrize("number", range(20))
def test_designed_cases_run_stop_or_are_flagged(number: int) -> None:
    case = designed_case(number)
    found = march_row(
        row=case.row, layer=case.layer, arc=case.arc, edge_speed=case.edge_speed, reynolds=case.reynolds
    )
    assert found.status in ("ran", "stopped at local reversal", "refused")
    if found.status == "refused":
        assert found.warnings
        return
    good = found.arc <= found.valid_to + 1e-9
    suspicious = (
        (found.shape_factor[good] > 2.8).any()
        or (found.shape_factor[good] < 1.05).any()
        or (np.abs(found.budget_residual[good]) > 0.03).any()
        or (found.circulation[good] > 1.6 * found.start_circulation).any()
        or (found.friction_low[good] < 0.0).any()
    )
    assert not suspicious or found.warnings
    if found.status != "ran":
        assert any("held beyond" in w for w in found.warnings)
