"""The main job on a small question: a prediction that can be trusted as far as it says, and is kept."""

from __future__ import annotations

import csv
import json
import math
import re
from pathlib import Path
from typing import Any

import pytest

from slowflight import verbs
from slowflight.errors import InputError
from slowflight.wing.wing_file import read_wing_file

WING = """\
[aircraft]
name = "Test wing"
mass = "520 kg"
slowest_indicated_speed = "{slowest}"
slowest_flap_setting = "0 deg"
three_point_attitude = "{attitude}"

[wing]
span = "9 m"
incidence = "2 deg"

[[wing.section]]
chord = "1500 mm"
airfoil = "naca4415"

[flap]
kind = "hung"
chord = "22 %"
settings = ["0 deg", "25 deg"]

[[candidate]]
name = "plain"
height = "6 mm"
length = "18 mm"
pitch = "66 mm"
gap = "17 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
edges = "sharp"
mass_each = "1 g"

[question]
positions = ["10 %", "20 %", "60 %"]
height_factors = [1.0]
cruise_price = "3 kt"
"""


def project(folder: Path, *, slowest: str = "42 kt", attitude: str = "11 deg", more: str = "") -> Path:
    folder.mkdir(exist_ok=True)
    text = WING.format(slowest=slowest, attitude=attitude).replace('mass_each = "1 g"\n', "") + more
    (folder / "wing.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def predicted(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    folder = project(tmp_path_factory.mktemp("job") / "wing")
    return folder, verbs.predict(folder)


def test_speed_is_that_of_the_lift_and_the_weight(predicted: tuple[Path, dict[str, Any]]) -> None:
    """V = sqrt(2 m g / (rho S CL)) at the standard sea level, by hand."""
    setting = predicted[1]["settings"][0]
    for part, speed in (("clean", "stall_speed_clean"), ("vanes", "stall_speed_vanes")):
        by_hand = math.sqrt(2.0 * 520.0 * 9.80665 / (1.225 * 9.0 * 1.5 * setting[part]["cl_max"]))
        assert setting[speed]["m_s"] == pytest.approx(by_hand, rel=1e-6)
    curve = setting["clean"]
    for cl, knots in zip(curve["cl"], curve["speed_kt"], strict=True):
        if knots is not None:
            by_hand = math.sqrt(2.0 * 520.0 * 9.80665 / (1.225 * 9.0 * 1.5 * cl)) * 3600.0 / 1852.0
            assert knots == pytest.approx(by_hand, rel=1e-6)
    # every angle has a speed of its own
    shown = [v for v in curve["speed_kt"] if v is not None]
    assert len(shown) == len(set(shown)) > 20


def test_every_number_of_vanes_has_a_band_and_says_uncalibrated(
    predicted: tuple[Path, dict[str, Any]],
) -> None:
    record = predicted[1]
    best = record["settings"][0]["best"]
    for name in ("fall", "cruise_loss"):
        assert best[name]["low_kt"] <= 0.0 <= best[name]["kt"] <= best[name]["high_kt"]
        # twice the predicted; what is not known exactly adds a little to the fall
        assert 1.999 < best[name]["high_kt"] / best[name]["kt"] < 2.2
    assert any("uncalibrated" in warning for warning in record["warnings"])
    assert any("uncalibrated" in reason for reason in record["verdict"]["reasons"])


def test_hung_flap_down_is_no_number(predicted: tuple[Path, dict[str, Any]]) -> None:
    down = predicted[1]["settings"][1]
    assert down["predicted"] is False
    assert down["sentence"].startswith("not yet predicted")
    assert set(down) == {"flap_deg", "predicted", "sentence"}
    assert any("25 deg" in reason for reason in predicted[1]["verdict"]["reasons"])


def test_a_row_behind_the_separation_helps_less_than_one_ahead(
    predicted: tuple[Path, dict[str, Any]],
) -> None:
    (table,) = predicted[1]["settings"][0]["gain_tables"]
    falls = dict(zip(table["stations"], table["fall_kt"], strict=True))
    assert table["answered"] == [True, True, True]
    assert falls[0.2] > 0.5
    # by how much is not to be asked: of the forward row's gain no more than was ever measured is credited
    assert falls[0.6] < falls[0.2]


def test_verdict_never_says_keep(predicted: tuple[Path, dict[str, Any]]) -> None:
    record = predicted[1]
    assert record["verdict"]["finding"] in ("worth a trial", "not worth it", "cannot tell")
    said = " ".join([*record["verdict"]["reasons"], *record["verdict"]["would_settle"]])
    assert not re.search(r"\b(keep|safe)\b", said)
    assert any("kill" in caution for caution in record["cautions"])


def test_gear_that_stops_the_wing_first_is_said(predicted: tuple[Path, dict[str, Any]]) -> None:
    attitude = predicted[1]["attitude"]
    assert attitude["wing_angle_deg"] == pytest.approx(13.0)
    assert attitude["reaches_clean_stall"] is False
    assert "gear stops you first" in attitude["sentence"]
    assert not re.search(r"\d kt", attitude["sentence"])
    assert predicted[1]["settings"][0]["binding_limit"] == "three-point attitude"
    assert any("three-point" in reason for reason in predicted[1]["verdict"]["reasons"])


def test_second_run_computes_nothing_and_says_the_same(predicted: tuple[Path, dict[str, Any]]) -> None:
    folder, first = predicted
    told: list[tuple[str, int, int]] = []
    again = verbs.predict(folder, on_progress=lambda what, done, of: told.append((what, done, of)))
    assert [done for _, done, _ in told] == [of for _, _, of in told]
    assert {**again, "predicted_on": ""} == {**first, "predicted_on": ""}
    assert json.loads((folder / "runs" / "prediction.json").read_text()) == again


def test_an_indicator_that_shows_too_little_is_found(
    predicted: tuple[Path, dict[str, Any]], tmp_path: Path
) -> None:
    folder, _ = predicted
    text = (folder / "wing.toml").read_text().replace('"42 kt"', '"27 kt"').replace('"11 deg"', '"21 deg"')
    (tmp_path / "wing.toml").write_text(text)
    # the same sections: taken from the other project's runs
    (tmp_path / "runs").symlink_to(folder / "runs")
    kept = (folder / "runs" / "prediction.json").read_text()
    record = verbs.predict(tmp_path)
    (folder / "runs" / "prediction.json").write_text(kept)
    assert record["claim"]["finding"] == "lift too high"
    by_hand = 2.0 * 520.0 * 9.80665 / (1.225 * 13.5 * (27.0 * 1852.0 / 3600.0) ** 2)
    assert record["claim"]["implied_cl"]["value"] == pytest.approx(by_hand)
    assert any("indicator" in item for item in record["verdict"]["would_settle"])
    assert record["attitude"]["reaches_clean_stall"] is True


def test_layout_of_the_best_row_predicted(predicted: tuple[Path, dict[str, Any]]) -> None:
    folder, record = predicted
    laid = verbs.layout(folder)
    best = record["settings"][0]["best"]
    for vane in laid["vanes"]:
        assert vane["chord_distance_mm"] == pytest.approx(1500.0 * best["station"], abs=1e-3)
    assert all(vane["skin_distance_mm"] > vane["chord_distance_mm"] for vane in laid["vanes"])
    assert any("no measurement" in warning for warning in laid["warnings"])
    assert laid["trial"] is True
    for file in laid["files"]:
        assert Path(file).stat().st_size > 0
    # the row comes as a table that wing.toml takes
    text = (folder / "wing.toml").read_text() + (folder / "layout" / "row.toml").read_text()
    other = folder.parent / "fixed"
    other.mkdir(exist_ok=True)
    (other / "wing.toml").write_text(text)
    (row,) = read_wing_file(other / "wing.toml").rows
    assert row.station == pytest.approx(best["station"])
    again = verbs.layout(other)
    assert again["vanes"] == laid["vanes"]
    assert again["revision"] == laid["revision"]


def test_report_needs_a_prediction_and_is_one_file(
    predicted: tuple[Path, dict[str, Any]], tmp_path: Path
) -> None:
    with pytest.raises(InputError, match="no prediction"):
        verbs.report(project(tmp_path / "other"))
    page = verbs.report(predicted[0]).read_text(encoding="utf-8")
    assert "Test wing" in page
    assert "not yet predicted" in page
    assert not re.search(r'(src|href)="https?:', page)


@pytest.mark.parametrize(
    ("station", "along"), [("3 %", 45.0), ("5 %", 75.0), ("7 %", 105.0), ("10 %", 150.0)]
)
def test_per_cent_of_chord_is_along_the_chord(tmp_path: Path, station: str, along: float) -> None:
    """Common practice, no source: a tip at 5 % of a 1,500 mm chord is 75 mm from the nose along the chord."""
    row = f"""
[[vane_row]]
surface = "upper"
station = "{station}"
height = "6 mm"
length = "18 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
pitch = "66 mm"
gap = "17 mm"
"""
    laid = verbs.layout(project(tmp_path / "wing", more=row))
    assert {vane["chord_distance_mm"] for vane in laid["vanes"]} == {along}
    assert all(vane["skin_distance_mm"] > along + 10.0 for vane in laid["vanes"])
    left = [v for v in laid["vanes"] if v["side"] == "left"]
    right = [v for v in laid["vanes"] if v["side"] == "right"]
    assert sorted(v["span_position_mm"] for v in left) == sorted(v["span_position_mm"] for v in right)
    (table,) = (file for file in laid["files"] if file.endswith("-positions.csv"))
    with Path(table).open(encoding="utf-8", newline="") as stream:
        assert sum(1 for _ in csv.reader(line for line in stream if not line.startswith("#"))) > len(left)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('pitch = "66 mm"', 'pitch = "6.6 mm"', "pitch"),
        ('height = "6 mm"', 'height = "60 mm"', "height"),
        ('chord = "1500 mm"', 'chord = "59 mm"', "chord"),
        ('incidence = "16 deg"', 'incidence = "0.28 deg"', "incidence"),
        ('mass = "520 kg"\n', "", "mass"),
        ('airfoil = "naca4415"', 'airfoil = "empty.csv"', "empty"),
    ],
)
def test_bad_input_changes_nothing(
    predicted: tuple[Path, dict[str, Any]], tmp_path: Path, old: str, new: str, said: str
) -> None:
    folder, _ = predicted
    text = (folder / "wing.toml").read_text()
    assert old in text
    (tmp_path / "empty.csv").write_text("")
    (tmp_path / "wing.toml").write_text(text.replace(old, new))
    for verb in (verbs.predict, verbs.layout):
        with pytest.raises(InputError, match=said) as error:
            verb(tmp_path)
        assert "\n" not in str(error.value)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["empty.csv", "wing.toml"]


