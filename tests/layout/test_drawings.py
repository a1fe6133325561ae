"""Positions read back from every paper, SVG and DXF agree with the table; wrap and tape measured back."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.text import Text
from ezdxf.filemanagement import readfile

from slowflight.layout.fit import Fit, KeepOut, Zone
from slowflight.layout.paper_set import write_papers
from slowflight.layout.plan import LayoutPlan, lay_out
from slowflight.layout.record import to_record
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing
from tests.layout.measured import Line, Page, Words, check_bars, measure_sheet, read_pages
from tests.layout.wings import straight_wing, tapered_wing, vane_row

ZONED = Fit(
    zones=(Zone(name="aileron", kind="controls", span_from=2.0, span_to=3.8, pitch=0.06),),
    keep_outs=(
        KeepOut(
            name="cap", kind="fuel cap", side="left", span_from=1.2, span_to=1.3, skin_from=0.1, skin_to=0.2,
            clearance=0.02,
        ),
    ),
)  # fmt: skip
CASES: dict[str, tuple[Wing, LayoutPlan]] = {
    name: (wing, lay_out(wing=wing, row=row, fit=fit))
    for name, wing, row, fit in (
        ("straight", straight_wing(), vane_row(), ZONED),
        ("tapered", tapered_wing(), vane_row(station=0.10, opening="upstream"), Fit()),
        ("lower", straight_wing(airfoil="4412"), vane_row(station=0.04, surface="lower"), Fit()),
    )
}


@pytest.fixture(scope="module", params=list(CASES))
def written(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[LayoutPlan, Path]:
    wing, plan = CASES[request.param]
    folder = tmp_path_factory.mktemp("drawn")
    write_papers(
        plan, folder, stem="row", wing=wing, aircraft="Invented two-seater", trial=True, revision="7",
        made_on="2026-11-28",
    )  # fmt: skip
    return plan, folder


def table(plan: LayoutPlan) -> dict[str, tuple[float, float]]:
    """Label to span and skin distance [mm], from the record that becomes the JSON."""
    vanes = to_record(plan)["vanes"]
    return {
        f"{v['side'][0].upper()}{v['number']}": (v["span_position_mm"], v["skin_distance_mm"]) for v in vanes
    }


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "roll"])
def test_every_vane_on_every_paper(written: tuple[LayoutPlan, Path], paper: str) -> None:
    plan, folder = written
    wanted = table(plan)
    found: dict[str, tuple[float, float]] = {}
    for page in read_pages(folder / f"row-{paper}.pdf"):
        sheet = measure_sheet(page)
        if sheet is not None:
            found |= {label: (vane.span, vane.skin) for label, vane in sheet.vanes.items()}
            assert len(check_bars(page)) == 4
    assert found.keys() == wanted.keys()
    worst = max(math.dist(found[label], wanted[label]) for label in wanted)
    assert worst < 0.2


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "roll"])
def test_bars_of_every_sheet_and_that_nothing_leaves_the_page(
    written: tuple[LayoutPlan, Path], paper: str
) -> None:
    _, folder = written
    pages = read_pages(folder / f"row-{paper}.pdf")
    drawn = [page for page in pages if page.find(r"WRAP|STATION TAPE|NOSE GAUGE|sheet \d+ of")]
    assert len(drawn) >= 6
    for page in drawn:
        bars = check_bars(page)
        assert len(bars) == 4
        for (_, nominal), length in bars.items():
            assert length == pytest.approx(nominal, abs=0.05)
        text = " ".join(words.text for words in page.words)
        for needed in ("Invented two-seater", "revision 7", "TRIAL"):
            assert needed in text
        for spot in (spot for line in page.lines for spot in (line.start, line.end)):
            assert 6.0 < spot[0] < page.width - 6.0
            assert 6.0 < spot[1] < page.height - 6.0


def svg_lines(path: Path, layer: str) -> dict[str, list[tuple[float, float]]]:
    space = "{http://www.w3.org/2000/svg}"
    root = ET.fromstring(path.read_text(encoding="utf-8"))
    (group,) = (g for g in root.iter(f"{space}g") if g.get("id") == layer)
    lines = {}
    for number, line in enumerate(group.iter(f"{space}polyline")):
        points = [tuple(map(float, pair.split(","))) for pair in line.attrib["points"].split()]
        lines[line.get("id") or str(number)] = [(x, y) for x, y in points]
    return lines


def test_every_vane_in_the_svg(written: tuple[LayoutPlan, Path]) -> None:
    """Units are millimeters; across is the span, down the distance along the skin."""
    plan, folder = written
    text = (folder / "row.svg").read_text(encoding="utf-8")
    size = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm" viewBox="(\S+) (\S+) (\S+) (\S+)"', text)
    assert size is not None
    assert (size[1], size[2]) == (size[5], size[6])
    lines, wanted = svg_lines(folder / "row.svg", "vanes"), table(plan)
    assert lines.keys() == wanted.keys()
    right = 1.0 if plan.row.surface == "upper" else -1.0
    for label, (span, skin) in wanted.items():
        sense = right if label[0] == "R" else -right
        assert math.dist(lines[label][0], (sense * span, skin)) < 0.2
    bars = svg_lines(folder / "row.svg", "check_bars")
    assert {name: math.dist(*points) for name, points in bars.items()} == pytest.approx(
        {
            "bar_100_mm_span": 100.0,
            "bar_100_mm_chord": 100.0,
            "bar_4_in_span": 101.6,
            "bar_4_in_chord": 101.6,
        },
        abs=1e-3,
    )
    for caution in plan.cautions:
        assert caution.split("'")[0][:40] in text


def test_every_vane_in_the_dxf(written: tuple[LayoutPlan, Path]) -> None:
    """Read by the library that reads DXF files, after its own audit."""
    plan, folder = written
    document = readfile(folder / "row.dxf")
    assert not document.audit().errors
    assert document.header["$INSUNITS"] == 4  # millimeters
    space = document.modelspace()
    labels = [
        (entity.dxf.text.split()[0], entity.get_placement()[1])
        for entity in space.query('TEXT[layer=="VANE_NUMBERS"]')
        if isinstance(entity, Text)
    ]
    wanted = table(plan)
    right = 1.0 if plan.row.surface == "upper" else -1.0
    found = {}
    for line in space.query('LINE[layer=="VANES"]'):
        start, end = line.dxf.start, line.dxf.end
        label = min(labels, key=lambda each: each[1].distance(end))[0]
        sense = right if label[0] == "R" else -right
        found[label] = math.dist((start[0], start[1]), (sense * wanted[label][0], -wanted[label][1]))
    assert found.keys() == wanted.keys()
    assert max(found.values()) < 0.2
    assert {"FOREMOST_LINE", "VANES", "KEEP_OUTS", "CHECK_BARS", "WRAP"} <= {
        layer.dxf.name for layer in document.layers
    }
    if plan.fit.keep_outs:
        # One cap, on the left wing only.
        assert len(space.query('LWPOLYLINE[layer=="KEEP_OUTS"]')) == 1


def formula(wing: Wing, chord: float) -> np.ndarray:
    """The published section at 4,999 points, the forward half twenty steps from point to point [mm]."""
    section = naca_section(wing.stations[0].airfoil, points=4999, closed_trailing_edge=True)
    fine = np.linspace(1500, 3500, 40_001)
    return (
        1000.0
        * chord
        * np.column_stack([np.interp(fine, np.arange(4999), side) for side in (section.x, section.y)])
    )


@pytest.mark.parametrize("name", ["straight", "lower"])
def test_nose_curve_of_the_wrap_is_the_section(tmp_path: Path, name: str) -> None:
    """PDF, SVG and DXF against the formula (NACA Report 460); the row's mark where its tape puts it."""
    wing, plan = CASES[name]
    write_papers(
        plan, tmp_path, stem="row", wing=wing, aircraft="x", trial=False, revision="1", made_on="today"
    )
    exact = formula(wing, 1.5)
    page = next(p for p in read_pages(tmp_path / "row-a3.pdf") if p.find("WRAP, cheek"))
    (drawn,) = page.curves
    (chord_line,) = (line for line in page.lines if line.level and abs(line.length - 55.0) < 1e-3)
    zero = np.array(min(chord_line.start, chord_line.end))
    assert farthest(np.array(drawn) - zero, exact) < 0.2
    svg = np.array(svg_lines(tmp_path / "row.svg", "wrap")["cheek_1"]) * (1.0, -1.0)
    document = readfile(tmp_path / "row.dxf")
    (polyline,) = document.modelspace().query('LWPOLYLINE[layer=="WRAP"]')
    assert isinstance(polyline, LWPolyline)
    dxf = np.array([point[:2] for point in polyline.get_points()])
    in_svg = np.array(svg_lines(tmp_path / "row.svg", "wrap")["chord_line_1"][0]) * (1.0, -1.0)
    assert farthest(svg - in_svg, exact) < 0.2
    lines = document.modelspace().query('LINE[layer=="WRAP"]')
    (in_dxf,) = (e.dxf.start for e in lines if abs(math.dist(e.dxf.start, e.dxf.end) - 55.0) < 1e-6)
    assert farthest(dxf - np.array([in_dxf[0], in_dxf[1]]), exact) < 0.2
    along = tape_to_mark(page, np.array(drawn))
    assert along == pytest.approx(1000.0 * plan.vanes[0].skin_distance, abs=0.2)


