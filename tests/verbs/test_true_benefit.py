"""The verdict on the demonstration aircraft follows the benefit that is really there.

The flow is made up: a lift curve by a formula, raised by vanes by a known share. All behind it is real.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from slowflight import verbs
from slowflight.project import write_demo
from slowflight.study.field_case import FieldCase
from slowflight.study.help_case import HelpCase
from slowflight.study.section_case import SectionCase


def made_up(benefit: float, drag: float) -> Any:
    """Return a stand-in for the solver whose vanes raise lift by ``benefit`` at and past the stall."""

    def compute(case: SectionCase) -> dict[str, Any]:
        points: list[dict[str, Any]] = []
        for alpha in case.angles_deg:
            # straight to 10 degrees, then a parabola to the maximum at 16, falling after
            clean = 0.1 * (alpha + 3.5) if alpha < 10.0 else 1.35 + 0.3 - 0.3 * ((16.0 - alpha) / 6.0) ** 2
            share = min(max((alpha - 6.0) / 8.0, 0.0), 1.0) * benefit if case.rows else 0.0
            points.append(
                {
                    "alpha_deg": alpha, "reynolds": case.reynolds_at_unit_lift, "cl": clean * (1.0 + share),
                    "cd": 0.01 + (drag if case.rows else 0.0), "cd_vanes": 0.0, "cm": -0.05,
                    "converged": True, "extrapolated": False, "separation_upper": None,
                    "transition_upper": 0.1, "vanes": [], "warnings": [],
                }
            )  # fmt: skip
        return {"points": points, "cl_max": 1.65, "alpha_cl_max_deg": 16.0, "warnings": [], "sources": []}

    return compute


@pytest.mark.parametrize(
    ("benefit", "findings"),
    [
        (0.08, {"worth a trial"}),
        (0.0, {"not worth it", "cannot tell"}),
        (-0.05, {"not worth it"}),
        (0.045, {"cannot tell"}),
    ],
)
def test_verdict_follows_the_true_benefit(
    benefit: float, findings: set[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(SectionCase, "compute", made_up(benefit, drag=0.0010))
    monkeypatch.setattr(FieldCase, "compute", lambda case: {"problem": "no flow in this test"})
    monkeypatch.setattr(HelpCase, "compute", lambda case: {"problem": "no strip in this test"})
    write_demo(tmp_path / "demo")
    record = verbs.predict(tmp_path / "demo")
    assert record["verdict"]["finding"] in findings
    setting = record["settings"][0]
    if benefit <= 0.0:
        assert setting["best"] is None
        assert setting["stall_speed_vanes"] is None
        return
    # 8 % more lift is 3.8 % less speed; a little less, because cabin and tips stay bare
    fall = setting["best"]["fall"]["kt"] / setting["stall_speed_clean"]["kt"]
    whole = 1.0 - (1.0 + benefit) ** -0.5
    assert 0.6 * whole < fall < whole


def test_benefit_at_too_high_a_price_cannot_be_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(SectionCase, "compute", made_up(0.08, drag=0.0060))
    monkeypatch.setattr(FieldCase, "compute", lambda case: {"problem": "no flow in this test"})
    monkeypatch.setattr(HelpCase, "compute", lambda case: {"problem": "no strip in this test"})
    write_demo(tmp_path / "demo")
    record = verbs.predict(tmp_path / "demo")
    # the price lies inside the band of the cost, which is as uncalibrated as the gain
    assert record["verdict"]["finding"] == "cannot tell"
    assert "48 cost more" in record["verdict"]["reasons"][0]
