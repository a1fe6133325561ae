"""The main question by both tiers: what is asked, what is compared, and what is said without an answer.

The flow is made up but in the last test: by the formula of `test_flap_settings` for both tiers, with other
gains, so that what comes out is known by hand.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from slowflight import verbs
from slowflight.errors import InputError
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.project import open_project
from slowflight.study.field_case import FieldCase
from slowflight.study.help_case import HelpCase
from slowflight.study.minutes_case import MinutesCase
from slowflight.study.minutes_section_case import of_section
from slowflight.study.section_case import SectionCase
from slowflight.verbs.opinion_findings import beside_practice
from slowflight.verbs.opinion_rows import EDGES
from slowflight.verbs.second_opinion import saved_second_opinion
from slowflight.wing.elements import Element
from slowflight.wing.naca import naca_section
from tests.verbs.test_flap_settings import WING, made_up

QUICK = {"down_gain": 0.10, "up_gain": 0.05}
LONG = {"down_gain": 0.04, "up_gain": 0.05}
# a flap that lies in the wing: no grid can be made
UNDER = Element(name="flap", section=naca_section("naca0012"), chord=0.2, axis_x=0.6, axis_y=0.0)
LAST_DEG = 24.0  # with an answer by the minutes tier


@pytest.fixture(name="folder")
def fixture_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A predicted project, both tiers made up."""
    by_quick, by_long = made_up(**QUICK), made_up(**LONG)
    monkeypatch.setattr(SectionCase, "compute", by_quick)
    monkeypatch.setattr(FieldCase, "compute", lambda case: {"problem": "no flow in this test"})
    monkeypatch.setattr(HelpCase, "compute", lambda case: {"problem": "no strip in this test"})

    def compute(case: MinutesCase) -> dict[str, Any]:
        same = SectionCase(
            section=case.section, flap=case.flap, chord=case.chord or 1.0, rows=case.rows,
            reynolds_at_unit_lift=case.reynolds, angles_deg=case.angles_deg,
        )  # fmt: skip
        found: dict[str, Any] = by_long(same)
        failed = {"cl": None, "cd": None, "converged": False}
        points = [p if p["alpha_deg"] <= LAST_DEG else {**p, **failed} for p in found["points"]]
        return {**found, "points": points, "seconds": 1.0}

    monkeypatch.setattr(MinutesCase, "compute", compute)
    (tmp_path / "wing.toml").write_text(WING.format(span="", question=""), encoding="utf-8")
    verbs.predict(tmp_path)
    return tmp_path


def test_both_tiers_stand_side_by_side_and_the_smaller_fall_is_believed(folder: Path) -> None:
    told: list[tuple[str, int, int]] = []
    record = verbs.second_opinion(folder, on_progress=lambda *news: told.append(news))
    up, down = record["settings"]
    assert [one["flap_deg"] for one in record["settings"]] == pytest.approx([0.0, 25.0])
    # the prediction's row is asked about, at both settings
    prediction = json.loads((folder / "runs" / "prediction.json").read_text(encoding="utf-8"))
    best = prediction["settings"][0]["best"]["station"]
    for setting in record["settings"]:
        assert [row["stations"] for row in setting["rows"]] == [[best]]
        assert setting["rows"][0]["chosen"]
    # alike where the formula is: clean, and with the row where both tiers gain 5 %
    assert up["clean"]["minutes"]["cl_max"] == pytest.approx(up["clean"]["seconds"]["cl_max"], rel=2e-3)
    rows = up["rows"][0], down["rows"][0]
    assert rows[0]["minutes"]["fall"]["kt"] == pytest.approx(rows[0]["seconds"]["fall"]["kt"], rel=0.05)
    # by hand: where lift grows by 10 and by 4 % speed falls by 1 - 1/sqrt(1.10) and 1 - 1/sqrt(1.04) of it;
    # the wing gains less, as not all of it is at its section's stall at once, by the same share of both
    falls, most = [], []
    for tier, gain in (("seconds", 0.10), ("minutes", 0.04)):
        clean = down["clean"][tier]["stall_speed"]["kt"]
        most.append(clean * (1.0 - 1.0 / math.sqrt(1.0 + gain)))
        falls.append(rows[1][tier]["fall"]["kt"])
        assert 0.4 * most[-1] < falls[-1] < most[-1]
    assert falls[0] / falls[1] == pytest.approx(most[0] / most[1], rel=0.1)
    said = " ".join(record["findings"])
    assert "they disagree: believe the smaller fall" in said
    assert "keep" not in said  # only flights can say that
    # a band at least as wide as models of turbulence differ: 6 % of lift is 3 % of speed
    speed = up["clean"]["minutes"]["stall_speed"]
    assert speed["high_kt"] / speed["kt"] == pytest.approx(1.0 / math.sqrt(1.0 - 0.06), rel=1e-6)
    assert told[-1][1] == told[-1][2]
    assert saved_second_opinion(open_project(folder)) == record


