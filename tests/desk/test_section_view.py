"""The section with its vane: to scale on the wire, and zoomed to the millimeter in a real browser."""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.desk.browsing import FOUND, opened
from tests.desk.desk_server import Desk, desk_on
from tests.desk.laid_out import write_laid_out

BAR = """() => { const path = document.querySelector("#section-view .bar-line").getAttribute("d");
  const words = document.querySelector("#section-view .bar-words").textContent;
  return [Number(path.match(/H([\\d.]+)/)[1]) - 20, words]; }"""
FIN = """() => { const path = document.querySelector("#section-view .fin").getAttribute("d");
  return [...path.matchAll(/([-\\d.]+) ([-\\d.]+)/g)].map((one) => [Number(one[1]), Number(one[2])]); }"""


@pytest.fixture(scope="module", name="laid_out")
def fixture_laid_out(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with desk_on(write_laid_out(tmp_path_factory.mktemp("section") / "own")) as found:
        yield found


@pytest.fixture(scope="module", name="shown")
def fixture_shown(laid_out: Desk) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(laid_out.ask("GET", "/section").text)
    return found


def test_the_vane_stands_where_the_layout_says_and_as_high_and_long(
    laid_out: Desk, shown: dict[str, Any]
) -> None:
    layout = json.loads((laid_out.folder / "layout" / "layout.json").read_text(encoding="utf-8"))
    row, plan, rib = shown["rows"][0], layout["row"], layout["ribs"][0]
    assert row["skin_mm"] == pytest.approx(rib["skin_distance_mm"], abs=0.01)
    vane = row["vane"]
    assert vane[0][0] == pytest.approx(rib["chord_distance_mm"], abs=0.01)  # its forward tip
    assert math.dist(vane[0], vane[-1]) == pytest.approx(plan["height_mm"], abs=0.01)
    base = vane[: len(vane) // 2]
    along = sum(math.dist(one, two) for one, two in itertools.pairwise(base))
    # Turned by its toe it covers so much of the skin, seen along the span.
    assert along == pytest.approx(plan["length_mm"] * math.cos(math.radians(plan["incidence_deg"])), abs=0.05)


def test_the_tape_counts_millimeters_along_the_skin(shown: dict[str, Any]) -> None:
    row = shown["rows"][0]
    for one, two in itertools.pairwise(row["ticks"]):
        assert two[0] - one[0] == 1
        assert math.dist(one[1:3], two[1:3]) == pytest.approx(1.0, abs=0.01)
        assert math.hypot(*one[3:]) == pytest.approx(1.0, abs=1e-3)
    nearest = min(row["ticks"], key=lambda tick: abs(tick[0] - row["skin_mm"]))
    off = abs(nearest[0] - row["skin_mm"])
    assert math.dist(nearest[1:3], row["vane"][0]) == pytest.approx(off, abs=0.02)
    xs = [x for x, _ in shown["outline"]]
    assert max(xs) == pytest.approx(shown["chord_mm"], rel=0.01)


@pytest.mark.skipif(FOUND is None, reason="NO BROWSER: install chromium, or the section is not zoomed here")
def test_zoomed_by_buttons_keys_wheel_and_fingers_bar_and_vane_stay_in_scale(
    browser: Browser, laid_out: Desk, shown: dict[str, Any]
) -> None:
    page, wrong = opened(browser, laid_out)
    page.goto(f"{laid_out.origin}/layout")
    page.wait_for_selector("body[data-section=ready]")
    first = _scale(page, shown)
    page.get_by_role("button", name="To the vane").click()
    near = _scale(page, shown)
    assert near > 10.0 * first
    view = page.locator("#section-view")
    view.focus()
    page.keyboard.press("+")
    keyed = _scale(page, shown)
    assert keyed == pytest.approx(1.4 * near, rel=0.02)
    before = page.evaluate(FIN)[0]
    page.keyboard.press("ArrowRight")
    assert page.evaluate(FIN)[0][0] == pytest.approx(before[0] - 80.0, abs=0.5)
    view.hover()
    page.mouse.wheel(0, 600)
    page.wait_for_timeout(200)
    assert _scale(page, shown) < keyed
    page.keyboard.press("0")
    assert _scale(page, shown) == pytest.approx(first, rel=1e-3)
    _pinch(page)
    assert _scale(page, shown) == pytest.approx(2.0 * first, rel=0.05)
    page.get_by_role("button", name="Show mm or in").click()
    assert page.evaluate(BAR)[1].endswith(" in")
    _scale(page, shown)
    assert wrong == []


def _scale(page: Page, shown: dict[str, Any]) -> float:
    """Return units of the drawing to the millimeter by its bar; the vane's height has to agree."""
    long, words = page.evaluate(BAR)
    number, unit = words.split(" ")
    parts = [float(one) for one in number.split("/")]
    size = parts[0] / (parts[1] if len(parts) > 1 else 1.0) * {"mm": 1.0, "in": 25.4}[unit]
    fin = page.evaluate(FIN)
    high = math.dist(fin[0], fin[-1])
    scale = float(long) / size
    assert high / shown["rows"][0]["height_mm"] == pytest.approx(scale, abs=0.15 / 8.0)
    return scale


def _pinch(page: Page) -> None:
    """Two fingers that end twice as far apart."""
    page.evaluate(
        """() => { const view = document.getElementById("section-view"), box = view.getBoundingClientRect();
        const send = (kind, id, x) => view.dispatchEvent(new PointerEvent(kind, {
          pointerId: id, bubbles: true, clientX: box.left + x, clientY: box.top + box.height / 2 }));
        view.setPointerCapture = () => {};
        send("pointerdown", 11, 300); send("pointerdown", 12, 500);
        send("pointermove", 11, 200); send("pointermove", 12, 600);
        send("pointerup", 11, 200); send("pointerup", 12, 600); }"""
    )
