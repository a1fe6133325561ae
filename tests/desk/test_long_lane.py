"""The minutes tier beside the desk: a lane of its own, a line before it, nothing lost by a stop."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from slowflight.desk.line import answered, ask, forget, waiting
from slowflight.desk.runs import LONG, forget_ended, run_state, start_run, write_state
from slowflight.errors import InputError
from slowflight.project import write_demo
from tests.desk.desk_server import desk_on
from tests.report.example import opinion, prediction


def note(kind: str, state: str) -> dict[str, object]:
    return {
        "id": "1", "kind": kind, "state": state, "what": "lift curves", "done": 2, "total": 9,
        "left_s": 600.0, "message": "", "begun": time.time(), "written": time.time() + 60.0,
    }  # fmt: skip


def test_a_long_run_stands_in_nobodys_way(tmp_path: Path) -> None:
    write_demo(tmp_path)
    write_state(tmp_path, note("second", "running"))
    assert run_state(tmp_path) is None
    known = run_state(tmp_path, LONG)
    assert known is not None
    assert known["name"] == "the minutes tier"
    with pytest.raises(InputError, match="one thing at a time"):
        start_run(tmp_path, "second")
    with desk_on(tmp_path) as desk:
        assert "lift curves" in desk.ask("GET", "/wing").text
        desk.post("/run/layout")  # refused by its verb, for want of a prediction, not by the long run
        begun = time.monotonic()
        while (json.loads(desk.ask("GET", "/state").text) or {}).get("state") not in ("refused", "done"):
            assert time.monotonic() - begun < 60.0
            time.sleep(0.1)
        assert run_state(tmp_path, LONG) == known
    forget_ended(tmp_path, LONG)
    assert run_state(tmp_path, LONG) is not None  # it is going on
    write_state(tmp_path, note("second", "cancelled"))
    forget_ended(tmp_path, LONG)
    assert run_state(tmp_path, LONG) is None


def test_what_is_asked_meanwhile_stands_in_line_until_it_is_answered(tmp_path: Path) -> None:
    assert waiting(tmp_path) is None
    ask(tmp_path, station=0.05)
    first = waiting(tmp_path)
    assert first is not None
    ask(tmp_path, station=0.08)
    ask(tmp_path, station=0.05)
    ask(tmp_path, every_row=True)
    second = waiting(tmp_path)
    assert second is not None
    assert (second.stations, second.every_row) == ((0.05, 0.08), True)
    answered(first)
    left = waiting(tmp_path)
    assert left is not None
    # the place that was asked for again meanwhile stays: it is kept, and costs nothing to answer
    assert (left.stations, left.every_row) == ((0.05, 0.08), True)
    answered(second)
    assert waiting(tmp_path) is None
    answered(first)
    ask(tmp_path)
    forget(tmp_path)
    forget(tmp_path)
    assert waiting(tmp_path) is None
    (tmp_path / "desk" / "asked-1.json").write_text('{"station": "no"}', encoding="utf-8")
    assert waiting(tmp_path) is None


def test_asking_needs_a_prediction_and_a_place_where_a_vane_can_stand(tmp_path: Path) -> None:
    write_demo(tmp_path)
    with desk_on(tmp_path) as desk:
        assert "no prediction" in desk.post("/second").text
        (tmp_path / "runs").mkdir()
        (tmp_path / "runs" / "prediction.json").write_text(json.dumps(prediction()), encoding="utf-8")
        for station in ("2", "-0.1", "nan", "over there"):
            assert "share of the chord" in desk.post("/second", station=station).text
        assert waiting(tmp_path) is None
        write_state(tmp_path, note("second", "running"))
        assert "In line" in desk.post("/second", station="0.0612").text
        assert "the row at 6.1 %" in desk.ask("GET", "/prediction").text
        now = waiting(tmp_path)
        assert now is not None
        assert (now.stations, now.every_row) == ((0.0612,), False)
        write_state(tmp_path, note("second", "cancelled"))
        assert "Go on with it" in desk.ask("GET", "/prediction").text
        assert "kept" in desk.post("/second/forget").text
        assert waiting(tmp_path) is None


def test_the_page_shows_both_tiers_and_the_live_numbers_carry_the_second(tmp_path: Path) -> None:
    write_demo(tmp_path)
    (tmp_path / "runs").mkdir()
    for name, record in (("prediction", prediction()), ("second-opinion", opinion())):
        (tmp_path / "runs" / f"{name}.json").write_text(json.dumps(record), encoding="utf-8")
    with desk_on(tmp_path) as desk:
        page = desk.ask("GET", "/prediction").text
        assert "A second opinion" in page
        assert opinion()["findings"][0] in page
        assert desk.ask("GET", "/picture/two-tiers").status == 200
        live = json.loads(desk.ask("GET", "/live").text)
        assert live["grid"] == "preview"
        assert [one["minutes"] is not None for one in live["settings"]] == [True] * len(live["settings"])
        # a record about another wing file is shown as old, and not in the live numbers
        other = {**opinion(), "made_from": {"wing": "another"}}
        (tmp_path / "runs" / "second-opinion.json").write_text(json.dumps(other), encoding="utf-8")
        live = json.loads(desk.ask("GET", "/live").text)
        assert [one["minutes"] for one in live["settings"]] == [None] * len(live["settings"])