def test_other_tiers_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="--tier"):
        verbs.predict(tmp_path, tier="rans")


def test_what_to_measure_next_is_ranked_by_band_removed(predicted: tuple[Path, dict[str, Any]]) -> None:
    entries = predicted[1]["measure_next"]
    worth = [entry["band_removed_kt"] + entry["fall_band_removed_kt"] for entry in entries]
    assert worth == sorted(worth, reverse=True)
    # with a band of several knots on the model, the stall itself is what to measure first
    assert entries[0]["key"] == "aircraft.baseline_stalls"
    by_name = {entry["name"]: entry for entry in entries}
    # the speed goes with the root of the weight: 3 % either way is 1.5 % of the speed
    speed = predicted[1]["settings"][0]["stall_speed_clean"]["kt"]
    low, high = by_name["weight"]["clean_kt"]
    assert low == pytest.approx(speed * (0.97**0.5 - 1.0), abs=0.01)
    assert high == pytest.approx(speed * (1.03**0.5 - 1.0), abs=0.01)
    assert by_name["height of the vanes"]["clean_kt"] == [0.0, 0.0]
    assert all(entry["measure"] for entry in entries)
    assert not any("panels" in entry["name"] for entry in entries)


def test_grid_and_place_have_their_bands_too(predicted: tuple[Path, dict[str, Any]]) -> None:
    setting = predicted[1]["settings"][0]
    # half as many panels again: stalled lift drifts by less than 1 %, the speed by half of that
    assert abs(setting["panels_kt"]["clean"]) < 0.01 * setting["stall_speed_clean"]["kt"]
    first, last = setting["stations_within_band"]
    assert first <= setting["best"]["station"] <= last


