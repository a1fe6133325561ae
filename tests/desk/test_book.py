"""Answers to flights.toml at the desk: what gets in, what stays, and what two pages do to each other."""

from __future__ import annotations

import json
import re
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from slowflight.desk.runs import state_file, write_state
from slowflight.project import write_demo
from slowflight.verbs import fly, strike_stall
from slowflight.verbs.flying_demo import invent_flights
from tests.desk.desk_server import Desk, desk_on

PAGE = "/flights/answers"


@pytest.fixture(scope="module", name="running")
def fixture_running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = tmp_path_factory.mktemp("book") / "own"
    write_demo(folder)
    invent_flights(folder)
    with desk_on(folder) as found:
        yield found


@pytest.fixture(scope="module", name="untouched")
def fixture_untouched(running: Desk) -> bytes:
    return (running.folder / "flights" / "flights.toml").read_bytes()


@pytest.fixture(name="edited")
def fixture_edited(running: Desk, untouched: bytes) -> Desk:
    """The same desk, its book as new."""
    (running.folder / "flights" / "flights.toml").write_bytes(untouched)
    for kept in (running.folder / "desk" / "history-flights").glob("*"):
        kept.unlink()
    return running


def book(desk: Desk) -> str:
    return (desk.folder / "flights" / "flights.toml").read_text(encoding="utf-8")


def version(desk: Desk) -> str:
    return desk.form(PAGE)["version"]


def test_an_answer_changes_one_value_and_every_remark_stays(edited: Desk) -> None:
    before = book(edited)
    page = edited.post("/book/save", version=version(edited), **{"flight.1.mass": "1210 lb"})
    assert "Saved: flight.1.mass" in page.text
    assert book(edited) == before.replace('mass = "549 kg"', 'mass = "1210 lb"', 1)


def test_yes_no_and_counts_stand_in_the_file_as_such(edited: Desk) -> None:
    answers = {"handling.1.warning": "no", "rules.looks": "2", "handling.1.shake": "control or tail"}
    edited.post("/book/save", version=version(edited), **answers)
    found = tomllib.loads(book(edited))
    assert found["handling"][1]["warning"] is False
    assert found["rules"]["looks"] == 2
    assert found["handling"][1]["shake"] == "control or tail"


def test_what_is_no_longer_said_is_not_flown_and_never_fine(edited: Desk) -> None:
    edited.post("/book/save", version=version(edited), **{"handling.1.warning": ""})
    assert tomllib.loads(book(edited))["handling"][1]["warning"] == "unknown"
    assert edited.ask("GET", PAGE).text.count('aria-invalid="true"') == 0


def test_each_answer_that_makes_no_sense_has_a_message_of_its_own(edited: Desk) -> None:
    before = book(edited)
    answers = {"flight.0.mass": "54", "flight.2.fuel_burn": "much", "flight.1.notes": "bumpy"}
    page = edited.post("/book/save", version=version(edited), **answers).text
    assert book(edited) == before
    wrong = re.findall(r'<p class="wrong" id="[^"]*">([^<]*)</p>', page)
    assert len(wrong) == 2
    assert "before-1" in wrong[0]
    assert "mass" in wrong[0]
    assert "before-3" in wrong[1]
    assert 'value="bumpy"' in page  # typed, not lost
    assert "-draft" not in page
    assert not list((edited.folder / "flights").glob(".*draft*"))


def test_the_second_of_two_pages_overwrites_nothing_and_loses_nothing(edited: Desk) -> None:
    first = second = version(edited)
    edited.post("/book/save", version=first, **{"flight.0.pilot": "AB"})
    saved = book(edited)
    page = edited.post("/book/save", version=second, **{"flight.0.pilot": "CD"}).text
    assert book(edited) == saved
    assert "a change made elsewhere" in page
    assert 'value="CD"' in page


