"""The template measured back from its own vectors."""

from __future__ import annotations

import csv
import itertools
import math
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from slowflight.errors import InputError
from slowflight.layout.hand import SIDES, outboard_on_page
from slowflight.layout.plan import LayoutPlan, lay_out
from slowflight.layout.record import to_record, together, write_positions
from slowflight.layout.sheets import cut_into_sheets, match_lines
from slowflight.layout.template import write_template
from slowflight.wing.planform import Wing, WingStation
from tests.layout.measured import Line, MeasuredSheet, Page, check_bars, measure_sheet, read_pages
from tests.layout.wings import straight_wing, tapered_wing, vane_row

A4, LETTER = (210.0, 297.0), (215.9, 279.4)
CASES: dict[str, tuple[LayoutPlan, str]] = {
    "near the nose, A4": (lay_out(wing=straight_wing(), row=vane_row(station=0.05)), "a4"),
    "near the nose, letter": (lay_out(wing=straight_wing(), row=vane_row(station=0.05)), "letter"),
    "upright, A4": (lay_out(wing=tapered_wing(), row=vane_row(station=0.10)), "a4"),
    "upright, letter": (lay_out(wing=straight_wing(), row=vane_row(station=0.10)), "letter"),
    "far aft and tapered": (lay_out(wing=tapered_wing(), row=vane_row(station=0.30)), "a4"),
    "lower surface": (lay_out(wing=tapered_wing(), row=vane_row(surface="lower")), "letter"),
    "co-rotating": (lay_out(wing=straight_wing(), row=vane_row(arrangement="co-rotating")), "letter"),
    "opening upstream": (lay_out(wing=straight_wing(), row=vane_row(opening="upstream")), "a4"),
    "small and close": (
        lay_out(
            wing=straight_wing(),
            row=vane_row(station=0.02, pitch=0.012, gap=0.004, length=0.006, height=0.002, span_to=1.4),
        ),
        "a4",
    ),
}


def write(plan: LayoutPlan, path: Path, **changes: Any) -> Path:
    values: dict[str, Any] = {
        "paper": "a4",
        "aircraft": "Invented two-seater",
        "trial": True,
        "revision": "3",
        "made_on": "2026-11-25",
    }
    return write_template(plan, path, **{**values, **changes})


