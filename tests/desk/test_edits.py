"""Answers at the desk: what gets into wing.toml, what stays, and what two pages do to each other."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from slowflight.project import write_demo
from tests.desk.desk_server import Desk, desk_on


@pytest.fixture(scope="module", name="running")
def fixture_running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with desk_on(tmp_path_factory.mktemp("edits") / "own") as found:
        yield found


@pytest.fixture(name="edited")
def fixture_edited(running: Desk) -> Desk:
    """The same desk, its folder as new."""
    for name in ("wing.toml", "rib.csv"):
        (running.folder / name).unlink(missing_ok=True)
    for kept in (running.folder / "desk" / "history").glob("*"):
        kept.unlink()
    write_demo(running.folder)
    return running


def wing(desk: Desk) -> str:
    return (desk.folder / "wing.toml").read_text(encoding="utf-8")


def test_one_answer_changes_one_value_and_every_remark_stays(edited: Desk) -> None:
    before = wing(edited)
    page = edited.post("/save", **{**edited.form("/wing"), "aircraft.mass": "560 kg"})
    assert "Saved: aircraft.mass" in page.text
    assert wing(edited) == before.replace('"535 to 555 kg"', '"560 kg"')


def test_undo_goes_back_step_by_step_to_the_very_bytes(edited: Desk) -> None:
    before = (edited.folder / "wing.toml").read_bytes()
    edited.post("/save", **{**edited.form("/wing"), "aircraft.mass": "560 kg"})
    middle = wing(edited)
    edited.post("/save", **{**edited.form("/wing"), "wing.span": "9.4 m"})
    edited.post("/undo", version=edited.form("/wing")["version"])
    assert wing(edited) == middle
    edited.post("/undo", version=edited.form("/wing")["version"])
    assert (edited.folder / "wing.toml").read_bytes() == before


def test_the_second_of_two_pages_overwrites_nothing_and_loses_nothing(edited: Desk) -> None:
    first, second = edited.form("/wing"), edited.form("/wing")
    edited.post("/save", **{**first, "aircraft.mass": "560 kg"})
    saved = wing(edited)
    page = edited.post("/save", **{**second, "wing.span": "9.4 m"})
    assert wing(edited) == saved
    assert "a change made elsewhere" in page.text
    assert 'value="9.4 m"' in page.text  # still there to be saved
    again = edited.form("/wing")
    edited.post("/save", **{**again, "wing.span": "9.4 m"})
    assert '"560 kg"' in wing(edited)
    assert '"9.4 m"' in wing(edited)


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [("aircraft.mass", "54", "unit"), ("wing.span", "93 m", "wing.span"), ("flap.settings", "[1", "list")],
)
def test_an_answer_that_makes_no_sense_is_refused_and_shown_again(
    edited: Desk, key: str, value: str, says: str
) -> None:
    before = wing(edited)
    page = edited.post("/save", **{**edited.form("/wing"), key: value})
    assert wing(edited) == before
    assert says in page.text
    assert f'value="{value}"' in page.text
    assert "wing-draft" not in page.text
    assert not list(edited.folder.glob(".wing-draft*"))


def test_a_script_in_a_name_is_only_a_name(edited: Desk) -> None:
    name = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
    edited.post("/save", **{**edited.form("/wing"), "aircraft.name": name})
    for path in ("/wing", "/question", "/prediction", "/layout", "/flights", "/decision", "/nonsense"):
        page = edited.ask("GET", path).text
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "&lt;script&gt;alert" in page


def test_a_copy_is_whole_and_an_old_one_is_never_overwritten(edited: Desk) -> None:
    page = edited.post("/copy", name="../../second try")
    copied = edited.folder.parent / "second-try"
    assert "second-try" in page.text
    assert (copied / "wing.toml").read_bytes() == (edited.folder / "wing.toml").read_bytes()
    assert "a folder of that name" in edited.post("/copy", name="second try").text


def test_the_first_question_makes_a_wing_that_can_be_read(edited: Desk) -> None:
    from slowflight.wing.wing_file import read_wing_file

    (edited.folder / "wing.toml").unlink()
    answers = {
        "name": "Ours", "span": "30 ft 6 in", "chord": "54 in", "mass": "1190 lb", "slowest": "36 mph",
        "attitude": "12 deg", "flap": "plain", "settings": '["0 deg", "20 deg"]',
    }  # fmt: skip
    refused = edited.post("/first", **{**answers, "span": "9"})
    assert 'role="alert"' in refused.text
    assert 'value="54 in"' in refused.text
    assert not (edited.folder / "wing.toml").exists()
    page = edited.post("/first", **answers)
    assert "look-alike" in page.text
    found = read_wing_file(edited.folder / "wing.toml")
    assert found.aircraft.name == "Ours"
    assert found.wing.span == pytest.approx(30.5 * 0.3048)  # international foot


def send_file(desk: Desk, path: str, *, name: str, content: bytes, **values: str) -> str:
    edge = "edge-of-a-part"
    parts = b"".join(
        f'--{edge}\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{value}\r\n'.encode()
        for key, value in values.items()
    )
    field = "file" if path.endswith("rib") else "files"
    head = f'--{edge}\r\nContent-Disposition: form-data; name="{field}"; filename="{name}"\r\n\r\n'.encode()
    body = parts + head + content + f"\r\n--{edge}--\r\n".encode()
    answer = desk.ask(
        "POST", path, body=body, headers={"Content-Type": f"multipart/form-data; boundary={edge}"}
    )
    assert answer.status == 303, answer.text
    return desk.ask("GET", answer.headers["location"]).text


@pytest.mark.parametrize(
    "name",
    [
        "../../../evil.csv",
        "..\\..\\evil.csv",
        "/etc/evil.csv",
        "evil\x01;$(touch x).csv",
        ".wing.csv",
        "é" * 300 + ".csv",
    ],
)
def test_a_hostile_file_name_stays_in_the_folder(edited: Desk, name: str) -> None:
    outside = set(edited.folder.parent.iterdir())
    version = edited.form("/wing")["version"]
    rib = (edited.folder / "rib.csv").read_bytes()
    text = send_file(edited, "/upload/rib", name=name, content=rib, version=version)
    assert "is the section now" in text
    assert set(edited.folder.parent.iterdir()) == outside
    for kept in (edited.folder / "desk" / "uploads").iterdir():
        assert kept.is_file()
        assert not kept.name.startswith(".")
        kept.unlink()


def test_a_file_that_is_no_outline_changes_nothing(edited: Desk) -> None:
    before = wing(edited)
    version = edited.form("/wing")["version"]
    text = send_file(edited, "/upload/rib", name="x.csv", content=b"\x00\xff" * 50, version=version)
    assert 'role="alert"' in text
    assert wing(edited) == before
    assert not (edited.folder / "x.csv").exists()


@pytest.mark.parametrize(
    "path",
    [
        "/file/layout/..%2f..%2fwing.toml",
        "/file/runs/x",
        "/file/flights/%00",
        "/file/../wing.toml",
        "/file/layout/" + "a" * 5000,
    ],
)
def test_no_file_outside_what_may_be_sent_is_sent(edited: Desk, path: str) -> None:
    answer = edited.ask("GET", path)
    assert answer.status == 404
    assert "[aircraft]" not in answer.text


def test_flights_are_invented_only_for_the_invented_aircraft(edited: Desk) -> None:
    edited.post("/save", **{**edited.form("/wing"), "aircraft.name": "Ours"})
    page = edited.post("/run/invent")
    assert "another aircraft" in page.text
    assert not (edited.folder / "flights").exists()


def test_every_stage_says_what_to_do_while_it_is_empty(edited: Desk) -> None:
    assert "Predict" in edited.ask("GET", "/prediction").text
    assert "Predict first" in edited.ask("GET", "/layout").text
    assert "take in logs above" in edited.ask("GET", "/flights").text
    assert "Take in flights before and after" in edited.ask("GET", "/decision").text


def test_a_folder_that_is_no_project_begins_one(tmp_path: Path) -> None:
    with desk_on(tmp_path / "new") as desk:
        assert desk.ask("GET", "/").headers["location"] == "/start"
        page = desk.ask("GET", "/start").text
        assert "First question first" in page
        assert "invented two-seater" in page
