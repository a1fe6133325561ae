"""What leaves the desk and what is opened at it, on the wire."""

from __future__ import annotations

import io
import json
import re
import time
import zipfile
from pathlib import Path

import pytest

from slowflight.project import write_demo
from tests.desk.desk_server import Desk, desk_on
from tests.report.example import prediction, save_field


@pytest.fixture(scope="module", name="predicted")
def fixture_predicted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shared") / "own"
    write_demo(folder)
    (folder / "runs").mkdir()
    record = prediction()
    for pair in record["pictures"]:
        pair["flap_deg"] = record["settings"][0]["flap_deg"]
    (folder / "runs" / "prediction.json").write_text(json.dumps(record), encoding="utf-8")
    return folder


def test_a_project_goes_out_as_one_file_and_opens_in_an_empty_folder(predicted: Path, tmp_path: Path) -> None:
    with desk_on(predicted) as desk:
        sent = desk.ask("GET", "/share/project.zip")
        refused = desk.send("/open", {"file": ("own.zip", sent.content)})
    assert "own.zip" in sent.headers["content-disposition"]
    assert "nothing is overwritten" in refused.text
    assert desk.token.encode() not in sent.content
    with zipfile.ZipFile(io.BytesIO(sent.content)) as archive:
        assert "not approved" in archive.read("READ-FIRST.txt").decode()
    with desk_on(tmp_path / "other") as desk:
        opened = desk.send("/open", {"file": ("../../own.zip", sent.content)})
        assert "Opened" in opened.text
        assert "Worth a trial" in desk.ask("GET", "/prediction").text
        assert not list((tmp_path / "other" / "desk" / "uploads").iterdir())


def test_a_file_made_to_harm_is_refused_in_words(tmp_path: Path) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("wing.toml", "")
        archive.writestr("../evil.csv", "evil")
    with desk_on(tmp_path / "empty") as desk:
        for content, said in ((buffer.getvalue(), "leads out of the folder"), (b"x", "no readable zip")):
            answer = desk.send("/open", {"file": ("own.zip", content)})
            assert answer.status == 200
            assert said in answer.text
        assert desk.ask("GET", "/share/project.zip").status == 409
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["desk", "empty", "uploads"]


def test_films_that_are_none_and_beginnings_that_are_no_number_are_refused(predicted: Path) -> None:
    with desk_on(predicted) as desk:
        two = {"before": ("a.mp4", b"x"), "after": ("b.mp4", b"x")}
        assert "needs seconds" in desk.send("/share/films", two, before_from="soon").text
        bad = {"before": ("a.exe", b"x"), "after": ("b.mp4", b"x")}
        assert "needs .mp4" in desk.send("/share/films", bad).text
        assert not (predicted / "desk" / "uploads" / "a.exe").exists()


def test_a_clip_is_asked_for_made_and_shown(predicted: Path) -> None:
    for name in ("clean.npz", "vanes.npz"):
        save_field(predicted / "runs" / name)
    with desk_on(predicted) as desk:
        desk.post("/share/clip")
        for _ in range(600):
            state = json.loads(desk.ask("GET", "/state").text)
            if state["state"] not in ("starting", "running"):
                break
            time.sleep(0.2)
        assert state["state"] == "done", state["message"]
        page = desk.ask("GET", "/decision").text
        name = re.findall(r'href="(/file/share/[^"]+wide\.gif)"', page)[0]
        assert desk.ask("GET", name).content.startswith(b"GIF89a")


def test_no_unknown_thing_is_shared(desk: Desk) -> None:
    for name in ("..", "project.tar", "wing.toml", "%2e%2e%2fwing.toml"):
        assert desk.ask("GET", f"/share/{name}").status in (404, 422)
