"""The public function: shape of the result, and plain refusals."""

import numpy as np
import pytest

from slowflight.errors import RangeError
from slowflight.flow.rans import curve_points, past_steady, sweep
from slowflight.flow.rans.grid import FAMILIES, GridSize
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.surface import Skin, reversed_stretches, trailing_separation
from slowflight.flow.rans.time_average import TimeAverage
from slowflight.wing.naca import naca_section

SECTION = naca_section("naca0012", closed_trailing_edge=True)


def test_points_come_in_the_order_asked_for_and_rise(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(FAMILIES, "preview", GridSize(32, 8, 48, 4))
    curve = rans_lift_curve(SECTION, reynolds=1e6, angles_deg=(6.0, 4.0, 2.0), grid="preview")
    assert [p.alpha_deg for p in curve.points] == [6.0, 4.0, 2.0]
    lifts = [p.cl for p in curve.points if p.cl is not None]
    assert len(lifts) == 3
    assert lifts[0] > lifts[1] > lifts[2] > 0.1
    assert curve.tier == "rans"
    assert curve_points.BANDS in curve.warnings


def test_a_point_without_answer_has_nulls(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(FAMILIES, "preview", GridSize(32, 8, 48, 4))
    monkeypatch.setattr(sweep, "COLD_STEPS", 2)
    curve = rans_lift_curve(SECTION, reynolds=1e6, angles_deg=(4.0, 5.0), grid="preview")
    assert all(p.cl is None and p.cd is None and not p.converged and p.warnings for p in curve.points)
    assert curve.cl_max is None


@pytest.mark.parametrize("settled", [True, False])
def test_past_the_last_steady_answer_there_is_a_marked_mean_or_none(
    monkeypatch: pytest.MonkeyPatch, settled: bool
) -> None:
    monkeypatch.setitem(FAMILIES, "preview", GridSize(32, 8, 48, 4))
    monkeypatch.setattr(sweep, "NEXT_STEPS", 1)  # from 4 degrees on nothing is found
    starts: list[float] = []

    def flown(here: Marching, *, start: Flow, alpha: float) -> TimeAverage:
        starts.append(float(np.degrees(start.alpha)))
        end = Flow(alpha, start.q, start.circulation, 1e-7, True, 1, 1, 1, ())
        return TimeAverage(end, 0.9, 0.2, -0.1, 0.15, 0.012, 40.0, settled)

    monkeypatch.setattr(past_steady, "averaged", flown)
    curve = rans_lift_curve(
        SECTION, reynolds=1e6, angles_deg=(4.0, 8.0, 12.0), grid="preview", time_average=True
    )
    first, *means = curve.points
    assert first.steady
    assert first.converged
    assert starts == [pytest.approx(4.0), pytest.approx(8.0)]  # each from the one before
    for point in means:
        assert not point.steady
        assert point.converged == settled
        assert point.cl == (0.9 if settled else None)
        assert point.amplitude == (0.15 if settled else None)
        assert ("swings by 0.150" if settled else "did not settle") in point.warnings[0]
    assert all(p.extrapolated for p in means) == settled


def test_what_cannot_be_computed_is_refused() -> None:
    with pytest.raises(RangeError, match="upper transition"):
        rans_lift_curve(SECTION, reynolds=1e6, angles_deg=(4.0,), transition=(1.1, 0.1))
    with pytest.raises(RangeError, match="preview or medium or default or fine"):
        rans_lift_curve(SECTION, reynolds=1e6, angles_deg=(4.0,), grid="huge")


def test_reversed_stretches_are_read_from_friction() -> None:
    x = np.abs(np.linspace(-1.0, 1.0, 201))
    friction = np.where(np.linspace(-1.0, 1.0, 201) > 0.805, -1.0, 1.0)
    friction[-1] = 0.5  # the last cell turns again
    found = Skin(x, 0.0 * x, 0.0 * x, friction, 0.0 * x, 100)
    (stretch,) = reversed_stretches(found, "upper")
    assert trailing_separation((stretch,)) == pytest.approx(0.805, abs=0.006)
    assert reversed_stretches(found, "lower") == ()
