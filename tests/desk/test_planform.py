"""The half wing from above: what is red is what is saved at the nearest angle, and nothing beyond it."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from slowflight.project import write_demo
from tests.desk.browsing import FOUND, opened
from tests.desk.desk_server import Desk, desk_on
from tests.report.example import prediction

# The demonstration's half span is 4.65 m: 9.3 m from tip to tip.
ROWS = [
    {"wing_angle_deg": 15.0, "stalled_m": [[0.0, 0.93]]},
    {"wing_angle_deg": 16.0, "stalled_m": [[0.0, 1.86]]},
    {"wing_angle_deg": 17.0, "stalled_m": [[0.0, 2.79], [3.72, 4.65]]},
]


@pytest.fixture(name="predicted")
def fixture_predicted(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = tmp_path_factory.mktemp("planform") / "own"
    write_demo(folder)
    record = prediction()
    one = next(one for one in record["settings"] if one.get("predicted") and one.get("clean"))
    spread = {"rows": ROWS, "stall_angle_deg": 17.0, "first_angle_deg": 14.6}
    one["in_the_air"] = {**(one.get("in_the_air") or {}), "spread": {"clean": spread}}
    (folder / "runs").mkdir()
    (folder / "runs" / "prediction.json").write_text(json.dumps(record), encoding="utf-8")
    with desk_on(folder) as found:
        yield found


def at(page: Page, wing_angle: float) -> tuple[str, int]:
    """Move the slider; return the words without vanes, and how many stretches are red."""
    page.evaluate(
        """async (angle) => { const data = await (await fetch("/planform")).json();
        const s = document.getElementById("live-angle"); s.step = "any"; s.value = angle - data.incidence_deg;
        s.dispatchEvent(new Event("input")); }""",
        wing_angle,
    )
    return page.inner_text("#planform-clean-words"), page.locator("#planform-clean .let-go").count()


@pytest.mark.skipif(
    FOUND is None, reason="NO BROWSER: install chromium, or the planform is not looked at here"
)
def test_the_stall_spreads_with_the_slider_as_saved(browser: Browser, predicted: Desk) -> None:
    page, wrong = opened(browser, predicted)
    page.wait_for_selector("body[data-planform=ready]")
    words, red = at(page, 12.0)
    assert "No part of the span" in words
    assert red == 0
    words, red = at(page, 15.3)
    assert words.startswith("20 % of the span")
    assert "computed at 15°" in words
    assert red == 1
    words, red = at(page, 16.9)
    assert words.startswith("80 % of the span")
    assert red == 2
    words, red = at(page, 18.0)
    assert "Not computed beyond 17°" in words
    assert red == 0
    assert page.inner_text("#planform-vanes-words") == "How its stall spreads is not computed."
    page.get_by_role("button", name="Show m or ft").click()
    at(page, 15.3)
    assert " ft" in page.inner_text("#planform-clean-words")
    assert [one for one in wrong if "404" not in one] == []
