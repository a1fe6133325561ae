"""The desk's own description of itself, asked at random: no answer is a mistake of the server."""

import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from slowflight.desk.application import open_application
from tests.desk.desk_server import Desk, desk_on

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # of the library and those it brings
    import schemathesis

SCHEMA = schemathesis.openapi.from_dict(open_application(Path("nowhere")).openapi())
# These start what takes minutes; what they refuse is asked for below.
ASKED = SCHEMA.exclude(path="/demo").exclude(path="/run/{kind}")


@pytest.fixture(scope="module", name="empty")
def fixture_empty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with desk_on(tmp_path_factory.mktemp("schema") / "empty") as found:
        yield found


@ASKED.parametrize()
@settings(max_examples=20, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_no_request_is_a_mistake_of_the_server(case: Any, empty: Desk) -> None:
    headers = {"Origin": empty.origin, "Cookie": f"desk-{empty.port}={empty.token}"}
    answer = case.call(base_url=empty.origin, headers=headers, allow_redirects=False, timeout=60)
    assert answer.status_code < 500, (case.method, case.path, answer.text[:300])


@pytest.mark.parametrize("kind", ["rm", "predict;x", "..", "%00", "PREDICT"])
def test_a_run_that_is_none_is_refused_in_words(empty: Desk, kind: str) -> None:
    answer = empty.ask("POST", f"/run/{kind}")
    assert answer.status in (404, 405, 422)
    assert "Nothing was changed" in answer.text or answer.status != 422
