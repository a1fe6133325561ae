"""Every page of the desk in every state: no serious barrier, nothing over the edge, no error of a script."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from slowflight.desk.runs import state_file, write_state
from slowflight.project import write_demo
from slowflight.verbs import fly
from slowflight.verbs.flying_demo import invent_flights
from tests.desk.browsing import FOUND, SIZES, STAGES, opened, serious_barriers
from tests.desk.desk_server import Desk, desk_on
from tests.desk.laid_out import write_laid_out
from tests.report.example import prediction

pytestmark = pytest.mark.skipif(
    FOUND is None, reason="NO BROWSER: install chromium, or the pages' states are not looked at here"
)
PAGES = (*STAGES, "flights/answers", "flights/tufts", "layout/installed", "help", "nonsense")
ENDED = ("prediction", "flights/answers")
STATES = ("running", "refused", "stopped", "cancelled", "done")
RUN = {
    "id": "x", "kind": "predict", "what": "lift curves", "done": 3, "total": 9, "left_s": 300.0,
    "message": "flights.toml: flight 2 (before-2) mass: found '54'; needs a unit",
}  # fmt: skip


@pytest.fixture(scope="module", name="full")
def fixture_full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A desk on a folder that has everything: wing, prediction, layout, flights."""
    folder = write_laid_out(tmp_path_factory.mktemp("states") / "own")
    (folder / "runs").mkdir(exist_ok=True)
    (folder / "runs" / "prediction.json").write_text(json.dumps(prediction()), encoding="utf-8")
    invent_flights(folder)
    fly(folder)
    with desk_on(folder) as found:
        yield found


def barriers(page: Page, width: int) -> list[str]:
    """Return what the checker calls serious, and what runs over the edge."""
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true;")
    over = page.evaluate("document.documentElement.scrollWidth") - width
    return [*serious_barriers(page), *([f"{over} pixels over the edge"] if over > 0 else [])]


@pytest.mark.parametrize("size", SIZES)
def test_a_full_folder_has_no_serious_barrier_with_everything_folded_out(
    browser: Browser, full: Desk, size: str
) -> None:
    page, wrong = opened(browser, full, SIZES[size])
    for name in PAGES:
        page.goto(f"{full.origin}/{name}")
        page.wait_for_load_state("networkidle")
        assert barriers(page, SIZES[size][0]) == [], name
    assert [one for one in wrong if "404" not in one] == []  # the page that is not there


@pytest.mark.parametrize("state", STATES)
def test_no_state_of_a_run_raises_a_barrier(browser: Browser, full: Desk, state: str) -> None:
    # An hour ahead: a note that nobody renews would soon be called stopped.
    write_state(full.folder, {**RUN, "state": state, "begun": time.time(), "written": time.time() + 3600.0})
    try:
        page, _ = opened(browser, full)
        # What a run that is going on changes differs from page to page; what an ended one says does not.
        for name in PAGES if state == "running" else ENDED:
            page.goto(f"{full.origin}/{name}")
            page.wait_for_selector(f"#run[data-state={state}]")
            assert barriers(page, SIZES["laptop"][0]) == [], name
    finally:
        page.context.close()
        state_file(full.folder).unlink()


@pytest.mark.parametrize("kind", ["empty", "wing only"])
def test_an_empty_folder_has_no_barrier_and_says_what_to_do(
    browser: Browser, tmp_path: Path, kind: str
) -> None:
    if kind == "wing only":
        write_demo(tmp_path)
    with desk_on(tmp_path) as desk:
        page, _ = opened(browser, desk, SIZES["phone"])
        for name in PAGES[:-1]:
            page.goto(f"{desk.origin}/{name}")
            assert barriers(page, SIZES["phone"][0]) == [], name
            assert page.locator("main a, main button").count() > 0, name
        page.context.close()


def test_a_refused_answer_is_told_to_who_cannot_see_it(browser: Browser, full: Desk) -> None:
    page, _ = opened(browser, full)
    page.goto(f"{full.origin}/flights/answers")
    page.locator('input[name="flight.0.mass"]').fill("54")
    page.get_by_role("button", name="Save the answers").click()
    field = page.locator('input[name="flight.0.mass"]')
    assert page.get_by_role("alert").count() == 1
    assert field.get_attribute("aria-invalid") == "true"
    said = page.locator(f"#{field.get_attribute('aria-describedby')}")
    assert "unit" in said.inner_text()
    assert barriers(page, SIZES["laptop"][0]) == []