def farthest(curve: np.ndarray, exact: np.ndarray) -> float:
    return max(float(np.min(np.hypot(*(exact - spot).T))) for spot in curve)


def tape_to_mark(page: Page, curve: np.ndarray) -> float:
    """Along the drawn curve from the foremost mark to the forward tips' mark, both 8 mm ticks [mm]."""
    ticks = [line for line in page.lines if abs(line.length - 8.0) < 1e-3]
    steps = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(curve, axis=0).T))))

    def place(line: Line) -> float:
        spot = np.array(line.start)
        nearest = int(np.argmin(np.hypot(*(curve - spot).T)))
        low = min(max(nearest - 1, 0), len(curve) - 2)
        best = []
        for at in (low, min(nearest, len(curve) - 2)):
            way = curve[at + 1] - curve[at]
            share = float(np.clip((spot - curve[at]) @ way / (way @ way), 0.0, 1.0))
            off = float(np.hypot(*(curve[at] + share * way - spot)))
            best.append((off, steps[at] + share * (steps[at + 1] - steps[at])))
        assert min(best)[0] < 0.05
        return float(min(best)[1])

    foremost, forward, _ = ticks
    return abs(place(forward) - place(foremost))


def test_tape_has_every_vane_of_both_wings(written: tuple[LayoutPlan, Path]) -> None:
    """Long ticks by the labelled scale of each piece."""
    plan, folder = written
    wanted = table(plan)
    seen: dict[tuple[str, str], float] = {}
    for paper in ("a4", "roll"):
        for page in read_pages(folder / f"row-{paper}.pdf"):
            if page.find("STATION TAPE") is None:
                continue
            numbers = [(w, float(w.text)) for w in page.words if re.fullmatch(r"\d+", w.text)]
            for words in page.words:
                found = re.fullmatch(r"([LR]\d+) [AB]", words.text)
                if found is None:
                    continue
                middle = words.at[0] + 0.5 * words.width
                tick = min(
                    (line for line in page.lines if line.width == 1.2 and line.upright),
                    key=lambda line: (
                        abs(line.start[0] - middle) + abs(max(line.start[1], line.end[1]) - words.at[1])
                    ),
                )
                piece = [w for w in numbers if abs(w[0].at[1] - (words.at[1] - 6.0)) < 1.5]
                seen[paper, found[1]] = scale(page, piece)(tick.start[0])
    for paper in ("a4", "roll"):
        for label, (span, _) in wanted.items():
            assert seen[paper, label] == pytest.approx(span, abs=0.2), (paper, label)


