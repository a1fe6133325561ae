"""Sheets for measuring a wing at home: photo cards, an offset sheet, half templates."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from reportlab.platypus import Table

from slowflight.layout.files import replace_file
from slowflight.layout.ink import GRAY, HAIR, INCH, POINTS_PER_MM, THIN, Ink, blank_pdf
from slowflight.layout.page_foot import FOOT_ROOM, draw_foot
from slowflight.layout.sheets import MARGIN, PAPERS, SheetFrame, page_frame
from slowflight.layout.strip_page import SheetTitle
from slowflight.layout.upright_pages import GRID, HEADING, TITLE, UprightPages, paragraph
from slowflight.wing.photo.cards import DOT, NOSE_CARD, RING, TAIL_CARD, WHITE, Card

# Common practice, no source: close together where the skin turns [shares of the chord].
STATIONS = (0.0, 0.005, 0.01, 0.015, 0.025, 0.05, 0.075, 0.10, 0.15, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80,
            0.90, 0.95, 1.0)  # fmt: skip
PHOTO = (
    "Lay or hang the rib (end rib, or a cut-out tracing) DARK on a plain WHITE ground, upper side up in the"
    " picture:"
    " paint it, or cover it with dark paper cut to its edge. Lay the NOSE card at the nose and the TAIL card"
    " at the"
    " trailing edge, clear of the rib, flat in the SAME plane as its edge. Even light, no flash. Stand three"
    " chords"
    " away or more and zoom in; the whole rib within the middle of the picture, at least 3,000 pixels across."
    " Measure"
    " the chord by tape, from the nose straight to the trailing edge."
)


def write_measuring_sheets(
    path: Path | str, *, paper: str, title: SheetTitle, chord_mm: float, place: str
) -> Path:
    """Write both photo cards, the offset sheet and half templates for one chord.

    Parameters
    ----------
    path : Path or str
    paper : str
        ``"a4"`` or ``"letter"``.
    title : SheetTitle
    chord_mm : float
        Of the station to measure [mm].
    place : str
        Which station that is, in words.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where the file cannot be written.
    """
    written = io.BytesIO()
    canvas = blank_pdf(written, title=f"{title.aircraft}: measuring sheets")
    frame = page_frame(paper, across=False)
    for card in (NOSE_CARD, TAIL_CARD):
        canvas.setPageSize((frame.width * POINTS_PER_MM, frame.height * POINTS_PER_MM))
        _card(Ink(canvas), card, frame, title)
        canvas.showPage()
    _offsets(canvas, paper, title, chord_mm, place)
    for upper in (True, False):
        wide = page_frame(paper, across=True)
        canvas.setPageSize((wide.width * POINTS_PER_MM, wide.height * POINTS_PER_MM))
        _half(Ink(canvas), wide, title, chord_mm, place, upper=upper)
        canvas.showPage()
    canvas.save()
    return replace_file(path, written.getvalue())


def _card(ink: Ink, card: Card, frame: SheetFrame, title: SheetTitle) -> None:
    """A card: targets at their places, bars between them, words where no target is."""
    x0, y0 = 0.5 * frame.width, 0.5 * frame.height
    k = POINTS_PER_MM
    for x, y in card.targets:
        for radius, gray in ((RING, 0.0), (WHITE, 1.0), (DOT, 0.0)):
            ink.canvas.setFillGray(gray)
            ink.canvas.circle((x0 + x) * k, (y0 - y) * k, radius * k, stroke=0, fill=1)
    ink.text((x0, y0 + 50.0), f"{card.name} CARD", size=15, bold=True, anchor="middle")
    ink.block((x0 - 62.0, y0 + 44.0), PHOTO, size=7.0, room=124.0)
    ink.bar((x0 - 50.0, y0 - 40.0), length=100.0, upright=False, label="100 mm", step=10.0)
    ink.bar((x0 - 50.0, y0 - 50.0), length=4.0 * INCH, upright=False, label="4 in", step=INCH)
    ink.bar((x0 + 64.0, y0 - 70.0), length=100.0, upright=True, label="100 mm", step=10.0)
    ink.bar((x0 + 74.0, y0 - 70.0), length=4.0 * INCH, upright=True, label="4 in", step=INCH)
    words = "print at 100 %: all bars must measure true, or the wing comes out wrong"
    ink.text((x0, y0 - 57.0), words, size=6.5, anchor="middle")
    words = f"{title.aircraft}; {title.made_on}. Measuring only: no clearance to fly slower."
    ink.text((x0, y0 - 62.0), words, size=6.5, anchor="middle", room=120.0)


def _offsets(canvas: Any, paper: str, title: SheetTitle, chord_mm: float, place: str) -> None:
    width, height = PAPERS[paper]
    foot = f"{title.aircraft}; offset sheet; {title.made_on}. Measuring only: no clearance to fly slower."
    pages = UprightPages(canvas, width=width, height=height, trial=False, foot=foot)
    pages.begin()
    pages.flow(paragraph("Offset sheet", TITLE))
    pages.flow(
        paragraph(
            f"{place}: chord {chord_mm:.0f} mm ({chord_mm / INCH:.2f} in) as wing.toml says; measured:"
            " __________."
            " Straightedge on two equal blocks, parallel to the chord line; stations from where a square"
            " touches the"
            " nose; heights above the chord line, below it with a minus sign. Measured by __________ on"
            " __________"
        )
    )
    rows = [["% chord", "station mm", "in", "upper mm", "upper again", "lower mm", "lower again"]]
    blank = "____________"
    for share in STATIONS:
        at = share * chord_mm
        rows.append([f"{100 * share:g}", f"{at:.1f}", f"{at / INCH:.2f}", blank, blank, blank, blank])
    pages.flow(Table(rows, style=GRID, hAlign="LEFT"), after=3.0)
    pages.flow(paragraph("Type it as a text file", HEADING))
    for line in (
        f"# rib, chord {chord_mm:.0f} mm",
        "station mm, upper mm, lower mm",
        "0, 0.0, 0.0",
        f"{0.01 * chord_mm:.1f}, ..., ...",
    ):
        pages.flow(paragraph(line), after=0.2)
    pages.flow(
        paragraph(
            "and name the file as airfoil in wing.toml. Two readings that differ by more than half a"
            " millimeter:"
            " measure that side again (common practice, no source)."
        )
    )
    pages.end()


def _half(
    ink: Ink, frame: SheetFrame, title: SheetTitle, chord_mm: float, place: str, *, upper: bool
) -> None:
    """A millimeter field from the nose aft, for tracing a contour gauge or cutting half a template."""
    side = "UPPER" if upper else "LOWER"
    words = (
        f"Press a contour gauge on the {side.lower()} side, lay it here with its end on the foremost line and"
        " trace it. Or glue to card, cut along the trace and try it on the wing until no daylight shows. Both"
        " halves"
        " meet on the chord line. Read heights at the stations into the offset sheet, or blacken the cut-out"
        " and"
        " photograph it with both cards."
    )
    draw_foot(ink, frame, title, heading=f"HALF TEMPLATE, {side} side of the nose: {place}", lines=(words,))
    left, right = MARGIN + 15.0, frame.width - MARGIN - 28.0
    low, high = MARGIN + FOOT_ROOM + 8.0, frame.height - MARGIN - 8.0
    # The chord line lies along the edge that both halves share.
    zero = low + 8.0 if upper else high - 8.0
    ink.line((left, low), (left, high), width=THIN)
    ink.line((left - 8.0, zero), (right, zero), width=THIN)
    for step in range(1, int((right - left) // 10) + 1):
        x = left + 10.0 * step
        ink.line(
            (x, low),
            (x, high),
            width=HAIR,
            gray=GRAY if step % 5 else 0.0,
            dash=() if step % 5 == 0 else (1, 2),
        )
        if step % 5 == 0:
            ink.text((x + 0.6, high + 1.0), f"{10 * step} mm, {1000.0 * step / chord_mm:.1f} %", size=6)
    way = 1.0 if upper else -1.0
    for step in range(1, int((high - low - 8.0) // 10) + 1):
        y = zero + way * 10.0 * step
        ink.line(
            (left, y),
            (right, y),
            width=HAIR,
            gray=GRAY if step % 5 else 0.0,
            dash=() if step % 5 == 0 else (1, 2),
        )
        if step % 5 == 0:
            ink.text((left - 1.0, y - 0.8), f"{way * 10 * step:+.0f}", size=6, anchor="end")
    ink.text((left + 1.0, zero - 3.0 if upper else zero + 1.2), "chord line", size=7)
    beside = (left + 2.0, low + 1.5 if upper else high - 4.0)
    ink.text(beside, "foremost line: a square held to the chord line touches here", size=6.5)
