"""Clips, figures, tables and the PDF: drawn from saved results only, and nothing leaves without its words."""

from __future__ import annotations

import csv
import json
import unicodedata
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from PIL import Image, ImageDraw
from pypdf import PdfReader

from slowflight import verbs
from slowflight.errors import InputError, SlowflightError
from slowflight.flights.tufts.video import write_video
from slowflight.project import write_demo
from slowflight.report import printed
from slowflight.report.clips import canvas, films, sweep
from slowflight.sources import describe_all
from tests.report.example import opinion, prediction, save_field

MARK = "This aircraft only, owner-measured, not approved"


def example() -> dict[str, Any]:
    """The invented record, its flow said to be that of the first flap setting."""
    record = prediction()
    for pair in record["pictures"]:
        pair["flap_deg"] = record["settings"][0]["flap_deg"]
    return record


@pytest.fixture(name="project")
def fixture_project(tmp_path: Path) -> Path:
    folder = tmp_path / "own"
    write_demo(folder)
    (folder / "runs").mkdir()
    (folder / "runs" / "prediction.json").write_text(json.dumps(example()), encoding="utf-8")
    for name in ("clean.npz", "vanes.npz"):
        save_field(folder / "runs" / name)
    return folder


@pytest.fixture(name="written")
def fixture_written(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every text that is drawn into a picture."""
    found: list[str] = []
    plain = ImageDraw.ImageDraw.text

    def text(self: ImageDraw.ImageDraw, xy: tuple[float, float], text: str, **how: object) -> None:
        found.append(text)
        plain(self, xy, text, **how)  # type: ignore[arg-type]

    monkeypatch.setattr(ImageDraw.ImageDraw, "text", text)
    return found


def film(path: Path, color: str, *, frames: int = 30) -> Path:
    return write_video((Image.new("RGB", (64, 48), color) for _ in range(frames)), path)


def test_a_sweep_is_a_gif_and_a_video_in_two_shapes_of_saved_angles(
    project: Path, written: list[str]
) -> None:
    made = verbs.sweep_clip(project)
    assert [name.rsplit("-", 1)[1] for name in made["files"]] == [
        "wide.gif",
        "wide.mp4",
        "upright.gif",
        "upright.mp4",
    ]
    for name in made["files"]:
        if name.endswith(".gif"):
            with Image.open(Path(made["folder"]) / name) as clip:
                assert clip.width / clip.height == pytest.approx(
                    16 / 9 if "wide" in name else 9 / 16, rel=0.01
                )
                assert getattr(clip, "n_frames", 1) > 3
    words = " ".join(written)
    assert MARK in words
    assert "PREDICTED" in words
    assert "stalls kill" in words
    setting = prediction()["settings"][0]
    saved = {f"{value:.1f} kt" for side in ("clean", "vanes") for value in setting[side]["speed_kt"] if value}
    shown = {text for text in written if text.endswith(" kt") and "likely" not in text}
    assert shown <= saved  # nothing between computed angles is made up
    assert shown
    assert not list((project / "share").glob(".*"))


def test_past_its_stall_no_speed_is_burnt_in(project: Path, written: list[str]) -> None:
    record = example()
    for side in ("clean", "vanes"):
        curve = record["settings"][0][side]
        curve["cl"] = [1.0 + 0.1 * number for number in range(len(curve["cl"]))]
        curve["cl"][-2:] = [1.2, 1.1]
        curve["speed_kt"] = [30.0 + number for number in range(len(curve["cl"]))][::-1]
        curve["speed_kt"][-2:] = [37.3, 38.3]
    fields = {name: project / "runs" / name for name in ("clean.npz", "vanes.npz")}
    found = sweep.sweep_of(record, fields, flap_deg=None)
    assert found.angles[-1] == len(record["settings"][0]["clean"]["cl"]) - 2  # one angle past the stall
    assert {picture.size for picture in sweep.sweep_frames(found, canvas.WIDE)} == {canvas.WIDE.size}
    assert "stalled" in written
    assert "32.0 kt" in written  # the last before the stall
    assert "37.3 kt" not in written


def test_a_flap_that_is_not_predicted_has_no_clip(project: Path) -> None:
    with pytest.raises(InputError, match="a predicted flap setting with a row"):
        verbs.sweep_clip(project, flap="77 deg")
    (project / "runs" / "clean.npz").unlink()
    with pytest.raises(InputError, match="no saved flow"):
        verbs.sweep_clip(project)
    (project / "runs" / "prediction.json").unlink()
    with pytest.raises(InputError, match="no prediction"):
        verbs.sweep_clip(project)


def test_own_films_without_flights_say_that_nothing_is_measured(
    project: Path, tmp_path: Path, written: list[str]
) -> None:
    before, after = film(tmp_path / "b.mp4", "red"), film(tmp_path / "a.mp4", "blue")
    made = verbs.film_clip(project, before, after, after_from=1.0)
    with Image.open(Path(made["folder"]) / made["files"][0]) as clip:
        assert getattr(clip, "n_frames", 1) == 20  # the shorter rest, at ten a second
        shown = clip.convert("RGB")
    for box, channel in zip(canvas.WIDE.panels, (0, 2), strict=True):
        at = shown.getpixel((int(0.3 * (box[0] + box[2])), int(0.25 * (box[1] + box[3]))))
        assert isinstance(at, tuple)
        assert max(range(3), key=lambda number: at[number]) == channel  # before on the left
    assert films.NOT_MEASURED.split(":")[0] in " ".join(written)
    assert MARK in " ".join(written)


def test_own_films_carry_what_the_flights_measured(project: Path, tmp_path: Path, written: list[str]) -> None:
    record = {
        "kind": "flights", "aircraft": "Own", "note": None, "made_from": {},
        "stall_speeds": [
            {
                "name": "flap 0 deg", "flap_deg": 0.0,
                "clean": {"calibrated_kt": 38.64, "low_kt": 37.0, "high_kt": 40.3, "panel": "32.6 kt there"},
                "vanes": {"calibrated_kt": 36.91, "low_kt": 35.2, "high_kt": 38.5, "panel": None},
            }
        ],
        "decision": {"verdict": "fly more", "headlines": ["flap 0 deg: gain 1.7 kt, likely 0.6 to 2.8"]},
    }  # fmt: skip
    (project / "flights").mkdir()
    (project / "flights" / "flights.json").write_text(json.dumps(record), encoding="utf-8")
    (project / "flights" / "flights.toml").write_text("", encoding="utf-8")
    before, after = film(tmp_path / "b.mp4", "red", frames=3), film(tmp_path / "a.mp4", "blue", frames=3)
    verbs.film_clip(project, before, after, flap="0 deg")
    words = " ".join(written)
    for part in (
        "38.6 kt",
        "36.9 kt",
        "37.0 to 40.3",
        "MEASURED: flap 0 deg: gain 1.7 kt",
        "fly more",
        "OUT OF DATE",
    ):
        assert part in words, part
    with pytest.raises(InputError, match="a setting that was flown"):
        verbs.film_clip(project, before, after, flap="20 deg")


def test_films_that_are_none_are_refused(project: Path, tmp_path: Path) -> None:
    good = film(tmp_path / "b.mp4", "red", frames=5)
    (tmp_path / "bad.mp4").write_bytes(b"no film")
    with pytest.raises(InputError, match="no video"):
        verbs.film_clip(project, good, tmp_path / "bad.mp4")
    with pytest.raises(InputError, match="no frame after 9 s"):
        verbs.film_clip(project, good, good, after_from=9.0)
    with pytest.raises(InputError, match="15 at most"):
        verbs.film_clip(project, good, good, seconds=99.0)
    with pytest.raises(InputError, match="a folder"):
        verbs.film_clip(project, tmp_path, good)


def test_every_figure_and_table_says_what_it_is(project: Path, written: list[str]) -> None:
    made = verbs.figures(project)
    place = Path(made["folder"])
    lines = [name for name in made["files"] if name.endswith(".svg")]
    assert len(lines) >= 5
    for name in lines:
        text = (place / name).read_text(encoding="utf-8")
        ElementTree.fromstring(text)
        assert MARK in text, name
        assert "PREDICTED" in text, name
        for shape in canvas.SHAPES:
            with Image.open(place / name.replace(".svg", f"-{shape.name}.png")) as picture:
                assert picture.size == shape.size
    tables = [name for name in made["files"] if name.endswith(".csv")]
    for name in tables:
        text = (place / name).read_text(encoding="utf-8")
        assert MARK in text
        assert "predicted" in text
    text = (place / "tables" / "stall-speeds.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    first = prediction()["settings"][0]
    assert float(rows[0]["kt"]) == first["stall_speed_clean"]["kt"]
    with zipfile.ZipFile(place / made["files"][-1]) as archive:
        assert set(archive.namelist()) == {"READ-FIRST.txt", *made["files"][:-1]}
    assert MARK in " ".join(written)


def test_the_second_opinion_is_a_figure_if_it_is_about_the_same_wing(project: Path) -> None:
    place = project / "runs" / "second-opinion.json"
    place.write_text(json.dumps({**opinion(), "made_from": {"wing": "another"}}), encoding="utf-8")
    assert not [name for name in verbs.figures(project)["files"] if "by-both-tiers" in name]
    place.write_text(json.dumps(opinion()), encoding="utf-8")
    made = verbs.figures(project)
    text = (Path(made["folder"]) / "figures" / "by-both-tiers.svg").read_text(encoding="utf-8")
    words = [word for part in ElementTree.fromstring(text).itertext() for word in part.split()]
    assert "by the quick tier and the minutes tier (preview grid)" in " ".join(words)
    assert MARK in text


def test_the_pdf_prints_the_sources_its_numbers_used_and_cautions_and_a_mark_on_every_sheet(
    project: Path,
) -> None:
    if next(printed._browsers(), None) is None:
        pytest.skip("NO BROWSER: install chromium, or the report is not printed here")
    made = verbs.report_pdf(project)
    pages = [page.extract_text() for page in PdfReader(Path(made["folder"]) / made["files"][0]).pages]
    assert all(MARK in page for page in pages)
    # A printed "fl" is one letter.
    text = unicodedata.normalize("NFKC", "".join("".join(pages).split()))
    record = prediction()
    for caution in record["cautions"]:
        assert "".join(caution.split()) in text
    for source in describe_all(record["sources"]):
        assert "".join(source.split())[:40] in text
    assert "".join(describe_all(["Gracey1980"])[0].split())[:40] not in text  # used by flights only


def test_without_a_browser_one_is_told_to_print_it_oneself(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(printed, "_browsers", lambda: iter(()))
    with pytest.raises(SlowflightError, match=r"index\.html in yours and print it"):
        verbs.report_pdf(project)
