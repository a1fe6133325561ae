"""Each quantity has one plain sentence and one for the engineer, and stands on its stage's page."""

import html
import re
from pathlib import Path

import pytest

from slowflight.desk.quantities import QUANTITIES, STEPS, Quantity
from slowflight.desk.records import STAGES
from slowflight.project import write_demo
from tests.desk.desk_server import desk_on

EVERY = [one for found in QUANTITIES.values() for one in found]
# What only an engineer reads.
LEARNED = (
    "coefficient",
    "equivalence",
    "normal acceleration",
    "Reynolds",
    "boundary",
    "equation",
    "likelihood",
)


def test_every_stage_has_quantities_and_every_step_leads_somewhere() -> None:
    assert list(QUANTITIES) == [key for key, _ in STAGES]
    assert all(QUANTITIES.values())
    assert {page for page, _, _ in STEPS} <= {"start", *QUANTITIES}


@pytest.mark.parametrize("one", EVERY, ids=lambda one: str(one.name))
def test_a_quantity_has_one_sentence_of_each_kind(one: Quantity) -> None:
    for words in (one.plain, one.engineer):
        assert words[0].isupper()
        assert words.endswith(".")
        assert len(re.findall(r"[.?!](?:\\s|$)", words)) == 1, words
    assert not any(word in one.plain for word in LEARNED)
    assert len(one.plain) <= 140


def test_each_page_tells_its_own_and_the_help_tells_all(tmp_path: Path) -> None:
    write_demo(tmp_path)
    with desk_on(tmp_path) as desk:
        for stage, found in QUANTITIES.items():
            page = html.unescape(desk.ask("GET", f"/{stage}").text)
            assert all(one.plain in page and one.engineer in page for one in found), stage
        whole = html.unescape(desk.ask("GET", "/help").text)
        assert all(one.engineer in whole for one in EVERY)
        assert all(words in whole for _, _, words in STEPS)
    with desk_on(tmp_path / "new") as desk:
        assert 'href="/help"' in desk.ask("GET", "/start").text
