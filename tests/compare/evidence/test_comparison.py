"""The same measure taken of a table and of a run: on runs made up so that the answer is known."""

from __future__ import annotations

from typing import Any

import pytest

from slowflight.compare.evidence.case import Measured
from slowflight.compare.evidence.comparison import AIMS, NOT_CONVERGED, NOT_RUN, Comparison, compare
from tests.compare.evidence.comparisons import case, compared

ANGLES = tuple(float(a) for a in range(-4, 13, 2))


def run(slope: float = 0.11, drag: float = 0.009, **changed: Any) -> dict[str, Any]:
    """Return a made-up result: straight lift, drag that grows with its square."""
    points = [
        {"alpha_deg": a, "cl": slope * a, "cd": drag + 0.01 * (slope * a) ** 2, "separation_upper": None}
        for a in ANGLES
    ]
    return {"points": points, "cl_max": 1.6, "alpha_cl_max_deg": 15.0, "pressures": {}, **changed}


def one(measured: Measured, result: dict[str, Any] | None, **changed: Any) -> Comparison:
    (found,) = compare(case(measured=(measured,), **changed), tier="integral", result=result)
    return found


def test_maximum_lift_and_its_error() -> None:
    found = one(Measured(quantity="maximum lift", value=1.5, reading_error=0.01), run())
    assert (found.published, found.predicted) == (1.5, 1.6)
    assert found.error == pytest.approx(0.1)
    assert found.relative_error == pytest.approx(0.1 / 1.5)
    assert found.missed is False


def test_an_angle_has_no_relative_error() -> None:
    found = one(Measured(quantity="angle of maximum lift", value=13.0, reading_error=0.1), run())
    assert found.error == pytest.approx(2.0)
    assert found.relative_error is None
    assert found.missed is True


@pytest.mark.parametrize(("quantity", "aim"), AIMS.items())
def test_missed_just_beyond_the_aim(quantity: str, aim: float) -> None:
    published = 2.0
    step = aim if quantity == "angle of maximum lift" else aim * published
    assert compared(published + 0.99 * step, quantity=quantity, published=published).missed is False
    assert compared(published - 1.01 * step, quantity=quantity, published=published).missed is True


def test_slope_is_taken_at_the_measured_angles_within_the_span() -> None:
    """Measured 0.10 per degree inside the span and nonsense outside it; computed 0.11."""
    table = {"alpha_deg": (-3.0, 0.0, 1.0, 5.0, 11.0), "cl": (-0.3, 0.0, 0.1, 0.5, -7.0)}
    measured = Measured(quantity="lift slope", value=None, reading_error=0.001, span=(-4.5, 8.5))
    found = one(measured, run(slope=0.11), table=table)
    assert found.published == pytest.approx(0.10)
    assert found.predicted == pytest.approx(0.11)


@pytest.mark.parametrize("against", ["alpha_deg", "cl"])
def test_drag_at_equal_angle_and_at_equal_lift(against: str) -> None:
    """Measured lift 0.10 per degree, computed 0.11; drag rests on lift alone: at equal lift no error."""
    angles = (0.0, 2.0, 4.0, 6.0, 8.0)
    lifts = tuple(0.10 * a for a in angles)
    table = {"alpha_deg": angles, "cl": lifts, "cd": tuple(0.009 + 0.01 * c**2 for c in lifts)}
    measured = Measured(quantity="mean drag", value=None, reading_error=1e-5, against=against)
    found = one(measured, run(slope=0.11), table=table)
    at_angle = 0.009 + 0.01 * 0.11**2 * sum(a * a for a in angles) / 5
    expected = found.published if against == "cl" else at_angle
    assert found.predicted == pytest.approx(expected, rel=1e-9)
    assert found.scatter is not None
    assert (found.scatter < 1e-9) == (against == "cl")