def scale(page: Page, numbers: list[tuple[Words, float]]) -> Callable[[float], float]:
    pairs = []
    for words, value in numbers:
        at, width = words.at, words.width
        ends = (at[0] - 0.6, at[0] + width + 0.6)
        ticks = [
            line.start[0]
            for line in page.lines
            if line.upright
            and line.width == 0.3
            and abs(min(line.start[1], line.end[1]) - (at[1] - 2.2)) < 0.2
        ]
        near = min(ticks, key=lambda x: min(abs(x - end) for end in ends))
        if min(abs(near - end) for end in ends) < 0.1:
            pairs.append((near, value))
    slope = round((pairs[-1][1] - pairs[0][1]) / (pairs[-1][0] - pairs[0][0]), 3) if len(pairs) > 1 else 0.0
    assert abs(slope) == 1.0
    start = float(np.mean([value - slope * x for x, value in pairs]))
    return lambda x: slope * x + start


def test_a_wrap_too_large_for_the_paper_is_said_on_the_first_pages(tmp_path: Path) -> None:
    wing = straight_wing()
    plan = lay_out(wing=wing, row=vane_row(station=0.2, span_to=1.0))
    write_papers(plan, tmp_path, stem="row", wing=wing, aircraft="x", trial=False, revision="1", made_on="t")
    for paper, whole in (("a4", False), ("roll", True)):
        pages = read_pages(tmp_path / f"row-{paper}.pdf")
        text = " ".join(words.text for page in pages[:4] for words in page.words)
        assert any(page.find("WRAP, cheek") for page in pages) == whole
        assert ("wrap is too large for this paper" in text) == (not whole)
    far = lay_out(wing=wing, row=vane_row(station=0.6, span_to=1.0))
    write_papers(far, tmp_path, stem="row", wing=wing, aircraft="x", trial=False, revision="1", made_on="t")
    text = " ".join(words.text for page in read_pages(tmp_path / "row-a3.pdf")[:4] for words in page.words)
    assert "find the row's line by tape" in text
