"""The whole job in a real browser, from an empty folder to the verdict, by clicks and uploads alone.

Nothing is put into the folder from outside, and the prediction is computed: one flap setting, one place along
the chord, which takes about two minutes and a half of one core.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from slowflight.project import write_demo
from slowflight.verbs.flying_demo import invent_flights
from tests.desk.browsing import FOUND, opened
from tests.desk.desk_server import Desk, desk_on

pytestmark = pytest.mark.skipif(
    FOUND is None, reason="NO BROWSER: install chromium, or the whole job is not tried by clicks here"
)
COMPUTING = 1_500_000  # patience with the prediction on a machine that is busy with other tests [ms]
RUN = 300_000
FIRST = {
    "Name": "Ours",
    "Span": "9.3 m",
    "Chord": "1370 mm",
    "Weight as flown": "545 kg",
    "Slowest speed shown": "36 kt",
    "Ground attitude": "12.6 deg",
}


@pytest.fixture(name="logs")
def fixture_logs(tmp_path: Path) -> list[Path]:
    """Files such as an owner has: logs of three flights before and three after, written by a simulator."""
    folder = tmp_path / "elsewhere"
    write_demo(folder)
    invent_flights(folder)
    return sorted((folder / "flights" / "logs").glob("*.csv"))


def run_to_its_end(page: Page, patience: int = RUN) -> str:
    page.wait_for_selector("#run[data-state=done]", timeout=patience)
    return page.inner_text("#run")


def test_from_an_empty_folder_to_the_verdict(browser: Browser, tmp_path: Path, logs: list[Path]) -> None:
    with desk_on(tmp_path / "ours") as desk:
        page, wrong = opened(browser, desk)
        assert list(desk.folder.iterdir()) == []
        _ask(page)
        _predict(page)
        _lay_out(page, desk)
        _fly(page, desk, logs)
        _strike_and_count_again(page, desk)
        _decide(page, desk)
        assert wrong == []


def _ask(page: Page) -> None:
    for label, answer in FIRST.items():
        page.get_by_label(re.compile(f"^{label}")).first.fill(answer)
    page.get_by_label(re.compile("^Flap")).select_option("none")
    page.get_by_role("button", name="Begin with my wing").click()
    assert "marked a guess" in page.inner_text(".message")
    page.get_by_role("link", name="Next: the question").click()
    page.get_by_label("Places to try").fill('["8 %"]')
    page.get_by_role("button", name="Save", exact=True).click()
    assert "Saved: question.positions" in page.inner_text(".message")
    page.get_by_role("link", name="Next: the prediction").click()


def _predict(page: Page) -> None:
    page.get_by_role("button", name="Predict").click()
    assert "predicted" in run_to_its_end(page, COMPUTING)
    assert page.inner_text(".verdict h2").lower() in ("worth a trial", "not worth it", "cannot tell")
    assert "keep" not in page.inner_text(".verdict").lower()
    page.wait_for_selector("body[data-live=ready]")
    page.get_by_label("Nose up", exact=False).last.press("ArrowRight")
    assert "Predicted" in page.inner_text("#live-sentence")
    page.get_by_role("link", name="Next: the layout").click()


def _lay_out(page: Page, desk: Desk) -> None:
    page.get_by_role("button", name="Lay out the row").click()
    assert "vanes are laid out" in run_to_its_end(page)
    with page.expect_download() as sheet:
        page.get_by_role("link", name="row-positions.csv").click()
    assert sheet.value.suggested_filename == "row-positions.csv"
    page.get_by_role("link", name="Next: the flights").click()


def _fly(page: Page, desk: Desk, logs: list[Path]) -> None:
    for side in ("before", "after"):
        page.goto(f"{desk.origin}/flights")
        page.get_by_label("Logs and cards").set_input_files([log for log in logs if side in log.name])
        page.get_by_label(re.compile("^Flown")).select_option(side)
        page.get_by_label("Weight at the start").fill("550 kg")
        page.get_by_label("Center of gravity").fill("27 %")
        page.get_by_label("The columns and units").check()
        page.get_by_role("button", name="Take them in").click()
        page.wait_for_selector("#run[data-state=starting], #run[data-state=running], #run[data-state=done]")
        assert "3 flights taken in" in run_to_its_end(page)
    page.get_by_role("link", name="Answer for each flight").click()
    page.locator('input[name="flight.0.fuel_burn"]').fill("15 l/h")
    page.get_by_role("button", name="Save the answers").click()
    assert "Saved: flight.0.fuel_burn" in page.inner_text(".message")
    page.get_by_role("button", name="Reduce the flights").click()
    run_to_its_end(page)


def _strike_and_count_again(page: Page, desk: Desk) -> None:
    book = desk.folder / "flights" / "flights.toml"
    for button, counts in (("Strike", "Struck"), ("Count it again", "Counts")):
        page.goto(f"{desk.origin}/flights")
        stall = page.locator(".stalls article").first
        stall.get_by_placeholder("why, as you saw it").fill("a gust, seen on the wing")
        stall.get_by_role("button", name=button).click()
        page.wait_for_selector("#run[data-state=starting], #run[data-state=running], #run[data-state=done]")
        run_to_its_end(page)
        page.goto(f"{desk.origin}/flights")
        assert page.locator(".stalls article").first.locator("strong").first.inner_text() == counts
    flight = tomllib.loads(book.read_text(encoding="utf-8"))["flight"][0]
    assert flight["restore"][0]["reason"] == "a gust, seen on the wing"


def _decide(page: Page, desk: Desk) -> None:
    page.goto(f"{desk.origin}/decision")
    assert page.inner_text("#verdict").lower() in ("keep", "move", "remove", "fly more")
    assert "MEASURED" in page.inner_text(".verdict .stamp")
    page.get_by_role("button", name="Write the report").click()
    run_to_its_end(page)
    assert page.get_by_role("link", name="Open the report").count() == 1
