"""What leaves the desk and what is opened at it, on the wire."""

from __future__ import annotations

import io
import json
import re
import shutil
import zipfile
from pathlib import Path

import pytest

from slowflight.project import write_demo
from slowflight.report.shared_files import note_made
from slowflight.verbs.flying_demo import invent_flights
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
        assert not list((predicted / "desk" / "uploads").iterdir())


def test_films_are_taken_away_once_they_are_used_or_refused(predicted: Path) -> None:
    with desk_on(predicted) as desk:
        two = {"before": ("a.mp4", b"no film"), "after": ("b.mp4", b"no film either")}
        desk.send("/share/films", two)
        desk.wait("refused")
        assert not list((predicted / "desk" / "uploads").iterdir())


def test_logs_are_in_the_project_and_no_longer_among_what_was_sent(tmp_path: Path) -> None:
    write_demo(tmp_path / "from")
    invent_flights(tmp_path / "from")
    log = (tmp_path / "from" / "flights" / "logs" / "before-1.csv").read_bytes()
    write_demo(tmp_path / "to")
    with desk_on(tmp_path / "to") as desk:
        given = {"side": "before", "mass": "550 kg", "confirm": "yes"}
        desk.send("/upload/logs", {"files": ("monday.csv", log)}, **given)
        desk.wait()
        assert (tmp_path / "to" / "flights" / "logs" / "monday.csv").read_bytes() == log
        assert not list((tmp_path / "to" / "desk" / "uploads").iterdir())
        # In the project's one file too, from which an upload is left out.
        sent = desk.ask("GET", "/share/project.zip").content
        with zipfile.ZipFile(io.BytesIO(sent)) as archive:
            assert any(name.endswith("flights/logs/monday.csv") for name in archive.namelist())


def test_what_was_drawn_of_an_older_prediction_says_so(predicted: Path, tmp_path: Path) -> None:
    folder = tmp_path / "own"
    shutil.copytree(predicted, folder)
    place = folder / "runs" / "prediction.json"
    record = json.loads(place.read_text(encoding="utf-8"))
    share = folder / "share"
    share.mkdir(exist_ok=True)
    (share / "sweep-wide.gif").write_bytes(b"GIF89a")
    note_made(share, ["sweep-wide.gif"], record, kind="prediction")
    with desk_on(folder) as desk:
        assert "of an older prediction" not in desk.ask("GET", "/decision").text
        place.write_text(json.dumps({**record, "predicted_on": "2026-01-01"}), encoding="utf-8")
        assert "of an older prediction" not in desk.ask("GET", "/decision").text  # the same on another day
        place.write_text(json.dumps({**record, "decided_at_deg": 99.0}), encoding="utf-8")
        assert "of an older prediction" in desk.ask("GET", "/decision").text


def test_a_clip_is_asked_for_made_and_shown(predicted: Path) -> None:
    for name in ("clean.npz", "vanes.npz"):
        save_field(predicted / "runs" / name)
    with desk_on(predicted) as desk:
        desk.post("/share/clip")
        desk.wait()
        page = desk.ask("GET", "/decision").text
        name = re.findall(r'href="(/file/share/[^"]+wide\.gif)"', page)[0]
        assert desk.ask("GET", name).content.startswith(b"GIF89a")


def test_no_unknown_thing_is_shared(desk: Desk) -> None:
    for name in ("..", "project.tar", "wing.toml", "%2e%2e%2fwing.toml"):
        assert desk.ask("GET", f"/share/{name}").status in (404, 422)
