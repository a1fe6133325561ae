"""A reported test in the light of a prediction."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from slowflight import verbs
from slowflight.cli.app import run
from slowflight.compare.reported_test import READINGS, explain, resolution
from slowflight.errors import InputError
from slowflight.uncertainty import Banded
from tests.verbs.test_predicting import project

KNOT = 1852.0 / 3600.0
TEST = """\
[test]
station = "{station}"
height = "{height}"
flap = "{flap}"
attitude = "{attitude}"
read_by = "{read_by}"
fall = "{fall}"
flights = {flights}
stalls = 5
weighed = true
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = project(tmp_path_factory.mktemp("explain") / "wing")
    verbs.predict(place)
    return place


def explained(folder: Path, **parts: Any) -> dict[str, Any]:
    told = {
        "flap": "0 deg",
        "attitude": "stall",
        "read_by": "GPS legs",
        "fall": "1 kt",
        "flights": 4,
        "station": "20 %",
        "height": "6 mm",
        **parts,
    }
    path = folder / "test.toml"
    path.write_text(TEST.format(**told), encoding="utf-8")
    return verbs.explain_test(folder, path)


def test_a_careful_test_is_set_beside_the_prediction(folder: Path) -> None:
    found = explained(folder)
    assert found["expected"]["kt"] > 0.5
    assert found["finding"] in ("as predicted", "within the band", "could not have seen it")
    assert any("'plain', 6.0 mm high" in sentence for sentence in found["sentences"])
    careless = explained(folder, read_by="GPS one way", flights=1)
    assert careless["resolution_kt"] > 4.9
    assert careless["could_see"] is False
    assert careless["finding"] == "could not have seen it"
    assert any("one flight a side" in sentence for sentence in careless["sentences"])


def test_a_tall_claim_is_more_than_predicted(folder: Path) -> None:
    found = explained(folder, fall="15 kt")
    assert found["finding"] == "more than predicted"
    assert any("static port" in rival["name"] for rival in found["rivals"])


def test_at_the_approach_vanes_gain_little(folder: Path) -> None:
    at_stall, at_approach = explained(folder), explained(folder, attitude="approach")
    assert at_approach["expected"]["kt"] < 0.5 * at_stall["expected"]["kt"]


def test_flap_down_is_not_yet_predicted(folder: Path) -> None:
    found = explained(folder, flap="25 deg")
    assert found["finding"] == "not yet predicted"
    assert found["expected"] is None


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"height": "12 mm"}, "the nearest vane of the study is 6.0 mm high, not 12.0 mm"),
        ({"station": "80 %"}, "rows were tried from 10 % to 60 % of chord only"),
    ],
)
def test_what_was_not_tried_is_not_taken_for_its_neighbor(
    folder: Path, parts: dict[str, Any], said: str
) -> None:
    found = explained(folder, **parts)
    assert found["finding"] == "not yet predicted"
    assert found["expected"] is None
    assert any(said in sentence for sentence in found["sentences"])


def test_an_attitude_without_lift_has_no_speed(folder: Path) -> None:
    """A wing that lifts nothing carries no weight: no number, and no fault of arithmetic."""
    path = folder / "runs" / "prediction.json"
    record = json.loads(path.read_text(encoding="utf-8"))
    kept = path.read_bytes()
    marks = [*record["marks"], *(m for s in record["settings"] for m in s.get("marks", ()))]
    for angle, said in ((-3.9, "lifts too little"), (40.0, "outside the answered angles")):
        for mark in marks:
            if mark["name"] == "three-point":
                mark["wing_angle_deg"] = angle
        try:
            path.write_text(json.dumps(record), encoding="utf-8")
            found = explained(folder, attitude="three-point")
        finally:
            path.write_bytes(kept)
        assert found["expected"] is None
        assert any(said in sentence for sentence in found["sentences"])


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"height": "0 mm"}, "height"),
        ({"read_by": "feeling"}, "read_by"),
        ({"flights": 0}, "flights"),
        ({"fall": "3"}, "fall"),
    ],
)
def test_slips_are_one_line(folder: Path, parts: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said):
        explained(folder, **parts)


def test_command_prints_and_needs_a_prediction(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    explained(folder)
    assert run(["explain", str(folder), str(folder / "test.toml")]) == 0
    assert "uncalibrated" in capsys.readouterr().out
    bare = project(tmp_path / "bare")
    assert run(["explain", str(bare), str(folder / "test.toml")]) == 2
    assert "slowflight predict" in capsys.readouterr().err


def test_resolution_by_hand() -> None:
    found = resolution(reading="GPS legs", scatter_error=0.3, weighed=False, mass=500.0, speed=20.0)
    assert found == pytest.approx(math.hypot(READINGS["GPS legs"], 1.96 * 0.3, 0.5 * 20.0 * 15.0 / 500.0))
    assert READINGS["calibrated"] < READINGS["GPS legs"] < READINGS["indicator"] < READINGS["GPS one way"]


def test_finding_by_hand() -> None:
    expected = Banded(value=1.0, low=0.0, high=2.0)
    told = {
        claimed: explain(expected=expected, claimed=claimed, reading="indicator", resolution=0.5).finding
        for claimed in (-0.6, -0.4, 0.0, 0.6, 1.4, 1.6, 2.4, 2.6)
    }
    assert told == {
        -0.6: "less than predicted",
        -0.4: "within the band",
        0.0: "within the band",
        0.6: "as predicted",
        1.4: "as predicted",
        1.6: "within the band",
        2.4: "within the band",
        2.6: "more than predicted",
    }
    none = explain(expected=expected, claimed=0.0, reading="indicator", resolution=0.5)
    assert any("neither refutes the other" in sentence for sentence in none.sentences)
    worse = explain(
        expected=Banded(value=-1.0, low=-2.0, high=0.0), claimed=0.0, reading="indicator", resolution=0.5
    )
    assert worse.could_see  # a loss stands out as well as a gain
    assert "change the speed by 1.9 kt MORE (3.9 kt MORE to nothing, uncalibrated)" in worse.sentences[0]
    blind = explain(expected=expected, claimed=None, reading="indicator", resolution=1.5)
    assert blind.finding == "could not have seen it"
