"""Cards, offset sheet and half templates measured back."""

from __future__ import annotations

from pathlib import Path

import pytest

from slowflight.layout.measuring_sheets import STATIONS, write_measuring_sheets
from slowflight.layout.strip_page import SheetTitle
from tests.layout.measured import check_bars, read_pages


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_sheets(tmp_path: Path, paper: str) -> None:
    title = SheetTitle(aircraft="Invented two-seater", revision="-", made_on="today", trial=False)
    path = write_measuring_sheets(
        tmp_path / "sheets.pdf", paper=paper, title=title, chord_mm=1370.0, place="station 1"
    )
    nose, tail, offsets, upper, lower = read_pages(path)
    for page in (nose, tail, upper, lower):
        bars = check_bars(page)
        assert len(bars) == 4
        for (_, nominal), length in bars.items():
            assert length == pytest.approx(nominal, abs=0.05)
    assert nose.find("NOSE CARD")
    assert tail.find("TAIL CARD")
    cells = {words.text for words in offsets.words}
    for share in STATIONS:
        assert f"{1370.0 * share:.1f}" in cells
    assert upper.find("HALF TEMPLATE, UPPER")
    assert lower.find("HALF TEMPLATE, LOWER")
    for page in (nose, tail, offsets):
        assert page.find("no clearance to fly slower")