def test_every_row_of_the_sceptics_question_is_asked_about(folder: Path) -> None:
    record = verbs.second_opinion(folder, every_row=True)
    rows = record["settings"][1]["rows"]
    single = sorted(row["stations"][0] for row in rows if row["single"])
    assert {0.03, 0.05, 0.07, 0.10, 0.20} <= set(single)
    names = " ".join(row["name"] for row in rows if not row["single"])
    assert "two rows, at 5 and 17 %" in names
    assert "twice as long" in names
    assert "all turned one way" in names
    assert EDGES in record["warnings"]
    practice = {line["said"]: line for line in record["practice"]}
    full = practice["a clear gain near 25° with full flap"]
    # every row gains alike in the formula, so no place is ahead of another
    ahead = practice["rows at 3 % ahead of rows at 7 %, full flap"]
    assert ahead["seconds"]["agrees"] is False
    assert ahead["minutes"]["agrees"] is False
    assert set(full["seconds"]) == {"found", "agrees"}
    assert beside_practice([]) == []


def test_places_add_up_and_what_is_kept_is_not_computed_again(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    verbs.second_opinion(folder, stations=[0.06])

    def refuse(case: MinutesCase) -> dict[str, Any]:
        raise AssertionError(case.title)

    monkeypatch.setattr(MinutesCase, "compute", refuse)
    again = verbs.second_opinion(folder)
    assert again["stations_asked"] == [0.06]
    assert 0.06 in [row["stations"][0] for row in again["settings"][0]["rows"]]


def test_no_grid_at_a_setting_is_said_and_the_others_stand(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    computed = MinutesCase.compute

    def compute(case: MinutesCase) -> dict[str, Any]:
        if case.flap is None or case.flap.angle < 0.1:
            return computed(case)
        raise InputError(where="flap", found="it", needed="no grid")

    monkeypatch.setattr(MinutesCase, "compute", compute)
    record = verbs.second_opinion(folder)
    up, down = record["settings"]
    assert up["rows"][0]["minutes"]["fall"] is not None
    assert down["clean"]["minutes"]["cl_max"] is None
    assert "no grid" in down["clean"]["section"]["minutes_problem"]
    assert down["rows"][0]["seconds"]["fall"] is not None
    assert down["rows"][0]["minutes"]["fall"] is None
    assert "minutes tier: no gain of a row can be told" in " ".join(record["findings"])


def test_what_three_grids_leave_open_is_said(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    computed = MinutesCase.compute
    off = {"preview": 0.04, "medium": 0.01, "default": 0.0025}  # order 2 where each grid is twice as fine

    def compute(case: MinutesCase) -> dict[str, Any]:
        found = computed(case)
        if not case.rows:
            return found
        lifted = [{**p, "cl": None if p["cl"] is None else p["cl"] + off[case.grid]} for p in found["points"]]
        return {**found, "points": lifted}

    monkeypatch.setattr(MinutesCase, "compute", compute)
    record = verbs.second_opinion(folder, bands=True)
    for setting in record["settings"]:
        bands = setting["on_grids"]
        assert bands["grids"] == ["preview", "medium", "default"]
        values = bands["gain_at"][-1]["values"]
        assert values[0] - values[2] == pytest.approx(0.04 - 0.0025)
        assert values[2] - bands["gain_at"][-1]["band"] < values[2] - 0.002  # beyond what is left by hand
    assert "the grid alone leaves \u00b1" in " ".join(record["findings"])
    assert verbs.second_opinion(folder)["grid_bands"]


def test_it_is_refused_without_a_prediction_and_with_a_damaged_record(folder: Path) -> None:
    with pytest.raises(InputError, match="preview"):
        verbs.second_opinion(folder, grid="huge")
    (folder / "runs" / "second-opinion.json").write_text("{", encoding="utf-8")
    with pytest.raises(InputError, match="damaged"):
        verbs.second_opinion(folder)
    (folder / "runs" / "prediction.json").unlink()
    with pytest.raises(InputError, match="slowflight predict"):
        verbs.second_opinion(folder)


def test_a_case_computes_what_the_solver_says_and_tells_why_no_grid_can_be_made() -> None:
    section = naca_section("naca4412")
    bare = SectionCase(section=section, chord=1.4, reynolds_at_unit_lift=2e6, angles_deg=(0.0,))
    case = of_section(bare, reynolds=1.5e6, angles_deg=(4.0,), grid="preview")
    found = case.decode(case.encode(case.compute()))
    same = rans_lift_curve(section, reynolds=1.5e6, angles_deg=[4.0], grid="preview").points[0]
    assert found["points"][0]["converged"]
    assert found["points"][0]["cl"] == pytest.approx(same.cl, abs=1e-9)
    # the seconds tier's own settings make no other case of it, another Reynolds number does
    tripped = SectionCase(
        section=section, chord=1.5, reynolds_at_unit_lift=3e6, angles_deg=(1.0,), transition=(0.01, 0.01)
    )
    alike = of_section(tripped, reynolds=1.5e6, angles_deg=(4.0,), grid="preview")
    other = of_section(bare, reynolds=1.6e6, angles_deg=(4.0,), grid="preview")
    assert alike.key == case.key != other.key
    refused = of_section(
        SectionCase(section=section, chord=1.5, reynolds_at_unit_lift=3e6, angles_deg=(1.0,), flap=UNDER),
        reynolds=1.5e6, angles_deg=(4.0, 6.0), grid="preview",
    )  # fmt: skip
    told = refused.decode(refused.encode(refused.compute()))
    assert told["problem"]
    assert [point["converged"] for point in told["points"]] == [False, False]
