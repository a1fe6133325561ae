"""Rows of vanes, predicted and uncalibrated: directions and limits that physics sets, not sizes."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from slowflight.flow.integral import results, vanes
from slowflight.flow.integral.section_flow import SectionModel, section_model
from slowflight.flow.integral.sweep import sweep
from slowflight.flow.lift_curve import UNCALIBRATED, lift_curve
from slowflight.flow.maximum_lift import maximum_lift
from slowflight.flow.solution import FloatArray, LiftCurve
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

CHORD = 1.5
ROW = VaneRow(station=0.1, height=6e-3, length=18e-3, pitch=60e-3, gap=15e-3, incidence=np.radians(15.0))
ANGLES = [float(a) for a in range(-2, 24)]
REYNOLDS = 3e6


def swept(
    *rows: VaneRow,
    transition: tuple[float | None, float | None] = (None, None),
    angles: list[float] = ANGLES,
    digits: str = "4412",
) -> LiftCurve:
    return lift_curve(
        naca_section(digits), reynolds=REYNOLDS, angles_deg=angles, transition=transition, vane_rows=rows,
        chord_m=CHORD,
    )  # fmt: skip


def lifts(curve: LiftCurve) -> FloatArray:
    assert all(p.converged for p in curve.points)
    return np.array([p.cl for p in curve.points], dtype=np.float64)


def top(curve: LiftCurve) -> float:
    assert curve.cl_max is not None
    return curve.cl_max


@pytest.fixture(scope="module")
def clean() -> LiftCurve:
    return swept()


@pytest.fixture(scope="module")
def helped() -> LiftCurve:
    return swept(ROW)


ATTACHED = [-2.0, 0.0, 2.0, 4.0, 6.0]


def test_a_row_of_no_height_is_none() -> None:
    angles = [0.0, 6.0, 12.0, 15.0]
    without, none = swept(angles=angles), swept(replace(ROW, height=0.0), angles=angles)
    for a, b in zip(without.points, none.points, strict=True):
        assert a.cl is not None
        assert a.cd is not None
        assert b.cl == pytest.approx(a.cl, abs=1e-9)
        assert b.cd == pytest.approx(a.cd, abs=1e-9)
        assert b.cd_vanes == 0.0


def test_small_vanes_do_little_and_do_it_smoothly() -> None:
    """The difference shrinks with the height, without a last step at none."""
    angles = [4.0, 12.0]
    base = lifts(swept(angles=angles))
    changes = [
        np.max(np.abs(lifts(swept(replace(ROW, height=h), angles=angles)) - base))
        for h in (0.8e-3, 0.4e-3, 0.2e-3, 0.1e-3, 0.05e-3, 0.01e-3)
    ]
    assert all(b <= a for a, b in pairwise(changes)), changes
    assert changes[-1] < 1e-4, changes


def test_circulation_of_a_vane() -> None:
    """0.120 m2/s for 6 by 15 mm at 15 deg, 30 m/s and a layer of 5 mm.

    Wendt's formula, NASA/CR-2001-211144 (constants at second hand). Beside it Prandtl's elliptic wing,
    mirrored in the wall, without the layer's loss: 0.125.
    """
    incidence, speed, length, height = np.radians(15.0), 30.0, 0.015, 0.006
    found = vanes.circulation(incidence, speed, length, height, 0.005, 1.0)
    assert found == pytest.approx(0.120, abs=0.0015)
    prandtl = np.pi * incidence * speed * length / (1.0 + 2.0 * np.pi * length / (8.0 * height))
    assert prandtl == pytest.approx(0.125, abs=0.001)
    assert found == pytest.approx(prandtl, rel=0.06)
    assert vanes.circulation(incidence, speed, length, 0.0, 0.005, 1.0) == 0.0


def test_mixing_saturates() -> None:
    assert vanes.mixing_strength(0.0) == 0.0
    weak = vanes.mixing_strength(0.002) / vanes.mixing_strength(0.001)
    assert weak == pytest.approx(4.0, rel=0.001)  # square of a weak circulation
    assert vanes.mixing_strength(100.0) == pytest.approx(vanes.MOST_MIXING, rel=1e-4)


@pytest.mark.parametrize("station", [0.85, 0.90])
def test_a_row_in_separated_air_does_not_raise_maximum_lift(station: float, clean: LiftCurve) -> None:
    """Behind the separation computed with the row, reached by raising the angle from attached flow."""
    with_row = swept(replace(ROW, station=station))
    assert top(with_row) < top(clean) * 1.002
    near = min(with_row.points, key=lambda p: abs(p.alpha_deg - (with_row.alpha_cl_max_deg or 0.0)))
    assert near.separation_upper is not None
    assert near.separation_upper < station
    assert any("counted as no help" in w for w in near.warnings)


def test_stall_angle_rises_and_lift_slope_stays(helped: LiftCurve) -> None:
    """Against the same section with only the row's trip; the layer is tripped where the vanes stand."""
    tripped = swept(transition=(ROW.station, None))
    assert helped.alpha_cl_max_deg is not None
    assert tripped.alpha_cl_max_deg is not None
    assert helped.alpha_cl_max_deg > tripped.alpha_cl_max_deg + 0.5
    assert top(helped) > top(tripped)
    slopes = []
    for curve in (tripped, helped):
        attached = np.array(ANGLES) <= 6.0
        slopes.append(np.polyfit(np.array(ANGLES)[attached], lifts(curve)[attached], 1)[0])
    assert slopes[1] == pytest.approx(slopes[0], rel=0.02)


