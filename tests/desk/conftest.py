"""A desk on the demonstration's folder, started once for all tests that only look."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

from slowflight.project import write_demo
from tests.desk.browsing import FOUND
from tests.desk.desk_server import Desk, desk_on


@pytest.fixture(scope="module", name="desk")
def fixture_desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = tmp_path_factory.mktemp("desk") / "invented"
    write_demo(folder)
    with desk_on(folder) as found:
        yield found


@pytest.fixture(scope="module", name="browser")
def fixture_browser() -> Iterator[Browser]:
    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=FOUND, args=["--no-sandbox"])
        yield found
        found.close()
