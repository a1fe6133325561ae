"""As-installed forms read back; left against right blocks the next card."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from slowflight.errors import InputError
from slowflight.layout.error_budget import FallCurve
from slowflight.layout.installed import gaps_in_a_row, installed_verdict, out_of_tolerance, unequal
from slowflight.layout.installed_effect import installed_effect
from slowflight.layout.installed_form import InstalledVane, read_installed, write_form
from slowflight.layout.installed_page import write_deviations
from slowflight.layout.plan import lay_out
from slowflight.layout.record import to_record
from slowflight.layout.strip_page import SheetTitle
from tests.layout.measured import read_pages
from tests.layout.wings import straight_wing, vane_row

RECORD = to_record(lay_out(wing=straight_wing(), row=vane_row(span_from=0.6, span_to=1.2)))
Cells = list[dict[str, str]]


def completed(folder: Path, change: Callable[[Cells], object] = lambda cells: None) -> Path:
    """The form as a careful builder fills it, then changed."""
    form = write_form([RECORD], folder / "installed-form.csv")
    with form.open(encoding="utf-8", newline="") as file:
        cells = list(csv.DictReader(file))
    for line in cells:
        line["measured_skin_mm"] = line["planned_skin_mm"]
        line["measured_toe_deg"] = line["planned_toe_deg"]
        line["measured_span_mm"] = line["planned_span_mm"]
    change(cells)
    path = folder / "mine.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, cells[0].keys())
        table.writeheader()
        table.writerows(cells)
    return path


def read(folder: Path, change: Callable[[Cells], object] = lambda cells: None) -> list[InstalledVane]:
    return read_installed(completed(folder, change), records=[RECORD])


def shift(cells: Cells, at: int, column: str, by: float) -> None:
    cells[at][column] = str(float(cells[at][column]) + by)


def test_a_row_as_laid_out_is_equal_and_within_tolerance(tmp_path: Path) -> None:
    vanes = read(tmp_path)
    assert len(vanes) == len(RECORD["vanes"])
    assert (unequal(vanes), out_of_tolerance(vanes), gaps_in_a_row(vanes)) == ([], [], [])


@pytest.mark.parametrize(
    ("column", "by", "blocks"),
    [
        ("measured_skin_mm", 2.0, False),
        ("measured_skin_mm", 2.1, True),
        ("measured_skin_mm", -2.1, True),
        ("measured_span_mm", 3.0, False),
        ("measured_span_mm", 3.2, True),
        ("measured_toe_deg", 1.0, False),
        ("measured_toe_deg", -1.2, True),
    ],
)
def test_one_wing_off_beyond_tolerance_blocks(tmp_path: Path, column: str, by: float, blocks: bool) -> None:
    vanes = read(tmp_path, lambda cells: shift(cells, 3, column, by))
    assert bool(unequal(vanes)) == bool(out_of_tolerance(vanes)) == blocks
    if blocks:
        assert "number 4" in unequal(vanes)[0]
        assert "L4" in out_of_tolerance(vanes)[0]


def test_both_wings_off_alike_are_equal_yet_out_of_tolerance(tmp_path: Path) -> None:
    def both(cells: Cells) -> None:
        for line in range(len(cells)):
            shift(cells, line, "measured_skin_mm", 5.0)

    vanes = read(tmp_path, both)
    assert unequal(vanes) == []
    assert len(out_of_tolerance(vanes)) == len(vanes)
    curve = FallCurve(
        stations=(0.05, 0.07, 0.10), falls=(2.0, 2.4, 2.1), height=0.008, pitch=None, candidate="printed",
        flap_deg=0.0, resolved=1.0,
    )  # fmt: skip
    # 5 mm of 1.5 m is a third of a per cent; 0.3 kt are lost over 3 per cent: 0.033 kt
    change, words = installed_effect(vanes, station=0.07, chord=1.5, curve=curve)
    assert change == pytest.approx(-0.3 / 0.03 * 0.005 / 1.5, abs=4e-4)
    assert "5.0 mm too far aft" in words
    assert installed_effect(vanes, station=0.07, chord=1.5, curve=None)[0] is None


def test_missing_on_one_wing_blocks_and_mirrored_does_not(tmp_path: Path) -> None:
    def one(cells: Cells) -> None:
        cells[2].update(measured_skin_mm="", measured_toe_deg="", remark="missing")

    def mirrored(cells: Cells) -> None:
        one(cells)
        cells[2 + len(cells) // 2].update(measured_skin_mm="", measured_toe_deg="", remark="Missing, 2 May")

    assert "missing on the left wing only" in unequal(read(tmp_path, one))[0]
    vanes = read(tmp_path, mirrored)
    assert unequal(vanes) == []
    assert sum(vane.missing for vane in vanes) == 2
    assert gaps_in_a_row(vanes) == []


def test_two_missing_on_a_wing_and_a_wrong_hand_on_both_block(tmp_path: Path) -> None:
    def two(cells: Cells) -> None:
        for at in (2, 5, 2 + len(cells) // 2, 5 + len(cells) // 2):
            cells[at].update(measured_skin_mm="", measured_toe_deg="", remark="missing")

    assert len(gaps_in_a_row(read(tmp_path, two))) == 2

    def reversed_(cells: Cells) -> None:
        for at in (0, len(cells) // 2):
            cells[at]["measured_toe_deg"] = str(-float(cells[at]["planned_toe_deg"]))

    vanes = read(tmp_path, reversed_)
    assert all("wrong way" in reason for reason in unequal(vanes))
    assert "WRONG WAY" in out_of_tolerance(vanes)[0]


def drop(cells: Cells) -> None:
    del cells[4]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (drop, "no line for vane 5 of the left wing"),
        (lambda cells: cells.append(dict(cells[0])), "vane L1 again"),
        (lambda cells: cells[0].update(side="port"), "a vane of the layout"),
        (lambda cells: cells[0].update(measured_skin_mm="7.06 in"), "a number, without its unit"),
        (lambda cells: cells[0].update(measured_skin_mm=""), "both, from the wing itself"),
        (lambda cells: cells[0].update(measured_skin_mm="7.06"), "check the unit"),
        (lambda cells: cells[0].update(measured_toe_deg="164"), "at most 60 degrees"),
        (lambda cells: [line.pop("remark") for line in cells], "no column 'remark'"),
    ],
)
def test_slips_in_the_form_are_named(tmp_path: Path, change: Callable[[Cells], object], said: str) -> None:
    with pytest.raises(InputError) as raised:
        read(tmp_path, change)
    assert said in str(raised.value)
    assert str(raised.value).startswith(str(tmp_path / "mine.csv"))


def test_semicolons_and_decimal_commas_as_some_spreadsheets_write(tmp_path: Path) -> None:
    text = completed(tmp_path).read_text(encoding="utf-8")
    path = tmp_path / "mine.csv"
    path.write_text(text.replace(",", ";").replace(".", ","), encoding="utf-8")
    assert unequal(read_installed(path, records=[RECORD])) == []


def test_verdict_for_the_room_that_hands_out_cards() -> None:
    none = installed_verdict(None, revision="a")
    assert (none.measured, none.blocked) == (False, False)
    assert "not been measured" in none.reasons[0]
    old = installed_verdict({"revision": "b", "blocked_because": []}, revision="a")
    assert (old.measured, old.blocked) == (False, False)
    good = installed_verdict({"revision": "a", "blocked_because": []}, revision="a")
    assert (good.measured, good.blocked, good.reasons) == (True, False, ())
    bad = installed_verdict({"revision": "a", "blocked_because": ["number 3"]}, revision="a")
    assert (bad.blocked, bad.reasons) == (True, ("number 3",))


def test_deviations_are_drawn_to_their_own_scale(tmp_path: Path) -> None:
    """The tolerance is drawn at 2 mm on either side; a vane 3 mm aft has a bar one and a half times that."""
    vanes = read(tmp_path, lambda cells: shift(cells, 3, "measured_skin_mm", 3.0))
    title = SheetTitle(aircraft="Invented two-seater", revision="7", made_on="today", trial=False)
    path = write_deviations(vanes, tmp_path / "off.pdf", paper="a4", title=title, sentences=["a finding"])
    (page,) = read_pages(path)
    text = " ".join(words.text for words in page.words)
    assert "4: -3.0" in text
    assert "a finding" in text
    limits = sorted(
        {
            round(line.start[1], 3)
            for line in page.lines
            if line.level and line.width == 0.3 and line.length > 200
        }
    )
    (bar,) = (line for line in page.lines if line.upright and line.width == 1.5)
    low, high = limits[-2:]  # of the left wing, along the skin
    assert bar.length == pytest.approx(1.5 * 0.5 * (high - low), abs=0.2)
    assert min(bar.start[1], bar.end[1]) < low


def test_form_has_every_vane_once(tmp_path: Path) -> None:
    rows: list[dict[str, Any]] = [RECORD, RECORD]
    lines = write_form(rows, tmp_path / "form.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 1 + 2 * len(RECORD["vanes"])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda cells: cells[2].update(number="1.5"), "a vane of the layout"),
        (lambda cells: cells[2].update(planned_skin_mm="1.0"), "a form of the layout as it is now"),
        (lambda cells: cells[2].update(planned_span_mm="1.0"), "a form of the layout as it is now"),
        (lambda cells: cells[2].update(planned_toe_deg="-60"), "a form of the layout as it is now"),
        (lambda cells: cells[2].update(remark="missing a corner"), "one of the two"),
    ],
    ids=["half a vane", "another skin distance", "another span", "another toe", "missing and measured"],
)
def test_a_form_that_contradicts_the_layout_or_itself(
    tmp_path: Path, change: Callable[[Cells], object], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        read(tmp_path, change)


def test_a_record_that_lost_its_reasons_proves_nothing() -> None:
    found = installed_verdict({"revision": "r1"}, revision="r1")
    assert not found.measured
    assert "damaged" in found.reasons[0]


def test_decimal_commas_between_commas_are_no_other_reading(tmp_path: Path) -> None:
    path = completed(tmp_path)
    lines = path.read_text(encoding="utf-8").splitlines()
    cells = lines[1].split(",")
    cells[8] = cells[8].replace(".", ",")
    lines[1] = ",".join(cells)
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(InputError, match="semicolons"):
        read_installed(path, records=[RECORD])
