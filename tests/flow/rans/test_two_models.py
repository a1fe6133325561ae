"""Both turbulence models side by side on a very small grid: what is said of their spread."""

from dataclasses import replace

import pytest

from slowflight.errors import InputError
from slowflight.flow.rans.curve_points import missing_point
from slowflight.flow.rans.grid import FAMILIES, GridSize
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.flow.rans.two_models import spread_remark, with_second_model
from slowflight.flow.solution import FlowPoint, ModelAnswer
from slowflight.wing.naca import naca_section

SECTION = naca_section("naca0012", closed_trailing_edge=True)


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(FAMILIES, "preview", GridSize(32, 8, 48, 4))


def point(alpha: float, cl: float | None) -> FlowPoint:
    return replace(missing_point(alpha, None, "made up"), cl=cl, cd=0.02, converged=cl is not None)


NO_ANSWER = ModelAnswer(None, None, None, None, False)


def answer(cl: float) -> ModelAnswer:
    return ModelAnswer(cl, 0.03, -0.1, None, True)


def test_both_models_stand_beside_each_other() -> None:
    seen: list[float] = []
    curve = rans_lift_curve(
        SECTION, reynolds=1e6, angles_deg=(4.0, 6.0), grid="preview", turbulence="both",
        on_point=lambda p: seen.append(p.alpha_deg),
    )  # fmt: skip
    assert seen == [4.0, 6.0, 4.0, 6.0]
    for found in curve.points:
        assert found.converged
        assert found.cl is not None
        assert found.two_equation is not None
        assert found.two_equation.cl == pytest.approx(found.cl, rel=0.15)
        assert found.two_equation.cl != found.cl
        assert any("two-equation model: lift" in text for text in found.warnings)
    assert {"Menter1994", "SpalartRumsey2007"} <= set(curve.sources)
    assert any("that spread is part of the error" in text for text in curve.warnings)


def test_laminar_layers_with_both_models_are_refused() -> None:
    with pytest.raises(InputError, match="both models with laminar layers"):
        rans_lift_curve(
            SECTION, reynolds=1e6, angles_deg=(4.0,), grid="preview", turbulence="both",
            transition=(None, None),
        )  # fmt: skip


def test_spread_at_maximum_lift() -> None:
    pairs = ((0.9, 0.85), (1.2, 1.1), (1.1, 0.8))
    points = [with_second_model(point(10.0 + 2.0 * i, a), answer(b)) for i, (a, b) in enumerate(pairs)]
    text = spread_remark(points)
    assert "by two turbulence models: maximum lift 1.2" in text
    assert "a spread of 0.1" in text
    assert points[0].warnings[-1] == "two-equation model: lift 0.850 (-0.050), drag 0.0300 (+0.0100)"


def test_spread_where_no_maximum_is_bracketed() -> None:
    points = [
        with_second_model(point(4.0, 0.8), answer(0.75)),
        with_second_model(point(6.0, 1.0), answer(0.93)),
        with_second_model(point(8.0, 1.2), NO_ANSWER),
    ]
    assert "up to 0.070 of lift apart" in spread_remark(points)
    assert points[2].warnings[-1] == "two-equation model: no steady answer"
    assert "no answer at any angle" in spread_remark(points[2:])
