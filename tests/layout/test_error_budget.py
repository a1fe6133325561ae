"""What slips cost, from a small invented prediction worked by hand."""

from __future__ import annotations

from typing import Any

import pytest

from slowflight.layout.error_budget import error_budget, fall_curves
from slowflight.layout.plan import lay_out
from tests.layout.wings import straight_wing, vane_row

ROW = {"candidate": "printed", "pitch_mm": 84.0}


def prediction(**changes: Any) -> dict[str, Any]:
    def table(name: str, height: float, falls: list[float | None]) -> dict[str, Any]:
        return {
            "candidate": name, "height_mm": height, "stations": [0.02, 0.05, 0.07, 0.10], "fall_kt": falls,
            "answered": [fall is not None for fall in falls],
        }  # fmt: skip

    setting = {
        "flap_deg": 0.0, "predicted": True, "best": ROW, "ties": [{"candidate": "close", "pitch_mm": 60.0}],
        "tie_band_kt": 0.8, "panels_kt": {"clean": 0.0, "fall": -1.0},
        "gain_tables": [
            table("printed", 8.0, [None, 2.0, 2.4, 2.1]),
            table("printed", 6.0, [None, 1.6, 1.9, 1.7]),
            table("close", 8.0, [None, 2.3, 2.6, 2.2]),
        ],
    }  # fmt: skip
    return {"decided_at_deg": 0.0, "settings": [{**setting, **changes}]}


def test_budget_by_hand() -> None:
    """At 7 %: 0.4 kt in 2 % of 1.5 m is 13.3 kt/m, 2 mm 0.027 kt; 0.5 kt in 2 mm of height, 0.125 kt."""
    plan = lay_out(wing=straight_wing(), row=vane_row(name="printed"))
    place, height, toe, skipped, pitch = error_budget(plan, prediction=prediction())
    assert place.cost_kt == pytest.approx(0.4 / 0.02 / 1.5 * 0.002)
    assert height.cost_kt == pytest.approx(0.125)
    assert (toe.cost_kt, skipped.cost_kt) == (None, None)
    assert "not predicted" in toe.sentence
    # 2.4 kt over 76 vanes
    assert "0.03 kt" in skipped.sentence
    assert pitch.cost_kt == pytest.approx(0.2)
    assert "1.00 kt apart" in place.sentence


@pytest.mark.parametrize("record", [None, {"settings": []}, prediction(predicted=False)])
def test_nothing_predicted_is_said_so(record: dict[str, Any] | None) -> None:
    plan = lay_out(wing=straight_wing(), row=vane_row(name="printed"))
    for slip in error_budget(plan, prediction=record):
        assert slip.cost_kt is None
        assert slip.sentence.startswith("not predicted")


def test_places_without_an_answer_are_not_joined() -> None:
    (curve, *_) = fall_curves(prediction())
    assert curve.at(0.03) is None
    assert curve.at(0.06) == pytest.approx(2.2)
    other = lay_out(wing=straight_wing(), row=vane_row(name="another"))
    assert error_budget(other, prediction=prediction())[0].cost_kt is None
