"""A desk on the demonstration's folder, started once for all tests that only look."""

from collections.abc import Iterator

import pytest

from slowflight.project import write_demo
from tests.desk.desk_server import Desk, desk_on


@pytest.fixture(scope="module", name="desk")
def fixture_desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = tmp_path_factory.mktemp("desk") / "invented"
    write_demo(folder)
    with desk_on(folder) as found:
        yield found