def test_undo_goes_back_step_by_step_to_the_very_bytes(edited: Desk, untouched: bytes) -> None:
    edited.post("/book/save", version=version(edited), **{"flight.0.pilot": "AB"})
    middle = book(edited)
    edited.post("/book/save", version=version(edited), **{"flight.0.pilot": "CD"})
    edited.post("/book/undo", version=version(edited))
    assert book(edited) == middle
    edited.post("/book/undo", version=version(edited))
    assert book(edited).encode() == untouched
    assert "no step to go back" in edited.post("/book/undo", version=version(edited)).text


def test_a_step_back_never_takes_a_strike_with_it(edited: Desk) -> None:
    edited.post("/book/save", version=version(edited), **{"flight.0.pilot": "AB"})
    strike_stall(edited.folder, "before-1", 2, reason="gust")
    struck = book(edited)
    page = edited.post("/book/undo", version=version(edited)).text
    assert "not made by this form" in page
    assert book(edited) == struck


def test_a_run_is_added_below_the_others_and_a_bad_one_is_not(edited: Desk) -> None:
    before = book(edited)
    run = {"flight": "after-2", "true_speed": "95 mph", "fuel_flow": "18 l/h", "height": "3000 ft"}
    refused = edited.post("/book/add/cruise", version=version(edited), **run, temperature="9").text
    assert book(edited) == before
    assert 'role="alert"' in refused
    assert 'value="95 mph"' in refused
    page = edited.post("/book/add/cruise", version=version(edited), **run, temperature="9 C").text
    assert "Cruise run added" in page
    assert book(edited).startswith(before)
    assert tomllib.loads(book(edited))["cruise"][-1] == {**run, "temperature": "9 C"}


def test_no_answer_reaches_what_the_page_does_not_ask(edited: Desk) -> None:
    before = book(edited)
    for key in ("flight.0.log", "flight.0.sha256", "flight.9.mass", "else.x"):
        assert 'role="alert"' in edited.post("/book/save", version=version(edited), **{key: "x"}).text
    assert book(edited) == before


def test_nothing_is_saved_while_a_run_writes_the_same_file(edited: Desk) -> None:
    now = version(edited)
    going = {"id": "x", "kind": "strike", "state": "running", "what": "", "done": 0, "total": 0}
    write_state(edited.folder, {**going, "left_s": None, "message": "", "written": time.time()})
    try:
        page = edited.post("/book/save", version=now, **{"flight.0.pilot": "AB"}).text
        assert "it writes there too" in page
        assert 'value="AB"' in page
    finally:
        state_file(edited.folder).unlink()


def test_changed_answers_are_said_to_be_missing_from_what_is_shown(edited: Desk) -> None:
    fly(edited.folder)
    words = "flights.toml was changed after"
    assert words not in edited.ask("GET", "/flights").text
    edited.post("/book/save", version=version(edited), **{"flight.0.mass": "556 kg"})
    assert words in edited.ask("GET", "/flights").text
    assert words in edited.ask("GET", "/decision").text
    record = json.loads((edited.folder / "flights" / "flights.json").read_text(encoding="utf-8"))
    fly(edited.folder)
    again = json.loads((edited.folder / "flights" / "flights.json").read_text(encoding="utf-8"))
    assert words not in edited.ask("GET", "/flights").text
    assert record["made_from"]["flights"] != again["made_from"]["flights"]


def test_a_script_in_an_answer_is_only_words(edited: Desk) -> None:
    name = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
    edited.post("/book/save", version=version(edited), **{"flight.0.notes": name})
    page = edited.ask("GET", PAGE).text
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert tomllib.loads(book(edited))["flight"][0]["notes"] == name


def test_without_a_book_the_page_says_what_comes_first(tmp_path: Path) -> None:
    write_demo(tmp_path)
    with desk_on(tmp_path) as desk:
        assert "Take in a log" in desk.ask("GET", PAGE).text
        assert desk.post("/book/undo", version="none").status == 200
