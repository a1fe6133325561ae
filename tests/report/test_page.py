"""The page as written: complete, self-contained, its numbers those of the record."""

import copy
import re
import sys
from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from slowflight.errors import InputError, SlowflightError
from slowflight.layout.plan import lay_out
from slowflight.layout.record import to_record, together
from slowflight.report.page import write_report
from slowflight.sources import describe_all
from tests.layout.wings import straight_wing, vane_row
from tests.report import example
from tests.report.pages import Page, read
from tests.report.test_help_strip import STRIP

Record = dict[str, Any]


def written(
    folder: Path, prediction: Record, layout: Record | None = None, fields: dict[str, Path] | None = None
) -> str:
    """Write a report and return its text."""
    page = write_report(
        prediction=prediction, layout=layout, fields=fields or {}, folder=folder / "job" / "report"
    )
    assert page.name == "index.html"
    return page.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def fields(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("fields")
    return {name: example.save_field(folder / name) for name in ("clean.npz", "vanes.npz")}


@pytest.fixture(scope="module")
def whole(fields: dict[str, Path], tmp_path_factory: pytest.TempPathFactory) -> str:
    return written(tmp_path_factory.mktemp("whole"), example.prediction(), example.layout(), fields)


@pytest.fixture(scope="module")
def page(whole: str) -> Page:
    return read(whole)


def test_nothing_is_asked_of_another_machine(whole: str, page: Page) -> None:
    assert all(value.startswith("data:image/") for value in page.values("src"))
    assert all(value.startswith(("#", "./", "data:,")) for value in page.values("href"))
    assert not {"script", "iframe", "object", "form", "base"} & {tag for tag, _ in page.tags}
    assert not re.search(r"https?://|//[a-z]|@import|url\(|srcset|javascript:", _without_pictures(whole))


def test_every_anchor_has_its_place(page: Page) -> None:
    places = page.values("id")
    assert len(places) == len(set(places))
    assert {value[1:] for value in page.values("href") if value.startswith("#")} <= set(places)


def test_every_warning_caution_source_and_assumption_is_on_the_page(page: Page) -> None:
    warnings = [*example.WARNINGS, *example.ROW_WARNINGS, *example.LAYOUT_WARNINGS]
    for text in [*warnings, *describe_all(example.SOURCES)]:
        assert text in page.text
    for assumption in example.prediction()["assumptions"]:
        assert all(assumption[key] in page.text for key in ("field", "value", "why"))
    # those of the prediction stand at the top as well, those of the layout with all others at the end
    for text in example.CAUTIONS:
        assert page.text.count(text) == 2
    for text in example.LAYOUT_CAUTIONS:
        assert page.text.count(text) == 1


def test_a_warning_deep_in_a_record_is_found(tmp_path: Path) -> None:
    record = example.prediction()
    record["settings"][0]["clean"]["warnings"] = ["found only here"]
    assert "found only here" in read(written(tmp_path, record)).text


def test_limit_comes_before_any_knots_and_cautions_before_any_picture(whole: str, page: Page) -> None:
    sentence = example.prediction()["attitude"]["sentence"]
    assert page.text.index("PREDICTED, not measured") < page.text.index("Worth a trial")
    assert page.text.index("Worth a trial") < page.text.index(sentence) < page.text.index(" kt")
    assert page.text.index("first limit is the three-point attitude") < page.text.index(" kt")
    assert page.text.index(example.CAUTIONS[0]) < page.text.index(" kt")
    assert whole.index("Only flights measure.") < whole.index("<img")


@pytest.mark.parametrize(
    "shown",
    [
        # Miles per hour: 1 kt = 1852 m / 1 h, 1 mile = 1609.344 m (NIST Special Publication 811, B.8).
        "40.9 kt (47.1 mph) 39.2 to 42.6 kt",
        "38.7 kt (44.5 mph) 36.7 to 40.8 kt",
        "38.6 kt (44.4 mph) 36.8 to 40.3 kt",
        "1.7 kt (2.0 mph) 0.4 to 2.9 kt",
        "1.3 kt (1.5 mph) 0.4 to 2.9 kt",
        "0.3 kt (0.3 mph) 0.1 to 0.7 kt",
        "35.2 kt (40.5 mph), band 33.4 to 37.1 kt",
        "2.13 (band 1.91 to 2.37)",
        "1.38 (band 1.26 to 1.51)",
        "8.4 2.2 to 17.1",
        # Inches: 25.4 mm exactly, same place; pounds: 0.45359237 kg exactly.
        "8.0 mm (0.31 in) high",
        "21.5 mm (0.85 in) long",
        "77.7 mm (3.06 in); 19.3 mm (0.76 in) between forward tips",
        "548 kg (1208 lb)",
        "forward tip at 10 % of chord",
        "layer here 5 mm, your vane 8 mm",
        "section angle 13.0°, wing angle 17.5°, 40.4 kt (46.5 mph)",
        "Lift coefficient 1.37, drag coefficient 0.0312",
        "Lift coefficient 1.54, drag coefficient 0.0347",
        "Section lift +12.4 %, section drag −35.0 counts (predicted, uncalibrated).",
        "4 vanes; left wing, hand A: 1; left wing, hand B: 1; right wing, hand A: 1; right wing, hand B: 1.",
        "To make, spares among them: 3 of hand A, 4 of hand B. All on the wing weigh 0.01 kg (0.03 lb).",
        "Laid out: “printed”, 8.0 mm (0.31 in) high, forward tips at 10 % of chord on the upper surface,",
        "Hand A: leaning like \\; B: leaning like /",
        "weight 0.57 0.02 531 kg 564 kg three scales under three wheels",
        "less fuel −0.8 the speed itself arithmetic",
        "a hidden port −1.1 the reading only half the pressure",
        "a wider slot not predicted",
        "by slowflight 0.9.9",
        "on 2026-11-25",
    ],
)
def test_number_is_the_records(page: Page, shown: str) -> None:
    assert shown in page.text


def test_another_number_is_not_shown_as_the_old_one(tmp_path: Path) -> None:
    record = example.prediction()
    record["settings"][0]["stall_speed_clean"] = example.speed(51.3, 50.1, 52.2)
    text = read(written(tmp_path, record)).text
    assert "51.3 kt (59.0 mph) 50.1 to 52.2 kt" in text
    assert "40.9 kt" not in text


def test_layout_table_has_both_distances_in_both_units(whole: str) -> None:
    (table,) = re.findall(r'aria-label="Layout table">(.*?)</table>', whole, re.DOTALL)
    rows = [re.findall(r"<t[dh][^>]*>([^<]*)</t[dh]>", line) for line in re.findall(r"<tr>.*?</tr>", table)]
    assert len(rows) == 5
    assert rows[1] == ["L1", "left", "650.0", "25.59", "A", "137.0", "5.39", "158.8", "6.25", "16.5°"]
    assert rows[4] == ["R2", "right", "669.3", "26.35", "B", "137.0", "5.39", "158.8", "6.25", "−16.5°"]


def test_template_is_linked_by_relative_name(page: Page) -> None:
    assert "./../layout/row%201.pdf" in page.values("href")


def test_every_picture_is_there_and_described(page: Page) -> None:
    # Claim, speeds, map, three other maps, fall, cruise, lift, speed, a pair and its scale.
    assert len(page.images()) == 1 + 1 + 1 + 3 + 2 + 2 + 2 + 1
    for image in page.images():
        assert len(image["alt"] or "") > 40
        assert int(image["width"] or 0) > 100
        assert int(image["height"] or 0) > 50


def test_unpredicted_setting_has_no_knots(page: Page, whole: str) -> None:
    assert "Flap 33°: not yet predicted: this version computes no hung flap that is down." in page.text
    (told,) = re.findall(r'<p class="unpredicted">.*?</p>', whole, re.DOTALL)
    assert " kt" not in told
    assert whole.count("33°") == 1


def test_no_number_of_an_unpredicted_setting_slips_through(tmp_path: Path) -> None:
    record = example.prediction()
    record["settings"][0].update(predicted=False, sentence="not yet predicted: no such flap")
    record.update(claim=None, pictures=[])
    text = read(written(tmp_path, record)).text
    assert not re.search(r"\d kt|mph", text)
    assert text.count("not yet predicted") == 2


def _nothing(record: Record) -> None:
    for key in list(record):
        if key not in ("kind", "aircraft", "verdict"):
            del record[key]
    record["verdict"] = {"finding": "cannot tell"}


def _nulls(record: Record) -> None:
    for key in record:
        if key not in ("kind", "aircraft", "verdict"):
            record[key] = None


def _no_best(record: Record) -> None:
    record["settings"][0].update(
        row=None, two_rows=None, best=None, ties=[], stall_speed_vanes=None, vanes=None
    )
    record["verdict"] = {"finding": "cannot tell", "reasons": [], "would_settle": []}


def _no_answer_at_all(record: Record) -> None:
    setting = record["settings"][0]
    setting.update(
        stall_speed_clean=None, stall_speed_vanes=None, row=None, two_rows=None, best=None, ties=[],
        binding_limit=None,
    )  # fmt: skip
    for key in ("clean", "vanes"):
        for name in ("cl", "speed_kt"):
            setting[key][name] = [None for _ in example.ANGLES]
    for table in setting["gain_tables"]:
        table["gain"] = [[None for _ in example.ANGLES] for _ in example.STATIONS]
        table["fall_kt"] = table["cruise_loss_kt"] = [None for _ in example.STATIONS]


def _no_bands(record: Record) -> None:
    setting = record["settings"][0]
    for part in (
        setting["stall_speed_clean"],
        setting["row"]["fall"],
        setting["best"]["fall"],
        record["claim"]["speed"],
    ):
        part["low_kt"] = part["high_kt"] = None
    record["claim"]["implied_cl"].update(low=None, high=None)


def _bare_best(record: Record) -> None:
    best = record["settings"][0]["best"]
    for key in list(best):
        if key not in ("candidate", "station", "height_mm"):
            best[key] = None


def _bare_setting(record: Record) -> None:
    record["settings"] = [{"flap_deg": 0.0, "predicted": True}]


def _no_predicted_lift(record: Record) -> None:
    record["claim"]["predicted_cl_max"] = None


def _bare_pair(record: Record) -> None:
    record["pictures"] = [{"section_angle_deg": 13.0, "clean": None, "vanes": None}]


def _best_in_no_table(record: Record) -> None:
    record["settings"][0]["best"]["height_mm"] = 6.5


def _not_worth_it(record: Record) -> None:
    record["verdict"]["finding"] = "not worth it"


def _one_station(record: Record) -> None:
    for table in record["settings"][0]["gain_tables"]:
        for key in ("stations", "gain", "fall_kt", "cruise_loss_kt", "answered"):
            table[key] = table[key][:1]


MISSING: list[tuple[Callable[[Record], None], list[str]]] = [
    (
        _nothing,
        [
            "Not known: no flap setting is predicted yet",
            "no slowest speed to compare",
            "The record has no flow pictures",
            "that is a fault of the record",
        ],
    ),
    (_nulls, ["The record has no flap setting", "Everything asked for was given"]),
    (_no_best, ["The prediction names no best row", "Cannot tell"]),
    (_no_answer_at_all, ["First limit 0° no answer no row"]),
    (_no_bands, ["band not known"]),
    (_bare_best, ["no answer long"]),
    (_bare_setting, ["The record has no lift curve"]),
    (_no_predicted_lift, ["predicted at most not yet predicted"]),
    (_bare_pair, ["No picture", "found no field"]),
    (_best_in_no_table, ["6.5 mm"]),
    (_not_worth_it, ["Not worth it"]),
    (_one_station, ["“printed”"]),
]


@pytest.mark.parametrize(("change", "says"), MISSING, ids=lambda part: getattr(part, "__name__", ""))
def test_missing_parts_are_said(change: Callable[[Record], None], says: list[str], tmp_path: Path) -> None:
    record = example.prediction()
    change(record)
    text = read(written(tmp_path, record)).text
    for told in says:
        assert told in text
    assert "Not laid out yet" in text
    assert not re.search(r"\bNone\b|\bnan\b|\bUndefined\b", text)


def test_two_rows_are_both_named_with_the_parts_of_both(tmp_path: Path) -> None:
    plans = [
        lay_out(wing=straight_wing(), row=vane_row(span_from=start, span_to=start + 1.0, station=station))
        for start, station in ((0.6, 0.07), (2.0, 0.2))
    ]
    laid = together([to_record(plan) for plan in plans], files=[])
    text = read(written(tmp_path, example.prediction(), laid)).text
    assert "Row 1: “vane”, 8.0 mm (0.31 in) high, forward tips at 7 % of chord" in text
    assert "Row 2: “vane”, 8.0 mm (0.31 in) high, forward tips at 20 % of chord" in text
    made = sum(plan.parts.to_make_a for plan in plans)
    assert f"{made} of hand A" in text
    assert "row 2, R1" in text


def test_layout_without_vanes_or_files_is_said(tmp_path: Path) -> None:
    record = example.prediction()
    _nothing(record)
    assert "The layout record has no vanes." in read(written(tmp_path, record, {})).text


def test_layout_with_the_fewest_keys_is_shown(tmp_path: Path) -> None:
    record = example.prediction()
    _nothing(record)
    vanes = [{"side": side, "span_position_mm": 650.0} for side in ("left", "left", "right")]
    text = read(written(tmp_path, record, {"vanes": vanes})).text
    assert "3 vanes; left wing: 2; right wing: 1." in text
    assert not re.search(r"None|\bnan\b|Undefined", text)
    assert "L2left650.025.59" in text
    assert "R1right650.025.59" in text


@pytest.mark.parametrize(
    ("left_out", "says"), [("u", "u is not a file in the archive"), ("", "no field 'vanes.npz'")]
)
def test_field_that_cannot_be_drawn_is_named_and_its_numbers_stand(
    left_out: str, says: str, tmp_path: Path
) -> None:
    fields = {"clean.npz": example.save_field(tmp_path / "clean.npz", left_out=left_out)}
    text = read(written(tmp_path, example.prediction() | {"settings": []}, None, fields)).text
    assert "No picture at section angle 13.0°" in text
    assert says in text
    assert "Section lift +12.4 %" in text


@pytest.mark.parametrize("content", [b"", b"no archive", b"PK\x03\x04broken"])
def test_broken_field_is_named(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "clean.npz"
    path.write_bytes(content)
    record = example.prediction() | {"settings": []}
    text = read(written(tmp_path, record, None, {"clean.npz": path, "vanes.npz": path})).text
    assert "clean.npz: found" in text


def test_strips_come_with_their_cautions(tmp_path: Path) -> None:
    record = example.prediction()
    assert "Where would help help?" not in read(written(tmp_path, record)).text
    record["help_strips"] = [{**STRIP, "cautions": ["Predicted and uncalibrated: direction, not size."]}]
    text = read(written(tmp_path, record)).text
    assert "Where would help help?" in text
    assert "Predicted and uncalibrated: direction, not size." in text


def test_two_rows_are_set_beside_one(tmp_path: Path) -> None:
    text = read(written(tmp_path, example.prediction())).text
    assert "Two such rows, at 10 % and 22 % of chord: stall speed falls by 1.9 kt" in text


def test_a_row_that_slows_nothing_is_said_to_raise_the_stall_speed(tmp_path: Path) -> None:
    record = example.prediction()
    record["settings"][0]["two_rows"]["fall"] = {"m_s": -0.5, "kt": -1.0, "low_kt": -2.0, "high_kt": 0.0}
    record["settings"][0]["row"]["fall"] = {"m_s": -0.5, "kt": -1.0, "low_kt": -2.0, "high_kt": 0.0}
    text = read(written(tmp_path, record)).text
    assert "of chord: stall speed RISES by 1.0 kt (1.2 mph), band 0.0 to 2.0 kt" in text
    assert "a rise" in text


HOSTILE = '<script>alert("x")</script>\'$x^2$ & {{ 7*7 }}'


def test_names_are_text_and_nothing_else(tmp_path: Path, fields: dict[str, Path]) -> None:
    record, layout = example.prediction(), example.layout()
    record["aircraft"] = HOSTILE
    setting = record["settings"][0]
    for part in (setting["best"], *setting["ties"], *setting["gain_tables"]):
        part["candidate"] = HOSTILE
    record["marks"][0]["name"] = HOSTILE
    record["warnings"], record["sources"] = [HOSTILE], [HOSTILE]
    layout["files"] = ['javascript:alert(1)//"><script>alert(1)<', "/etc/passwd?x#y"]
    layout["vanes"][0]["hand"] = HOSTILE
    text = written(tmp_path, record, layout, fields)
    page = read(text)
    assert "script" not in {tag for tag, _ in page.tags}
    assert not any(name.startswith("on") for _, attrs in page.tags for name in attrs)
    assert page.text.count(HOSTILE) >= 6
    assert all(value.startswith(("#", "./", "data:,")) for value in page.values("href"))


def test_page_says_neither_safe_nor_keep() -> None:
    folder = resources.files("slowflight.report") / "templates"
    names = sorted(file.name for file in folder.iterdir())
    assert "page.html" in names
    assert "style.css" in names
    for name in names:
        assert not re.search(r"\bsafe|\bkeep", (folder / name).read_text("utf-8"), re.IGNORECASE), name


def test_same_record_gives_the_same_bytes(whole: str, fields: dict[str, Path], tmp_path: Path) -> None:
    assert written(tmp_path, example.prediction(), example.layout(), fields) == whole


def test_records_are_left_as_they_are(tmp_path: Path) -> None:
    record, layout = example.prediction(), example.layout()
    before = copy.deepcopy((record, layout))
    written(tmp_path, record, layout)
    assert (record, layout) == before


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"kind": "lift curve"}, "kind 'lift curve'"),
        ({"verdict": None}, "found None"),
        ({"verdict": {"finding": "fly more"}}, "found 'fly more'"),
        ({"aircraft": ""}, "prediction record: aircraft"),
    ],
)
def test_no_prediction_is_refused_and_the_old_page_stands(change: Record, says: str, tmp_path: Path) -> None:
    page = tmp_path / "index.html"
    page.write_text("old", encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(says)):
        write_report(prediction=example.prediction() | change, layout=None, fields={}, folder=tmp_path)
    assert page.read_text(encoding="utf-8") == "old"
    assert [file.name for file in tmp_path.iterdir()] == ["index.html"]


@pytest.mark.parametrize("missing", ["matplotlib", "jinja2"])
def test_missing_library_is_one_line_with_the_fix(
    missing: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, missing, None)
    with pytest.raises(
        SlowflightError, match=rf"found no {missing}; .*pip install \"slowflight\[report\]\""
    ) as told:
        write_report(prediction=example.prediction(), layout=None, fields={}, folder=tmp_path)
    assert "\n" not in str(told.value)
    assert list(tmp_path.iterdir()) == []


def test_folder_that_is_a_file_is_one_line(tmp_path: Path) -> None:
    taken = tmp_path / "report"
    taken.write_text("", encoding="utf-8")
    with pytest.raises(SlowflightError, match="cannot be written"):
        write_report(prediction=example.prediction(), layout=None, fields={}, folder=taken)


def _without_pictures(text: str) -> str:
    return re.sub(r'src="data:[^"]*"', "", text)