@pytest.fixture(scope="module", params=list(CASES), ids=list(CASES))
def drawn(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Any:
    plan, paper = CASES[request.param]
    path = write(plan, tmp_path_factory.mktemp("layout") / "template.pdf", paper=paper)
    pages = read_pages(path)
    sheets = [sheet for page in pages if (sheet := measure_sheet(page)) is not None]
    return plan, paper, pages, sheets


def test_check_bars_measure_true_on_every_sheet(drawn: Any) -> None:
    _, _, _, sheets = drawn
    assert sheets
    for sheet in sheets:
        bars = check_bars(sheet.page)
        ways = ("along the chord", "along the span")
        assert set(bars) == {(way, nominal) for way in ways for nominal in (100.0, 101.6)}
        for (_, nominal), length in bars.items():
            assert length == pytest.approx(nominal, abs=0.1)
        texts = [words.text for words in sheet.page.words]
        assert (texts.count("100 mm"), texts.count("4 in")) == (2, 2)


def test_every_vane_lies_where_the_table_says(drawn: Any, tmp_path: Path) -> None:
    """Read by the sheet's own printed scales; within 0.2 mm of the table of positions."""
    plan, _, _, sheets = drawn
    with write_positions(plan, tmp_path / "positions.csv").open(encoding="utf-8", newline="") as file:
        table = {f"{line['side'][0].upper()}{line['number']}": line for line in csv.DictReader(file)}
    met: list[str] = []
    for sheet in sheets:
        for label, vane in sheet.vanes.items():
            met.append(label)
            assert label[0] == sheet.side[0].upper()
            assert vane.span == pytest.approx(float(table[label]["span_position_mm"]), abs=0.2)
            assert vane.skin == pytest.approx(float(table[label]["skin_distance_mm"]), abs=0.2)
            assert sheet.hands[label] == table[label]["hand"]
            assert vane.leans_left == (table[label]["hand"] == "A")
    assert sorted(met) == sorted(table), "every vane is on exactly one sheet"


def test_every_vane_has_its_length_and_toe(drawn: Any) -> None:
    plan, _, _, sheets = drawn
    planned = {vane.label: vane for vane in plan.vanes}
    for sheet in sheets:
        for label, vane in sheet.vanes.items():
            exact = planned[label]
            assert vane.trailing_span == pytest.approx(1000 * exact.trailing_span_position, abs=0.02)
            assert vane.trailing_skin == pytest.approx(1000 * exact.trailing_skin_distance, abs=0.02)
            assert (vane.span > vane.trailing_span) == (exact.toe > 0.0)


def test_forward_tip_carries_the_short_cross_line(drawn: Any) -> None:
    _, _, _, sheets = drawn
    for sheet in sheets:
        crossed = [middle(line) for line in sheet.page.lines if abs(line.length - 3.0) < 1e-3]
        for line in (line for line in sheet.page.lines if line.width == 1.2):
            trailing, forward = sorted((line.start, line.end), key=lambda spot: spot[1])
            assert min(math.dist(spot, forward) for spot in crossed) < 1e-3
            assert min(math.dist(spot, trailing) for spot in crossed) > 1.0


def test_drawn_line_of_the_row_bends_where_the_wing_does(tmp_path: Path) -> None:
    """Straight to 2 m and tapered from there: the line passes through every forward tip, within 0.2 mm."""
    section = straight_wing().stations[0].section
    stations = tuple(
        WingStation(span_station=y, chord=chord, washout=0.0, section=section, airfoil="rib")
        for y, chord in ((0.0, 1.5), (2.0, 1.5), (4.0, 0.8))
    )
    wing = Wing(span=8.0, incidence=0.0, stations=stations, cabin_width=1.0)
    plan = lay_out(wing=wing, row=vane_row(span_from=1.6, span_to=2.6))
    sheets = [measure_sheet(page) for page in read_pages(write(plan, tmp_path / "template.pdf"))]
    tips = 0
    for sheet in (sheet for sheet in sheets if sheet is not None):
        hairs = [line for line in sheet.page.lines if line.width == 0.3 and line.length > 10.0]
        for line in (line for line in sheet.page.lines if line.width == 1.2):
            forward = max((line.start, line.end), key=lambda spot: spot[1])
            if not sheet.page.width * 0.2 < forward[0] < sheet.page.width * 0.8:
                continue  # the drawing of the hands stands at the side
            tips += 1
            assert min(off(forward, hair) for hair in hairs) < 0.2
    assert tips > 20


def off(spot: tuple[float, float], line: Line) -> float:
    """Distance of a spot from a line that is not upright, straight up the page; infinite beside it."""
    (x0, y0), (x1, y1) = sorted((line.start, line.end))
    if not x0 <= spot[0] <= x1 or x1 - x0 < 1.0:
        return math.inf
    return abs(y0 + (y1 - y0) * (spot[0] - x0) / (x1 - x0) - spot[1])


def middle(line: Line) -> tuple[float, float]:
    return 0.5 * (line.start[0] + line.end[0]), 0.5 * (line.start[1] + line.end[1])


def leans_left_by_name(page: Page, pattern: str) -> dict[str, bool]:
    """Which way the vane above each of the words leans."""
    found = {}
    for words in page.words:
        if re.fullmatch(pattern, words.text):
            below = (words.at[0] + 0.5 * words.width, words.at[1])
            lines = [line for line in page.lines if line.width == 1.2]
            line = min(lines, key=lambda line: math.dist(middle(line), below))
            trailing, forward = sorted((line.start, line.end), key=lambda spot: spot[1])
            found[words.text] = forward[0] < trailing[0]
    return found


def test_drawing_of_the_hands_on_every_sheet(drawn: Any) -> None:
    _, _, _, sheets = drawn
    for sheet in sheets:
        assert leans_left_by_name(sheet.page, "[AB]") == {"A": True, "B": False}


def test_sketch_of_both_wings_on_the_first_page(drawn: Any) -> None:
    plan, _, pages, _ = drawn
    middle_of_page = 0.5 * pages[0].width
    wings = {words.text: words.at[0] + 0.5 * words.width for words in pages[0].words if "WING" in words.text}
    assert (wings["RIGHT WING"] > middle_of_page) == (plan.row.surface == "upper")
    assert (wings["LEFT WING"] > middle_of_page) == (plan.row.surface == "lower")
    labels = [words for words in pages[0].words if re.fullmatch(r"\d [AB]", words.text)]
    expected = {(side, f"{vane.number} {vane.hand}") for side in SIDES for vane in plan.on(side)[:2]}
    met = set()
    for words in labels:
        right_of_page = words.at[0] > middle_of_page
        met.add(("right" if right_of_page == (plan.row.surface == "upper") else "left", words.text))
    assert met == expected
    for text, leans_left in leans_left_by_name(pages[0], r"\d [AB]").items():
        assert leans_left == text.endswith("A")


def test_sheets_are_numbered_and_counted(drawn: Any) -> None:
    _, paper, pages, sheets = drawn
    each = sheets[0].of
    assert [(sheet.side, sheet.number) for sheet in sheets] == [
        *(("left", number) for number in range(1, each + 1)),
        *(("right", number) for number in range(1, each + 1)),
    ]
    assert [measure_sheet(page) is None for page in pages] == [True] * (len(pages) - 2 * each) + [False] * (
        2 * each
    )
    size = A4 if paper == "a4" else LETTER
    for page in pages:
        assert sorted((page.width, page.height)) == pytest.approx(size, abs=0.01)


def test_neighboring_sheets_share_match_line_and_register_marks(drawn: Any) -> None:
    plan, _, _, sheets = drawn
    for before, after in itertools.pairwise(sheets):
        if before.side == after.side:
            assert after.ends[0] == pytest.approx(before.ends[1], abs=0.01)
            assert len(set(before.marks) & set(after.marks)) >= 2
    for side in ("left", "right"):
        mine = [sheet for sheet in sheets if sheet.side == side]
        assert mine[0].ends[0] == pytest.approx(1000 * plan.span_from, abs=0.01)
        assert mine[-1].ends[1] == pytest.approx(1000 * plan.span_to, abs=0.01)


def test_forward_edge_lies_where_it_says(drawn: Any) -> None:
    _, _, _, sheets = drawn
    for sheet in sheets:
        behind = sheet.page.find(r"It lies (\d+) mm \(([\d.]+) in\) along the +skin BEHIND THE FOREMOST LINE")
        if behind is None:
            assert sheet.page.find("It lies on the FOREMOST LINE")
        else:
            assert float(behind[2]) == pytest.approx(float(behind[1]) / 25.4, abs=0.005)
        assert sheet.edge_skin == pytest.approx(float(behind[1]) if behind else 0.0, abs=0.01)


def test_wings_are_mirror_images_on_paper(drawn: Any) -> None:
    plan, _, _, sheets = drawn
    half = len(sheets) // 2
    for left, right in zip(sheets[:half], sheets[half:], strict=True):
        assert left.outboard_right != right.outboard_right
        assert right.outboard_right == (plan.row.surface == "upper")
        assert mirrored(left) == vane_lines(right)


def vane_lines(sheet: MeasuredSheet) -> list[tuple[float, ...]]:
    lines = [line for line in sheet.page.lines if line.width == 1.2]
    return sorted(tuple(round(v, 3) + 0.0 for spot in sorted((a.start, a.end)) for v in spot) for a in lines)


def mirrored(sheet: MeasuredSheet) -> list[tuple[float, ...]]:
    lines = []
    for line in sheet.page.lines:
        if line.width == 1.2:
            ends = sorted((sheet.page.width - x, y) for x, y in (line.start, line.end))
            lines.append(tuple(round(v, 3) + 0.0 for spot in ends for v in spot))
    return sorted(lines)


def test_nothing_is_drawn_where_printers_do_not_reach(drawn: Any) -> None:
    _, _, pages, _ = drawn
    for page in pages:
        for spot in (spot for line in page.lines for spot in (line.start, line.end)):
            assert 6.0 < spot[0] < page.width - 6.0
            assert 6.0 < spot[1] < page.height - 6.0


def test_vanes_stay_clear_of_the_foot(drawn: Any) -> None:
    _, _, _, sheets = drawn
    for sheet in sheets:
        title = next(words for words in sheet.page.words if "WING" in words.text)
        for line in (line for line in sheet.page.lines if line.width == 1.2):
            assert min(line.start[1], line.end[1]) > title.at[1] + 6.0


def test_each_sheet_says_what_it_is(drawn: Any) -> None:
    plan, _, _, sheets = drawn
    for sheet in sheets:
        text = "\n".join(words.text for words in sheet.page.words)
        for needed in ("FRONT OF", "AIRCRAFT", "FLOW", f"OUTBOARD, {sheet.side} wing", "Invented two-seater"):
            assert needed in text, needed
        assert "2026-11-25, revision 3" in text
        assert "no clearance to fly slower" in text
        assert ("seen from above" if plan.row.surface == "upper" else "seen from below") in text


def stamped(page: Page) -> bool:
    return any(words.text == "TRIAL" for words in page.words)


@pytest.mark.parametrize("trial", [True, False])
def test_trial_is_stamped_on_every_page_or_none(tmp_path: Path, trial: bool) -> None:
    plan, paper = CASES["upright, letter"]
    pages = read_pages(write(plan, tmp_path / "template.pdf", paper=paper, trial=trial))
    assert [stamped(page) for page in pages] == [trial] * len(pages)
    assert any("TRIAL" in words.text for words in pages[0].words) == trial


def test_first_page_carries_the_cautions_and_the_tables_every_number(tmp_path: Path) -> None:
    plan, paper = CASES["far aft and tapered"]
    pages = read_pages(write(plan, tmp_path / "template.pdf", paper=paper))
    first = " ".join(words.text for words in pages[0].words)
    for caution in plan.cautions:
        assert caution[:40] in first
    front = [page for page in pages if measure_sheet(page) is None]
    cells = [words.text for page in front for words in page.words]
    for vane in plan.vanes:
        for value in (vane.span_position, vane.chord_distance, vane.skin_distance):
            assert f"{1000 * value:.1f}" in cells
            assert f"{value / 0.0254:.2f}" in cells


def test_the_same_call_writes_the_same_bytes(tmp_path: Path) -> None:
    plan, _ = CASES["lower surface"]
    first, second = (write(plan, tmp_path / f"{name}.pdf") for name in "ab")
    assert first.read_bytes() == second.read_bytes()


@pytest.mark.parametrize("name", ["Żabka № 3 <b>&", "飛行機", "x" * 300, ""])
def test_any_name_can_be_printed(tmp_path: Path, name: str) -> None:
    plan, _ = CASES["co-rotating"]
    pages = read_pages(write(plan, tmp_path / "template.pdf", aircraft=name))
    for page in pages:
        for words in page.words:
            assert words.width < page.height + page.width
    if name.startswith("Ż"):
        assert any("Zabka" in words.text for words in pages[-1].words)


def test_paper_and_folder_that_are_none_are_refused(tmp_path: Path) -> None:
    plan, _ = CASES["co-rotating"]
    with pytest.raises(InputError, match="a4, letter, a3 or roll"):
        write(plan, tmp_path / "template.pdf", paper="A5")
    with pytest.raises(InputError, match="a file that can be written"):
        write(plan, tmp_path / "missing" / "template.pdf")
    assert list(tmp_path.iterdir()) == []


def test_rule_for_where_the_paper_starts() -> None:
    """From the nose as long as the row fits a page; across before upright; else about the row."""
    wing = straight_wing()
    seen = []
    for station in (0.03, 0.10, 0.20):
        frame, sheets = cut_into_sheets(lay_out(wing=wing, row=vane_row(station=station)), paper="a4")
        seen.append((frame.width > frame.height, {sheet.offset > 0.0 for sheet in sheets}))
        for sheet in sheets:
            assert sheet.offset % 10.0 == 0.0
            if sheet.offset > 0.0:
                # a round distance that leaves five to six centimeters ahead of a straight row
                assert 50.0 <= 1000 * sheet.vanes[0].skin_distance - sheet.offset < 60.0
            for vane in sheet.vanes:
                assert 1000 * vane.skin_distance - sheet.offset > 20.0
                assert 1000 * vane.trailing_skin_distance - sheet.offset < frame.depth
    assert seen == [(True, {False}), (False, {False}), (True, {True})]


@settings(max_examples=50)
@given(
    pitch=st.floats(0.005, 0.5),
    gap=st.floats(0.0, 0.1),
    length=st.floats(0.003, 0.15),
    station=st.floats(0.02, 0.6),
    room=st.floats(0.05, 3.9),
    opening=st.sampled_from(["downstream", "upstream"]),
    paper=st.sampled_from(["a4", "letter"]),
)
def test_any_row_is_cut_between_its_vanes(
    pitch: float, gap: float, length: float, station: float, room: float, opening: str, paper: str
) -> None:
    row = vane_row(
        pitch=pitch,
        gap=gap,
        length=length,
        height=0.002,
        station=station,
        span_from=0.05,
        span_to=0.05 + room,
        opening=opening,
    )
    assume(row.trailing_gap >= 0.0 and row.footprint < min(pitch, room))
    plan = lay_out(wing=TAPERED, row=row)
    frame, sheets = cut_into_sheets(plan, paper=paper)
    assert sum(len(sheet.vanes) for sheet in sheets) == len(plan.vanes)
    for sheet in sheets:
        assert 0.0 < sheet.span_to - sheet.span_from <= frame.span_room + 1e-6
        for vane in sheet.vanes:
            ends = sorted((1000 * vane.span_position, 1000 * vane.trailing_span_position))
            assert sheet.span_from - 1e-6 <= ends[0] <= ends[1] <= sheet.span_to + 1e-6
            assert 1000 * vane.skin_distance >= sheet.offset
            assert 1000 * vane.trailing_skin_distance - sheet.offset <= frame.depth - 5.0
    assert match_lines(plan, span_room=frame.span_room)[-1] == pytest.approx(50.0 + 1000 * room)


TAPERED = tapered_wing()


@pytest.mark.parametrize(
    ("side", "surface", "right"),
    [("right", "upper", 1), ("left", "upper", -1), ("right", "lower", -1), ("left", "lower", 1)],
)
def test_outboard_on_the_page(side: str, surface: str, right: int) -> None:
    """From above with the front up, the right wing is to the right; from below it is to the left."""
    assert outboard_on_page(side=side, surface=surface) == right


def test_outboard_on_the_page_takes_only_real_words() -> None:
    with pytest.raises(InputError, match="left or right"):
        outboard_on_page(side="port", surface="upper")
    with pytest.raises(InputError, match="upper or lower"):
        outboard_on_page(side="left", surface="top")


def test_record_agrees_with_the_plan() -> None:
    plan, _ = CASES["far aft and tapered"]
    record = to_record(plan, files=["layout/template-a4.pdf"])
    assert record["files"] == ["layout/template-a4.pdf"]
    assert len(record["vanes"]) == len(plan.vanes)
    assert record["counts"]["left"]["total"] == record["counts"]["right"]["total"] == len(plan.on("left"))
    for line, vane in zip(record["vanes"], plan.vanes, strict=True):
        assert {
            "side",
            "span_position_mm",
            "hand",
            "chord_distance_mm",
            "skin_distance_mm",
            "toe_deg",
        } <= set(line)
        assert line["side"] == vane.side
        assert line["hand"] == vane.hand
        assert line["span_position_mm"] == pytest.approx(1000 * vane.span_position, abs=6e-4)
        assert line["chord_distance_mm"] == pytest.approx(1000 * vane.chord_distance, abs=6e-4)
        assert line["skin_distance_mm"] == pytest.approx(1000 * vane.skin_distance, abs=6e-4)
        assert line["toe_deg"] == pytest.approx(16.0 if vane.toe > 0 else -16.0)


def test_table_of_positions_in_both_units(tmp_path: Path) -> None:
    plan, _ = CASES["near the nose, A4"]
    with write_positions(plan, tmp_path / "positions.csv").open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    assert len(lines) == len(plan.vanes)
    for line in lines:
        # 5 % of 1,500 mm, and 75 / 25.4 in.
        assert (line["chord_distance_mm"], line["chord_distance_in"]) == ("75.00", "2.9528")
        assert float(line["skin_distance_in"]) == pytest.approx(
            float(line["skin_distance_mm"]) / 25.4, abs=3e-4
        )


def test_several_rows_are_one_record_with_the_parts_of_all() -> None:
    """Counted by hand: parts, mass and vanes of both rows, each vane with its row."""
    inner = lay_out(wing=straight_wing(), row=vane_row(span_from=0.6, span_to=2.0), mass_each=0.002)
    outer = lay_out(wing=straight_wing(), row=vane_row(station=0.2, span_from=2.0), mass_each=0.003)
    records = [to_record(plan) for plan in (inner, outer)]
    whole = together(records, files=["a.pdf", "b.pdf"])
    assert len(whole["vanes"]) == inner.parts.fitted + outer.parts.fitted
    assert [v["row"] for v in whole["vanes"]] == [1] * inner.parts.fitted + [2] * outer.parts.fitted
    assert whole["counts"]["to_make"]["A"] == inner.parts.to_make_a + outer.parts.to_make_a
    assert whole["counts"]["left"]["total"] == inner.parts.left + outer.parts.left
    mass = 0.002 * inner.parts.fitted + 0.003 * outer.parts.fitted
    assert whole["mass_fitted_kg"] == pytest.approx(mass)
    assert (whole["row"], whole["free_at_each_end_mm"], len(whole["rows"])) == (None, None, 2)
    assert any(text.startswith("row 2: only whole pairs") for text in whole["warnings"])
    unknown = to_record(lay_out(wing=straight_wing(), row=vane_row()))
    assert together([records[0], unknown], files=[])["mass_fitted_kg"] is None
    assert together(records[:1], files=["a.pdf"]) == {**records[0], "files": ["a.pdf"]}
