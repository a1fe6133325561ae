"""Runs beside the desk: they outlive it, can be called off, and never two at once."""

import json
import time
from pathlib import Path

import pytest

from slowflight.desk.runs import GOING, SILENT, call_off, run_state, start_run, write_state
from slowflight.errors import InputError
from slowflight.project import write_demo
from slowflight.wing.wing_file import read_wing_file
from tests.desk.desk_server import desk_on
from tests.report.example import prediction

PATIENCE = 240.0


def wait_for_end(folder: Path) -> dict[str, object]:
    begun = time.monotonic()
    while time.monotonic() - begun < PATIENCE:
        state = run_state(folder)
        if state is not None and state["state"] not in GOING:
            return state
        time.sleep(0.2)
    raise AssertionError("the run does not end")


def test_a_run_outlives_the_desk_and_the_next_desk_knows_it(tmp_path: Path) -> None:
    write_demo(tmp_path)
    with desk_on(tmp_path) as desk:
        desk.post("/run/invent")
        desk.process.kill()
    assert wait_for_end(tmp_path)["state"] == "done"
    with desk_on(tmp_path) as desk:
        assert json.loads(desk.ask("GET", "/state").text)["state"] == "done"
        page = desk.ask("GET", "/flights").text
        assert "before-1" in page
        assert "INVENTED" in page
        decision = desk.ask("GET", "/decision").text
        assert "MEASURED" in decision
        struck = desk.post("/stall/strike", flight="before-1", number="1", reason="gust")
        assert struck.status == 200
        assert wait_for_end(tmp_path)["state"] == "done"
        record = json.loads((tmp_path / "flights" / "flights.json").read_text(encoding="utf-8"))
        assert record["flights"][0]["stalls"][0]["accepted"] is False
        assert "Struck" in desk.ask("GET", "/flights").text
        assert "made to please" in desk.post("/stall/strike", flight="before-1", number="2", reason=" ").text


def test_a_run_is_called_off_and_says_so(tmp_path: Path) -> None:
    write_demo(tmp_path)
    start_run(tmp_path, "predict")
    with pytest.raises(InputError, match="one thing at a time"):
        start_run(tmp_path, "predict")
    call_off(tmp_path)
    state = wait_for_end(tmp_path)
    assert state["state"] == "cancelled"
    assert not (tmp_path / "runs" / "prediction.json").exists()


def test_a_run_that_fell_silent_is_called_stopped(tmp_path: Path) -> None:
    note = {
        "id": "1",
        "kind": "predict",
        "state": "running",
        "what": "",
        "done": 3,
        "total": 9,
        "message": "",
    }
    write_state(tmp_path, {**note, "written": time.time()})
    known = run_state(tmp_path)
    assert known is not None
    assert known["state"] == "running"
    write_state(tmp_path, {**note, "written": time.time() - SILENT - 1.0})
    silent = run_state(tmp_path)
    assert silent is not None
    assert silent["state"] == "stopped"
    assert "go on" in silent["message"]


def test_a_place_joins_those_tried_and_is_computed(tmp_path: Path) -> None:
    write_demo(tmp_path)
    (tmp_path / "runs").mkdir()
    (tmp_path / "runs" / "prediction.json").write_text(json.dumps(prediction()), encoding="utf-8")
    with desk_on(tmp_path) as desk:
        before = (tmp_path / "wing.toml").read_bytes()
        for outside in ("0.95", "-1", "nan", "inf", "x", ""):
            assert "one between those computed" in desk.post("/place", station=outside).text
        assert (tmp_path / "wing.toml").read_bytes() == before
        page = desk.post("/place", station="0.081")
        assert "8.1 % of chord is added" in page.text
        tried = read_wing_file(tmp_path / "wing.toml").question.positions
        assert 0.081 in [pytest.approx(one) for one in tried]
        stations = prediction()["settings"][0]["gain_tables"][0]["stations"]
        assert len(tried) == len(stations) + 1
        assert "going on" in desk.post("/place", station="0.082").text
        desk.post("/cancel")
        assert wait_for_end(tmp_path)["state"] == "cancelled"


def test_a_refused_run_says_why_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "wing.toml").write_text('[aircraft]\nmass = "54"\n', encoding="utf-8")
    start_run(tmp_path, "predict")
    state = wait_for_end(tmp_path)
    assert state["state"] == "refused"
    assert "wing.toml" in str(state["message"])


@pytest.mark.parametrize("text", ["", "{", "[]", '{"kind": "rm -rf"}', "\x00"])
def test_a_damaged_note_stops_no_page(tmp_path: Path, text: str) -> None:
    (tmp_path / "desk").mkdir()
    (tmp_path / "desk" / "run.json").write_text(text, encoding="utf-8")
    assert run_state(tmp_path) is None
