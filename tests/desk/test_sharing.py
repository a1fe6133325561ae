"""What leaves the desk and what is opened at it, on the wire."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import pytest

from slowflight.project import write_demo
from tests.desk.desk_server import Desk, desk_on
from tests.report.example import prediction


@pytest.fixture(scope="module", name="predicted")
def fixture_predicted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shared") / "own"
    write_demo(folder)
    (folder / "runs").mkdir()
    (folder / "runs" / "prediction.json").write_text(json.dumps(prediction()), encoding="utf-8")
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


def test_no_unknown_thing_is_shared(desk: Desk) -> None:
    for name in ("..", "project.tar", "wing.toml", "%2e%2e%2fwing.toml"):
        assert desk.ask("GET", f"/share/{name}").status in (404, 422)