def test_every_gain_is_marked(helped: LiftCurve, clean: LiftCurve) -> None:
    assert UNCALIBRATED in helped.warnings
    assert UNCALIBRATED not in clean.warnings
    assert "Wendt2001" in helped.sources
    assert "Wendt2001" not in clean.sources


def test_the_vanes_share_of_drag_is_told(helped: LiftCurve, clean: LiftCurve) -> None:
    for with_row, without in zip(helped.points, clean.points, strict=True):
        if 0.0 <= with_row.alpha_deg <= 6.0:
            assert with_row.cd_vanes is not None
            assert with_row.cd is not None
            assert without.cd is not None
            assert with_row.cd_vanes > 0.0
            assert with_row.cd > without.cd + 0.5 * with_row.cd_vanes


def _without_drag(model: SectionModel) -> SectionModel:
    """The same rows without a wake.

    The public model has no switch for it, so their profile drag is set to less than cancels the drag due to
    their lift in the thinnest layer; a wake that would be negative is left out by the equations.
    """
    rows = model.rows.copy()
    for row in rows:
        loop = vanes.circulation(row[vanes.INCIDENCE], 1.0, row[vanes.LENGTH], row[vanes.HEIGHT], 1e-9, 1.0)
        row[vanes.DRAG] = -2.0 * loop / row[vanes.LENGTH] * np.tan(row[vanes.INCIDENCE])
    return replace(model, rows=rows)


def test_help_grows_with_circulation_without_device_drag() -> None:
    found = []
    for incidence_deg in (2.5, 5.0, 10.0, 15.0, 20.0):
        row = replace(ROW, incidence=np.radians(incidence_deg))
        model = section_model(naca_section("4412"), reynolds=REYNOLDS, vane_rows=[row], chord_m=CHORD)
        points = sweep(_without_drag(model), [float(a) for a in np.radians(np.arange(4.0, 24.0))])
        curve = [
            (
                float(np.degrees(p.alpha)),
                results.coefficients(model, p.solved).cl
                if p.solved is not None and p.how == "followed"
                else None,
            )
            for p in points
        ]
        peak = maximum_lift(curve)
        assert peak is not None
        found.append(peak[1])
    assert all(b > a for a, b in pairwise(found)), found


def test_a_wider_pitch_helps_less(helped: LiftCurve, clean: LiftCurve) -> None:
    wide = swept(replace(ROW, pitch=2.0 * ROW.pitch))
    assert top(clean) < top(wide) < top(helped)


def test_two_rows_act_together(helped: LiftCurve) -> None:
    second = replace(ROW, station=0.3)
    both, alone = swept(ROW, second), swept(second)
    assert top(both) > top(helped)
    assert top(both) > top(alone)
    assert both.points[4].cd_vanes is not None
    assert helped.points[4].cd_vanes is not None
    assert alone.points[4].cd_vanes is not None
    # the second row stands in the thicker layer behind the first, so its own share is less than alone
    together = helped.points[4].cd_vanes + alone.points[4].cd_vanes
    assert max(helped.points[4].cd_vanes, alone.points[4].cd_vanes) < both.points[4].cd_vanes < together


def test_a_row_ahead_of_stagnation_is_left_out_and_said() -> None:
    """On the lower side near the nose, where at high angles the air divides behind the row."""
    row = replace(ROW, station=0.01, surface="lower")
    angles = [4.0, 14.0]
    with_row, without = swept(row, angles=angles), swept(angles=angles)
    assert any("ahead of the stagnation point" in w for w in with_row.points[1].warnings)
    assert not any("ahead of the stagnation point" in w for w in with_row.points[0].warnings)
    assert with_row.points[1].cl == pytest.approx(without.points[1].cl, rel=1e-6)
    assert with_row.points[1].cd_vanes == 0.0


def test_triangular_vanes_do_less_than_rectangular(helped: LiftCurve) -> None:
    """Own estimate of the shape's strength, no source; sign only."""
    assert top(swept(replace(ROW, shape="triangular"))) < top(helped)
