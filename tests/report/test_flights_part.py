"""The flights on the page: measured beside predicted, every stall with its reason, cautions beside."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import pytest

from slowflight.errors import InputError
from slowflight.project import open_project, write_demo
from slowflight.report.flights_part import drawn_flights
from slowflight.report.page import write_report
from slowflight.verbs.flying import flights_old, fly
from slowflight.verbs.flying_demo import invent_flights
from tests.report import example


@pytest.fixture(scope="module", name="project")
def fixture_project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = write_demo(tmp_path_factory.mktemp("flown") / "demo").folder
    invent_flights(folder)
    return folder


@pytest.fixture(scope="module", name="record")
def fixture_record(project: Path) -> dict[str, Any]:
    return fly(project)


def page(folder: Path, flights: dict[str, Any] | None) -> str:
    written = write_report(
        prediction=example.prediction(), layout=None, fields={}, folder=folder, flights=flights
    )
    return written.read_text(encoding="utf-8")


def test_flights_stand_on_the_page_with_cautions_and_their_origin(
    record: dict[str, Any], tmp_path: Path
) -> None:
    text = page(tmp_path, record)
    assert "PREDICTED, with the owner&#39;s flights MEASURED" in text or "flights MEASURED" in text
    part = text[text.index('id="flights"') : text.index('id="claim"')]
    assert "INVENTED: no aircraft flew these flights" in part
    assert record["decision"]["headlines"][0] in part
    assert "Slow flight and stalls near the ground kill." in part
    assert "no new speed limits" in part
    assert part.count("<tr><td>") == sum(len(flight["stalls"]) for flight in record["flights"])
    assert len(re.findall(r"<img ", part)) >= 3 + len(record["flights"])


def test_without_flights_the_page_is_as_before(tmp_path: Path) -> None:
    text = page(tmp_path, None)
    assert "PREDICTED, not measured" in text
    assert 'id="flights"' not in text


def test_bands_of_measured_and_predicted_stand_side_by_side(record: dict[str, Any]) -> None:
    given = copy.deepcopy(record)
    setting = given["decision"]["settings"][0]
    band = {"value": 0.8, "low": 0.0, "high": 1.7}
    given["predicted"] = [
        {
            "name": setting["name"], "anchored_gain_kt": band, "measured_clean_kt": band,
            "predicted_clean_kt": None, "sentence": "the bands overlap",
        }
    ]  # fmt: skip
    drawn = drawn_flights(given)
    assert drawn is not None
    assert drawn["rows"][0]["predicted"] == band
    assert drawn["rows"][0]["measured"]["value"] == setting["gain"]["value_kt"]
    assert "flap 0 deg, predicted 0.8 kt, 0.0 to 1.7" in drawn["gains"].alt


def test_a_flight_that_asks_for_a_calibration_stands_open(record: dict[str, Any], tmp_path: Path) -> None:
    given = copy.deepcopy(record)
    given["flights"][1]["asks"] = ["flap 0 deg: none of 5 stalls counts"]
    given["flights"][2] = {**given["flights"][2], "problem": "gone.csv: found no such file", "stalls": []}
    text = page(tmp_path, given)
    assert text.count("<details open>") == 2
    assert "To fly: flap 0 deg: none of 5 stalls counts." in text
    assert "gone.csv: found no such file" in text


def test_no_verdict_is_said_to_be_none(record: dict[str, Any], tmp_path: Path) -> None:
    given = {**copy.deepcopy(record), "decision": None, "predicted": [], "asks": ["no stall counts yet"]}
    text = page(tmp_path, given)
    assert "No verdict yet" in text
    assert "no stall counts yet" in text


def test_another_record_is_refused() -> None:
    with pytest.raises(InputError, match="run: slowflight fly"):
        drawn_flights({"kind": "prediction"})


def test_a_changed_book_makes_the_reduction_old(project: Path, record: dict[str, Any]) -> None:
    found = open_project(project)
    assert flights_old(found, record) == ()
    book = found.flights / "flights.toml"
    text = book.read_text(encoding="utf-8")
    try:
        book.write_text(text.replace("looks = 1", "looks = 2"), encoding="utf-8")
        assert any("flights.toml has changed" in line for line in flights_old(found, record))
    finally:
        book.write_text(text, encoding="utf-8")
