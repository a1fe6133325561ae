"""Cards, offset sheet and half templates measured back."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from slowflight.layout.measuring_sheets import STATIONS, write_measuring_sheets
from slowflight.layout.strip_page import SheetTitle
from slowflight.wing.photo.cards import DOT, NOSE_CARD, RING, TAIL_CARD, WHITE
from tests.layout.measured import MM, check_bars, read_pages


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


def discs(path: Path, number: int) -> list[tuple[float, float, float]]:
    """Middle and radius of every filled round path of a page [mm], from its own curves."""
    reader = PdfReader(path)
    page = reader.pages[number]
    found, points = [], []
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        if operator in (b"m", b"l", b"c"):
            points.append([float(operands[-2]) * MM, float(operands[-1]) * MM])
        elif operator in (b"f", b"f*", b"S", b"n"):
            if operator in (b"f", b"f*") and len(points) >= 5:
                low, high = np.min(points, axis=0), np.max(points, axis=0)
                if abs(np.ptp(high - low)) < 1e-3:
                    found.append((*(0.5 * (low + high)).tolist(), float(0.5 * (high - low)[0])))
            points = []
    return found


def test_targets_stand_where_the_photograph_is_measured_by(tmp_path: Path) -> None:
    title = SheetTitle(aircraft="x", revision="-", made_on="today", trial=False)
    path = write_measuring_sheets(tmp_path / "s.pdf", paper="a4", title=title, chord_mm=1370.0, place="one")
    for number, card in enumerate((NOSE_CARD, TAIL_CARD)):
        drawn = {(round(x - 105.0, 3), round(148.5 - y, 3), round(r, 3)) for x, y, r in discs(path, number)}
        assert drawn == {(x, y, r) for x, y in card.targets for r in (RING, WHITE, DOT)}
