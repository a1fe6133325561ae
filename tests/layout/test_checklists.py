"""Dew point against another published formula; what checklists, log entry and form say."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from slowflight.errors import RangeError
from slowflight.layout.checklist_pages import write_checklists
from slowflight.layout.checklists import LISTS, count_sentence, log_entry
from slowflight.layout.dew_point import dew_point
from slowflight.layout.plan import lay_out
from slowflight.layout.strip_page import SheetTitle
from tests.layout.measured import read_pages
from tests.layout.wings import straight_wing, vane_row

PLAN = lay_out(wing=straight_wing(), row=vane_row(), mass_each=0.0015)


@pytest.mark.parametrize("temperature", [-5.0, 10.0, 20.0, 35.0])
@pytest.mark.parametrize("humidity", [0.3, 0.6, 0.95])
def test_dew_point_against_an_instrument_makers_formula(temperature: float, humidity: float) -> None:
    """A = 6.116441 hPa, m = 7.591386, T = 240.7263: published for -20 to 50 deg C with 0.083 % of error."""
    a, m, t = 6.116441, 7.591386, 240.7263
    pressure = humidity * a * 10.0 ** (m * temperature / (temperature + t))
    theirs = t / (m / math.log10(pressure / a) - 1.0)
    assert dew_point(temperature=temperature, humidity=humidity) == pytest.approx(theirs, abs=0.06)


def test_saturated_air_is_at_its_dew_point() -> None:
    assert dew_point(temperature=12.0, humidity=1.0) == pytest.approx(12.0)
    for bad in ({"temperature": 80.0, "humidity": 0.5}, {"temperature": 20.0, "humidity": 50.0}):
        with pytest.raises(RangeError):
            dew_point(**bad)


def test_missing_vane_rule_and_ways_off_without_lifting_paint() -> None:
    every = " ".join(LISTS["Before every flight: count"])
    assert "ONE MISSING" in every
    assert "mirror image" in every
    off = " ".join(LISTS["Take it off"])
    assert "fishing line" in off
    assert "Never pry" in off
    assert count_sentence(PLAN).startswith("76 on the LEFT wing, 76 on the RIGHT wing")


def test_log_entry_carries_counts_place_and_approval() -> None:
    text = log_entry(PLAN, aircraft="Invented two-seater", approval=None, revision="abc123")
    for needed in ("152 vortex generators", "76 on the left", "revision abc123", "0.228 kg", "NOT RECORDED"):
        assert needed in text
    assert "unchanged by this entry" in text
    approved = log_entry(PLAN, aircraft="x", approval="letter of 2 March", revision="1")
    assert "Approval: letter of 2 March" in approved


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pages_hold_every_line_and_a_place_for_every_vane(tmp_path: Path, paper: str) -> None:
    title = SheetTitle(aircraft="Invented two-seater", revision="7", made_on="today", trial=True)
    path = write_checklists(PLAN, tmp_path / "lists.pdf", paper=paper, title=title, approval=None)
    pages = read_pages(path)
    text = " ".join(words.text for page in pages for words in page.words)
    squeezed = text.replace(" ", "")
    for lines in LISTS.values():
        for line in lines:
            assert line[:50].replace(" ", "") in squeezed
    assert all(any(words.text == "TRIAL" for words in page.words) for page in pages)
    cells = [words.text for page in pages for words in page.words]
    for vane in PLAN.on("left"):
        assert f"{1000 * vane.span_position:.1f}" in cells