def test_other_explanations_stand_on_the_same_scale(predicted: tuple[Path, dict[str, Any]]) -> None:
    speed = predicted[1]["settings"][0]["stall_speed_clean"]["kt"]
    rivals = {rival["name"]: rival for rival in predicted[1]["rivals"]}
    lighter = rivals["20 kg less on board"]["change_kt"]
    assert lighter == pytest.approx(speed * ((500.0 / 520.0) ** 0.5 - 1.0), rel=1e-6)
    reading = rivals["the static port's error changing with the angle"]
    assert reading["real"] is False
    assert reading["change_kt"] == pytest.approx(-0.025 * speed)
    assert rivals["stopping 1 deg short of the stall"]["change_kt"] > 0.0
    assert rivals["another flap gap"]["change_kt"] is None


def test_band_of_the_stall_speed_holds_model_and_inputs(predicted: tuple[Path, dict[str, Any]]) -> None:
    """By hand: root of lift for the model's share, root sum of squares with the inputs'."""
    clean = predicted[1]["settings"][0]["stall_speed_clean"]
    model_high = clean["kt"] * ((1.0 - (0.1**2 + 0.1**2) ** 0.5) ** -0.5 - 1.0)
    assert clean["high_kt"] - clean["kt"] > model_high
    assert clean["high_kt"] - clean["kt"] < 1.1 * model_high
