"""`demo`, `predict`, `layout` and `report` as they are typed: what they print, and what a slip says."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from slowflight.cli.app import run
from slowflight.cli.prediction_output import print_prediction
from slowflight.project import write_demo
from tests.report.example import prediction
from tests.verbs.test_predicting import project

Printed = pytest.CaptureFixture[str]


@pytest.fixture(scope="module")
def predicted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = project(tmp_path_factory.mktemp("cli") / "wing")
    assert run(["predict", str(folder), "--scheduler", "serial"]) == 0
    return folder


def only_line(text: str) -> str:
    (line,) = text.strip().splitlines()
    return line


def test_prediction_says_the_attitude_before_any_speed(predicted: Path, capsys: Printed) -> None:
    assert run(["predict", str(predicted), "--scheduler", "serial"]) == 0
    printed = capsys.readouterr().out
    assert printed.index("gear stops you first") < re.search(r"\d kt", printed).start()  # type: ignore[union-attr]
    assert "(predicted, integral tier)" in printed
    assert "Flap 25 deg: not yet predicted" in printed
    assert "Caution: Slow flight and stalls kill." in printed
    assert "uncalibrated" in printed
    assert "Source: " in printed


def printed(record: dict[str, Any], capsys: Printed) -> str:
    print_prediction(record, sources=[])
    return capsys.readouterr().out


def test_what_tells_on_the_fall_alone_is_to_be_measured_too(capsys: Printed) -> None:
    """The height of the vanes does nothing to the clean wing, and may decide what they are worth."""
    record = prediction()
    entry = {
        "name": "height of the vanes", "band_removed_kt": 0.0, "fall_band_removed_kt": 0.6,
        "measure": "calipers on ten vanes as made",
    }  # fmt: skip
    nothing = {**entry, "name": "span", "fall_band_removed_kt": 0.01}
    record["measure_next"] = [entry, nothing]
    text = printed({**record, "settings": []}, capsys)
    assert "Measure next: height of the vanes, 0.0 kt of the stall speed's band and 0.6 kt of" in text
    assert "Measure next: span" not in text


def test_a_row_that_is_asked_about_is_answered_good_or_bad(capsys: Printed) -> None:
    record = prediction()
    setting = {**record["settings"][0], "panel": "x"}
    bad = {**setting["best"], "candidate": "mine", "fall": {"kt": -0.4, "low_kt": -0.8, "high_kt": 0.0}}
    mute = {**setting["best"], "candidate": "other", "fall": None, "warnings": ["no maximum"]}
    record["settings"] = [{**setting, "as_written": [bad, mute]}]
    text = printed(record, capsys)
    assert "Row as written in wing.toml: mine, 8.0 mm high at 10 % of chord: does not lower the stall" in text
    assert "speed, it RISES by 0.4 kt (0.0 to 0.8)" in text
    assert "Row as written in wing.toml: other, 8.0 mm high at 10 % of chord: no answer (no maximum)" in text


def test_calibrated_airspeed_is_not_taken_for_a_calibrated_prediction(capsys: Printed) -> None:
    record = prediction()
    record["settings"] = [{**record["settings"][0], "panel": "your panel is not calibrated there"}]
    text = printed(record, capsys)
    assert "predicted stall speed clean 40.9 kt (39.2 to 42.6), as calibrated airspeed" in text
    assert "predicted with the row at 10 % 38.7 kt (36.7 to 40.8)" in text
    assert not re.search(r"\), calibrated", text)


def test_prediction_as_json_has_what_programs_rely_on(predicted: Path, capsys: Printed) -> None:
    assert run(["predict", str(predicted), "--scheduler", "serial", "--json"]) == 0
    record: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert record["verdict"]["finding"] in ("worth a trial", "not worth it", "cannot tell")
    setting = record["settings"][0]
    for name in ("stall_speed_clean", "stall_speed_vanes"):
        assert set(setting[name]) == {"m_s", "kt", "low_kt", "high_kt"}
    assert isinstance(setting["ties"], list)
    table = setting["gain_tables"][0]
    assert len(table["gain"]) == len(table["stations"])
    assert {len(line) for line in table["gain"]} == {len(table["angles_deg"])}


def test_layout_and_report_follow(predicted: Path, capsys: Printed) -> None:
    assert run(["layout", str(predicted), "--json"]) == 0
    laid = json.loads(capsys.readouterr().out)
    keys = {"side", "span_position_mm", "hand", "chord_distance_mm", "skin_distance_mm", "toe_deg"}
    assert all(keys <= set(vane) for vane in laid["vanes"])
    assert all(Path(file).is_file() for file in laid["files"])
    assert run(["layout", str(predicted)]) == 0
    printed = capsys.readouterr().out
    assert "along the skin" in printed
    assert "Caution: " in printed
    assert run(["report", str(predicted)]) == 0
    assert Path(only_line(capsys.readouterr().out)).is_file()


@pytest.mark.parametrize("command", ["predict", "layout", "report"])
def test_no_project_is_one_line(command: str, tmp_path: Path, capsys: Printed) -> None:
    assert run([command, str(tmp_path)]) == 2
    assert "wing.toml" in only_line(capsys.readouterr().err)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["layout", "report"])
def test_nothing_predicted_yet_is_one_line(command: str, tmp_path: Path, capsys: Printed) -> None:
    folder = project(tmp_path / "wing")
    assert run([command, str(folder)]) == 2
    assert "slowflight predict" in only_line(capsys.readouterr().err)
    assert [path.name for path in folder.iterdir()] == ["wing.toml"]


def test_unknown_scheduler_is_one_line(tmp_path: Path, capsys: Printed) -> None:
    assert run(["predict", str(project(tmp_path / "wing")), "--scheduler", "moon"]) == 2
    assert "--scheduler" in only_line(capsys.readouterr().err)


def test_demo_leaves_another_project_alone(tmp_path: Path, capsys: Printed) -> None:
    folder = project(tmp_path / "wing")
    before = (folder / "wing.toml").read_bytes()
    assert run(["demo", str(folder)]) == 2
    assert "wing.toml" in only_line(capsys.readouterr().err)
    assert (folder / "wing.toml").read_bytes() == before
    assert [path.name for path in folder.iterdir()] == ["wing.toml"]


def test_stopped_run_says_how_to_go_on(
    tmp_path: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("slowflight.verbs.prediction_settings.pool.run", stop)
    write_demo(tmp_path / "demo")
    assert run(["predict", str(tmp_path / "demo"), "--scheduler", "serial"]) == 130
    assert "goes on from there" in only_line(capsys.readouterr().err)
