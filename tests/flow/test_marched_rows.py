"""Rows marched in the coupled flow: nothing without vanes, settled where printed, on two bodies too."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slowflight.flow.integral import row_remarks, vanes
from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.integral.closure_budget import beside_closure
from slowflight.flow.integral.handed import PLACES, Handed, Marched, nothing_yet
from slowflight.flow.integral.layer import UNMIXED, left_to_mix
from slowflight.flow.integral.marched_rows import PRINTED
from slowflight.flow.integral.marched_section import with_marched_rows
from slowflight.flow.integral.results import coefficients
from slowflight.flow.integral.section_flow import section_model, solve
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.row_march.handed_over import HandedOver, SpanMean
from slowflight.wing.elements import Element, Elements
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow
from tests.flow.bodies.cases import hung

CHORD, REYNOLDS = 1.5, 2e6
ROW = VaneRow(station=0.15, height=6e-3, length=18e-3, pitch=40e-3, gap=10e-3, incidence=np.radians(15.0))


def test_a_layer_that_vanes_do_not_change_gets_nothing() -> None:
    """By construction: the sums along a layer less those along itself."""
    distance = np.linspace(0.0, 0.3, 30)
    layer = SpanMean(
        momentum_thickness=1e-3 * (1.0 + 3.0 * distance),
        energy_thickness=1.75e-3 * (1.0 + 3.0 * distance),
        shape_factor=1.4 + 0.3 * distance,
    )
    found = HandedOver(
        wake=0.0, wake_energy=0.0, drag=0.0, stirred=layer, clean=layer, taken=distance, work=distance,
        valid_to=0.3, status="ran",
    )  # fmt: skip
    for total in beside_closure(distance=distance, speed=1.5 - distance, found=found, reynolds=2e6, lag=5.0):
        assert np.abs(total).max() < 1e-15


def test_nothing_stirs_a_layer_fuller_than_the_march_gets() -> None:
    assert left_to_mix(UNMIXED)[0] == 0.0
    assert left_to_mix(UNMIXED - 0.02)[0] < 0.0 < left_to_mix(UNMIXED + 0.02)[0]
    for H in (1.02, 1.2, 2.0):
        e = 1e-6
        up, down = (left_to_mix(1.0 + (H - 1.0) * np.exp(x))[0] for x in (e, -e))
        assert left_to_mix(H)[1] == pytest.approx((up - down) / (2.0 * e), rel=1e-5)


def test_between_angles_it_is_interpolated_and_beyond_held() -> None:
    empty = nothing_yet(1)
    assert not empty.at(0.1)[0].any()
    handed: Handed = empty
    for alpha, size in ((0.2, 3.0), (0.1, 1.0)):
        wakes, tables = np.full((1, 3), size), np.full((1, PLACES, vanes.TABLE), size)
        handed = handed.with_march(alpha, wakes, tables, ())
    found = [handed.at(a)[0][0, 0] for a in (0.0, 0.1, 0.15, 0.2, 0.5)]
    assert found == pytest.approx([1.0, 1.0, 2.0, 3.0, 3.0])


def test_more_marches_leave_lift_near_where_it_is() -> None:
    """Three marches at an angle, or five: within 2 % of lift; it swings where the trip is near."""
    bare = section_model(naca_section("4412"), reynolds=REYNOLDS, vane_rows=[ROW], chord_m=CHORD)
    lifts = []
    for passes in (PRINTED.passes, PRINTED.passes + 2):
        how = replace(PRINTED, passes=passes, tolerance=0.0)
        model, _ = with_marched_rows(bare, [float(np.radians(8.0))], how)
        found = solve(model, float(np.radians(8.0)))
        assert found.converged
        lifts.append(coefficients(model, found).cl)
    assert lifts[1] == pytest.approx(lifts[0], rel=0.02)


def test_rows_are_marched_at_whole_steps_whatever_is_asked() -> None:
    """So that an answer does not hang on the other angles asked for."""
    bare = section_model(naca_section("4412"), reynolds=REYNOLDS, vane_rows=[ROW], chord_m=CHORD)
    narrow, wide = (
        with_marched_rows(bare, list(np.radians(angles)), PRINTED)[0].handed.angles
        for angles in ([1.3, 4.0], [-4.0, 1.3, 9.0])
    )
    step = PRINTED.spacing
    for angles in (narrow, wide):
        assert angles / step == pytest.approx(np.round(angles / step))
        assert np.diff(angles) == pytest.approx(step)
    assert set(np.round(narrow / step)) <= set(np.round(wide / step))


def test_rows_on_a_single_element_are_those_of_the_section() -> None:
    section = naca_section("4412")
    alone = Elements(bodies=(Element(name="main", section=section),))
    one = lift_curve(section, reynolds=REYNOLDS, angles_deg=[4.0, 10.0], vane_rows=[ROW], chord_m=CHORD)
    other = elements_lift_curve(
        alone, reynolds=REYNOLDS, angles_deg=[4.0, 10.0], vane_rows=[ROW], chord_m=CHORD
    )
    for a, b in zip(one.points, other.points, strict=True):
        assert b.cl == pytest.approx(a.cl, abs=5e-3)


def test_rows_ahead_of_a_hung_flap_act() -> None:
    """Near maximum lift of the clean wing with the flap down; direction only, nothing measured."""
    clean, helped = (
        elements_lift_curve(hung(20.0), reynolds=1.5e6, angles_deg=[10.0, 14.0], vane_rows=rows, chord_m=1.4)
        for rows in ((), (ROW,))
    )
    assert clean.points[1].cl is not None
    assert helped.points[1].cl is not None
    assert helped.points[1].cl > clean.points[1].cl
    assert any(w.startswith("vane row 1: marched at ") for w in helped.warnings)


def test_what_came_of_the_marches_is_said() -> None:
    common = {"row": 0, "to_edge": 0.9, "over_layer": 1.0, "tripped": False}
    marched = [
        Marched(alpha=0.0, status="ran", reason="", valid_to=0.9, **common),  # type: ignore[arg-type]
        Marched(alpha=0.2, status="reversed", reason="", valid_to=0.3, **common),  # type: ignore[arg-type]
        Marched(alpha=0.3, status="refused", reason="too thin", valid_to=0.0, **common),  # type: ignore[arg-type]
    ]
    said = " | ".join(row_remarks.of_marches(marched, 0))
    assert "stops short of the trailing edge at 11.5 deg, at worst 33 % of the way" in said
    assert "not marched at 17.2 deg (too thin)" in said
    assert "it only trips" in row_remarks.of_marches([], 0)[0]
