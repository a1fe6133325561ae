"""The nose gauge measured back, and when none is drawn."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from slowflight.layout.plan import LayoutPlan, lay_out
from slowflight.layout.template import write_template
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation
from tests.layout.measured import Page, check_bars, read_pages
from tests.layout.wings import straight_wing, tapered_wing, vane_row


def gauge_pages(plan: LayoutPlan, folder: Path, *, paper: str = "a4") -> list[Page]:
    path = write_template(
        plan,
        folder / "template.pdf",
        paper=paper,
        aircraft="Invented two-seater",
        trial=False,
        revision="1",
        made_on="2026-11-25",
    )
    return [page for page in read_pages(path) if page.find("NOSE GAUGE")]


def origin(page: Page) -> tuple[float, float]:
    """Where the chord line starts: the leftmost end of the level line 55 mm long."""
    (line,) = (line for line in page.lines if line.level and abs(line.length - 55.0) < 1e-3)
    return min(line.start, line.end)


def nearest(spot: tuple[float, float], curve: np.ndarray) -> tuple[int, float]:
    distances = np.hypot(*(curve - np.array(spot)).T)
    return int(np.argmin(distances)), float(distances.min())


@pytest.mark.parametrize("surface", ["upper", "lower"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_gauge_is_the_section_at_full_size(tmp_path: Path, surface: str, paper: str) -> None:
    """Against the formula (NACA Report 460) at 4,999 points joined straight: nowhere 0.05 mm off."""
    plan = lay_out(wing=straight_wing(), row=vane_row(station=0.06, surface=surface, span_to=1.0))
    (page,) = gauge_pages(plan, tmp_path, paper=paper)
    section = naca_section("4415", points=4999, closed_trailing_edge=True)
    fine = np.linspace(1500, 3500, 40_001)  # the forward half, twenty steps from point to point
    formula = 1500.0 * np.column_stack(
        [np.interp(fine, np.arange(4999), side) for side in (section.x, section.y)]
    )
    (curve,) = page.curves
    drawn = np.array(curve) - np.array(origin(page))
    assert max(nearest((x, y), formula)[1] for x, y in drawn) < 0.05
    assert np.ptp(drawn[:, 0]) > 90.0
    assert drawn[:, 1].max() > 30.0
    assert drawn[:, 1].min() < -20.0
    bars = check_bars(page)
    assert len(bars) == 4
    for (_, nominal), length in bars.items():
        assert length == pytest.approx(nominal, abs=0.1)


@pytest.mark.parametrize("surface", ["upper", "lower"])
def test_marks_are_as_far_apart_along_the_skin_as_the_table_says(tmp_path: Path, surface: str) -> None:
    plan = lay_out(wing=straight_wing(), row=vane_row(station=0.06, surface=surface, span_to=1.0))
    (page,) = gauge_pages(plan, tmp_path)
    curve = np.array(page.curves[0])
    (foremost,) = (line for line in page.lines if line.level and abs(line.length - 12.0) < 1e-3)
    (mark,) = (line for line in page.lines if abs(line.length - 10.0) < 1e-3 and not line.level)
    first, off_first = nearest(max(foremost.start, foremost.end), curve)
    last, off_last = nearest(mark.start, curve)
    assert max(off_first, off_last) < 0.3
    assert curve[first, 0] == pytest.approx(curve[:, 0].min(), abs=1e-3)
    between = curve[min(first, last) : max(first, last) + 1]
    along = float(np.sum(np.hypot(*np.diff(between, axis=0).T)))
    # The marks stand between points of the outline, which are 0.4 mm apart.
    assert along == pytest.approx(1000 * plan.vanes[0].skin_distance, abs=0.4)
    assert page.find(re.escape(f"{1000 * plan.vanes[0].skin_distance:.1f} mm along the skin"))
    # Square to the skin, and away from the wing.
    way = np.array(mark.end) - np.array(mark.start)
    along_skin = curve[last + 1] - curve[last - 1]
    assert abs(float(way @ along_skin)) < 0.01 * np.linalg.norm(way) * np.linalg.norm(along_skin)
    assert (way[1] > 0.0) == (surface == "upper")


def test_one_gauge_for_a_straight_wing_two_for_a_tapered_one(tmp_path: Path) -> None:
    assert [gauge.chord for gauge in lay_out(wing=straight_wing(), row=vane_row()).gauges] == [1.5]
    plan = lay_out(wing=tapered_wing(), row=vane_row())
    assert [gauge.chord for gauge in plan.gauges] == pytest.approx([1.5 - 0.1 * 0.6, 1.5 - 0.1 * 3.8])
    pages = gauge_pages(plan, tmp_path)
    assert [page.find(r"at (\d+\.\d) mm")[1] for page in pages] == ["600.0", "3800.0"]  # type: ignore[index]


def test_no_gauge_between_sections_that_differ(tmp_path: Path) -> None:
    """What lies between was not measured; at a measured section it is drawn."""
    wing = tapered_wing(root="4412", tip="4418")
    plan = lay_out(wing=wing, row=vane_row())
    assert plan.gauges == ()
    assert gauge_pages(plan, tmp_path) == []
    assert any("no nose gauge" in text for text in plan.warnings)
    at_the_tip = lay_out(wing=wing, row=vane_row(span_to=4.0))
    assert len(at_the_tip.gauges) == 1
    assert any("no nose gauge is drawn for the row's start:" in text for text in at_the_tip.warnings)
    assert not any("no nose gauge" in text for text in lay_out(wing=tapered_wing(), row=vane_row()).warnings)


def test_gauge_is_not_for_the_whole_row_where_only_the_section_changes(tmp_path: Path) -> None:
    """A constant chord, one rib to 2 m and another one at the tip: a gauge for 'anywhere' would not fit."""
    root, tip = (naca_section(name, points=401, closed_trailing_edge=True) for name in ("4412", "4418"))
    again = naca_section("4412", points=401, closed_trailing_edge=True)
    wing = Wing(
        span=8.0,
        incidence=0.0,
        cabin_width=1.0,
        stations=tuple(
            WingStation(span_station=y, chord=1.5, washout=0.0, section=section, airfoil="rib")
            for y, section in ((0.0, root), (2.0, again), (4.0, tip))
        ),
    )
    plan = lay_out(wing=wing, row=vane_row())
    assert [gauge.everywhere for gauge in plan.gauges] == [False]
    (page,) = gauge_pages(plan, tmp_path)
    assert page.find(r"at 600\.0 mm")
    assert not page.find("anywhere along the row")
    assert any("no nose gauge is drawn for the row's end:" in text for text in plan.warnings)
    # up to where the section is measured and the same, one gauge serves the whole row
    inner = lay_out(wing=wing, row=vane_row(span_to=2.0))
    assert [gauge.everywhere for gauge in inner.gauges] == [True]
    (whole,) = gauge_pages(inner, tmp_path)
    assert whole.find("anywhere along the row")


@pytest.mark.parametrize("wing", [straight_wing(airfoil="4421", chord=2.6), straight_wing(chord=0.6)])
@pytest.mark.parametrize("station", [0.02, 0.3, 0.85])
def test_gauge_fits_its_page(tmp_path: Path, wing: Wing, station: float) -> None:
    plan = lay_out(wing=wing, row=vane_row(station=station, span_to=1.0))
    (page,) = gauge_pages(plan, tmp_path, paper="letter")
    heading = next(words for words in page.words if words.text == "NOSE GAUGE")
    for x, y in page.curves[0]:
        assert 10.0 < x < page.width - 10.0
        assert heading.at[1] + 4.0 < y < page.height - 10.0
    beyond = page.find("forward tips lie beyond") is not None
    marks = [line for line in page.lines if math.isclose(line.length, 10.0, abs_tol=1e-3) and not line.level]
    assert len(marks) == (0 if beyond else 1)
