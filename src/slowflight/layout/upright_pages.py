"""Upright pages of text and tables, filled from the top down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph, Table, TableStyle

from slowflight.layout.ink import BOLD, PLAIN, POINTS_PER_MM, Ink, printable

MARGIN = 15.0
BODY = ParagraphStyle("body", fontName=PLAIN, fontSize=8.5, leading=10.6)
HEADING = ParagraphStyle("heading", fontName=BOLD, fontSize=11, leading=14, spaceBefore=5)
TITLE = ParagraphStyle("title", fontName=BOLD, fontSize=16, leading=20)
GRID = TableStyle(
    [
        ("FONT", (0, 0), (-1, 0), BOLD, 7.5),
        ("FONT", (0, 1), (-1, -1), PLAIN, 7.5),
        ("ALIGN", (0, 0), (-1, -1), "RIGHT"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.2, colors.grey),
        ("TOPPADDING", (0, 0), (-1, -1), 1.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
    ]
)


class UprightPages:
    """A cursor that runs down upright pages and starts a new one when the next piece does not fit."""

    def __init__(self, canvas: Any, *, width: float, height: float, trial: bool, foot: str) -> None:
        self._canvas, self._width, self._height = canvas, width, height
        self._trial, self._foot = trial, foot
        self._open = False
        self._y = 0.0

    def begin(self) -> None:
        """Start a new page."""
        self.end()
        self._canvas.setPageSize((self._width * POINTS_PER_MM, self._height * POINTS_PER_MM))
        ink = Ink(self._canvas)
        if self._trial:
            ink.stamp(width=self._width, height=self._height)
        ink.text((MARGIN, 8.0), self._foot, size=7, room=self._width - 2.0 * MARGIN)
        self._open, self._y = True, self._height - MARGIN

    def end(self) -> None:
        """Finish the page that is open, if any."""
        if self._open:
            self._canvas.showPage()
        self._open = False

    def room_for(self, height: float) -> None:
        """Start a new page where less than that much [mm] is left, so that a heading is not left behind."""
        if self._y - height < MARGIN:
            self.begin()

    def drawing(self, height: float, draw: Callable[[Ink, float], None]) -> None:
        """Leave that much room [mm] and let `draw` fill it from its lower edge up."""
        if self._y - height < MARGIN:
            self.begin()
        self._y -= height
        draw(Ink(self._canvas), self._y)

    def flow(self, piece: Any, *, after: float = 1.2) -> None:
        """Place a paragraph or a table, cut over pages where it is long."""
        k = POINTS_PER_MM
        width = (self._width - 2.0 * MARGIN) * k
        while True:
            room = (self._y - MARGIN) * k
            _, height = piece.wrapOn(self._canvas, width, room)
            if height <= room:
                piece.drawOn(self._canvas, MARGIN * k, self._y * k - height)
                self._y -= height / k + after
                return
            parts = piece.splitOn(self._canvas, width, room) if isinstance(piece, Table) else []
            if len(parts) == 2:
                _, height = parts[0].wrapOn(self._canvas, width, room)
                parts[0].drawOn(self._canvas, MARGIN * k, self._y * k - height)
                piece = parts[1]
            self.begin()


def listed(pages: UprightPages, heading: str, lines: Sequence[str], *, numbered: bool = False) -> None:
    """Write a heading and lines below it."""
    pages.flow(paragraph(heading, HEADING), after=0.6)
    for number, line in enumerate(lines, start=1):
        mark = f"{number}. " if numbered else ""
        pages.flow(paragraph(mark + line[:1].upper() + line[1:]), after=0.7)


def paragraph(words: str, style: ParagraphStyle = BODY) -> Paragraph:
    """Plain words, whatever is in them, as a paragraph."""
    return Paragraph(escape(printable(words)), style)
