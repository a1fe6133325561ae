"""A real browser at the desk: a page that tells what it does wrong, and the accessibility checker."""

from __future__ import annotations

import shutil
from importlib import resources

from playwright.sync_api import Browser, Page

from tests.desk.desk_server import Desk

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
FOUND = next((path for path in map(shutil.which, BROWSERS) if path), None)
STAGES = ("start", "wing", "question", "prediction", "layout", "flights", "decision")
RUN = 180_000  # patience with a run [ms]
SIZES = {"laptop": (1280, 720), "wide": (1920, 1080), "phone": (390, 844)}


def opened(browser: Browser, desk: Desk, size: tuple[int, int] = SIZES["laptop"]) -> tuple[Page, list[str]]:
    """Return a page at the desk and what it does wrong, which grows."""
    page = browser.new_context(viewport={"width": size[0], "height": size[1]}).new_page()
    wrong: list[str] = []
    page.on("request", lambda asked: None if asked.url.startswith(desk.origin) else wrong.append(asked.url))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.goto(desk.address)
    return page, wrong


def serious_barriers(page: Page) -> list[str]:
    """Return what the accessibility checker calls serious or critical."""
    page.evaluate(resources.files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8"))
    found = page.evaluate("axe.run()")
    assert found["passes"]
    return [
        f"{one['id']}: {one['nodes'][0]['html'][:120]}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
    ]
