"""A real browser at the desk: by keyboard alone, in two tabs, and a project taken to another desk."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from slowflight.project import write_demo
from tests.desk.browsing import FOUND, opened
from tests.desk.desk_server import Desk, desk_on
from tests.report.example import prediction

pytestmark = pytest.mark.skipif(
    FOUND is None, reason="NO BROWSER: install chromium, or the desk's pages are not tried by keyboard here"
)
MOST_TABS = 150
FOCUSED = """() => { const e = document.activeElement, seen = getComputedStyle(e);
  return [e.id || e.innerText || e.getAttribute("aria-label") || e.name || "",
          seen.outlineStyle !== "none" && parseFloat(seen.outlineWidth) > 0]; }"""


@pytest.fixture(name="predicted")
def fixture_predicted(tmp_path: Path) -> Iterator[Desk]:
    folder = tmp_path / "own"
    write_demo(folder)
    (folder / "runs").mkdir()
    (folder / "runs" / "prediction.json").write_text(json.dumps(prediction()), encoding="utf-8")
    with desk_on(folder) as found:
        yield found


def tab_to(page: Page, name: str) -> None:
    """Press Tab until what bears this name has the focus, which has to be seen there."""
    met = []
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        found, seen = page.evaluate(FOCUSED)
        met.append(found.strip()[:40])
        if found.strip().startswith(name):
            assert seen, f"{name}: the focus cannot be seen"
            return
    raise AssertionError(f"{name} is not reached by Tab; met {met[:60]}")


def test_by_keyboard_alone_from_an_empty_folder_to_a_saved_answer(browser: Browser, tmp_path: Path) -> None:
    with desk_on(tmp_path / "new") as desk:
        page, wrong = opened(browser, desk)
        tab_to(page, "Take the invented two-seater")
        page.keyboard.press("Enter")
        page.wait_for_url("**/wing*")
        tab_to(page, "aircraft.mass")
        page.keyboard.press("ControlOrMeta+a")
        page.keyboard.type("560 kg")
        page.keyboard.press("Enter")  # in a field: saves
        page.wait_for_selector(".message")
        assert '"560 kg"' in (tmp_path / "new" / "wing.toml").read_text(encoding="utf-8")
        assert wrong == []


def test_by_keyboard_alone_the_wing_is_slowed_and_the_row_is_moved(browser: Browser, predicted: Desk) -> None:
    page, wrong = opened(browser, predicted)
    page.wait_for_selector("body[data-live=ready]")
    for slider, shown in (("live-angle", "#live-attitude"), ("nose-slider", "#nose-place")):
        tab_to(page, slider)
        before = page.inner_text(shown)
        for _ in range(10):
            page.keyboard.press("ArrowRight")
        assert page.inner_text(shown) != before
    assert [one for one in wrong if "404" not in one] == []


def test_of_two_tabs_the_second_overwrites_nothing(browser: Browser, predicted: Desk) -> None:
    first, wrong = opened(browser, predicted)
    second = first.context.new_page()
    for page in (first, second):
        page.goto(f"{predicted.origin}/wing")
    first.get_by_label("Weight as flown").fill("560 kg")
    first.get_by_role("button", name="Save", exact=True).click()
    second.get_by_label("Weight as flown").fill("570 kg")
    second.get_by_role("button", name="Save", exact=True).click()
    assert "made elsewhere" in second.inner_text(".message")
    assert second.get_by_label("Weight as flown").input_value() == "570 kg"
    text = (predicted.folder / "wing.toml").read_text(encoding="utf-8")
    assert '"560 kg"' in text
    assert '"570 kg"' not in text
    assert wrong == []


def test_a_project_is_taken_from_one_desk_to_another_by_clicks(
    browser: Browser, predicted: Desk, tmp_path: Path
) -> None:
    page, wrong = opened(browser, predicted)
    page.goto(f"{predicted.origin}/decision")
    with page.expect_download() as download:
        page.get_by_role("link", name="Without flight logs").click()
    kept = tmp_path / download.value.suggested_filename
    download.value.save_as(kept)
    assert kept.name == "own.zip"
    with desk_on(tmp_path / "theirs") as other:
        page, also = opened(browser, other)
        page.get_by_label("The file").set_input_files(kept)
        page.get_by_role("button", name="Open it here").click()
        assert "that aircraft only" in page.inner_text(".message")
        page.goto(f"{other.origin}/prediction")
        assert page.inner_text(".verdict h2") == "Worth a trial"
        assert [one for one in wrong + also if "404" not in one] == []