def test_drag_at_equal_lift_is_taken_below_maximum_lift() -> None:
    """Past its maximum at 8 degrees lift falls and drag leaps: no lift has two drags."""
    result = run()
    for point in result["points"]:
        if point["alpha_deg"] > 8.0:
            point.update(cl=0.7, cd=0.2)
    lifts = (0.1, 0.4, 0.7)
    table = {"cl": lifts, "cd": tuple(0.009 + 0.01 * c**2 for c in lifts)}
    measured = Measured(quantity="mean drag", value=None, reading_error=1e-5, against="cl")
    found = one(measured, result, table=table)
    assert found.relative_error == pytest.approx(0.0, abs=1e-9)


def test_scatter_of_drag_is_relative() -> None:
    table = {"alpha_deg": (0.0, 4.0), "cl": (0.0, 0.44), "cd": (0.010, 0.009 + 0.01 * 0.44**2)}
    found = one(Measured(quantity="mean drag", value=None, reading_error=1e-5), run(), table=table)
    assert found.scatter == pytest.approx(0.1 / 2**0.5)


def test_beyond_the_answered_angles_there_is_no_answer() -> None:
    table = {"alpha_deg": (0.0, 14.0), "cl": (0.0, 1.4), "cd": (0.01, 0.03)}
    found = one(Measured(quantity="mean drag", value=None, reading_error=1e-5), run(), table=table)
    assert found.predicted is None
    assert found.status == NOT_CONVERGED
    assert "no answer over all of 0 to 14" in found.reason
    assert found.published == pytest.approx(0.02)


def test_a_run_without_a_maximum_has_no_answer() -> None:
    found = one(Measured(quantity="maximum lift", value=1.5, reading_error=0.01), run(cl_max=None))
    assert (found.predicted, found.error, found.relative_error, found.missed) == (None, None, None, None)
    assert found.status == NOT_CONVERGED
    assert found.reason


@pytest.mark.parametrize(("cl", "status"), [(0.44, "compared"), (None, NOT_CONVERGED)])
def test_lift_at_one_angle(cl: float | None, status: str) -> None:
    result = run()
    result["points"][4]["cl"] = cl  # at 4 deg
    found = one(Measured(quantity="lift", value=0.5, reading_error=0.01, angle_deg=4.0), result)
    assert (found.predicted, found.status) == (cl, status)


def test_separation_that_is_not_there_is_no_answer() -> None:
    found = one(Measured(quantity="separation", value=0.87, reading_error=0.03, angle_deg=4.0), run())
    assert found.status == NOT_CONVERGED


def test_pressures_are_taken_at_the_taps_of_their_side_behind_the_nose() -> None:
    table = {
        "side": ("upper", "upper", "upper", "lower"),
        "x": (0.01, 0.25, 0.75, 0.5),
        "pressure_coefficient": (-9.0, -1.0, -0.6, 0.2),
    }
    # the air divides on the other side at 0.4, where its pressure is that of no upper side
    layer = {"x": [0.4, 0.0, 0.1, 1.0], "pressure_coefficient": [1.0, -50.0, -1.0, -0.1]}
    result = run(pressures={"13.87": {"upper": layer, "lower": layer}})
    measured = Measured(
        quantity="mean pressure coefficient, upper side", value=None, reading_error=0.01, angle_deg=13.87,
        span=(0.05, 1.0),
    )  # fmt: skip
    found = one(measured, result, table=table)
    assert found.published == pytest.approx(-0.8)
    assert found.predicted == pytest.approx(0.5 * (-0.85 - 0.35))  # -1.1 + x between the two
    assert found.scatter == pytest.approx((0.5 * (0.15**2 + 0.25**2)) ** 0.5)


def test_what_is_not_run_says_why() -> None:
    measured = Measured(quantity="ranking", value=1.0, reading_error=0.0)
    found = one(measured, None, airfoil=None, not_run={"any": "cannot be run: no coordinates"})
    assert (found.status, found.reason) == (NOT_RUN, "cannot be run: no coordinates")
    assert found.predicted is None


def test_record_has_the_agreed_keys_and_no_nan() -> None:
    record = compared(1.4, role="calibrates").record()
    agreed = {"case", "kind", "tier", "source", "published", "predicted", "error", "role"}
    assert agreed <= record.keys()
    assert record["error"] == pytest.approx(record["predicted"] - record["published"])
    assert record["case"] == "a: maximum lift"
    assert record["role"] == "calibrates"
