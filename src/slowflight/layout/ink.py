"""Drawing in millimeters from the lower left corner of a page, with a few shapes that every page uses."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, BinaryIO

from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

POINTS_PER_MM = 72.0 / 25.4
PLAIN, BOLD = "Helvetica", "Helvetica-Bold"
SMALLEST_TYPE = 5.0
# Line widths [points]. Vanes and check bars have their own, so that a page can be measured back.
HAIR, THIN, BAR, VANE = 0.3, 0.5, 0.8, 1.2
BLACK, GRAY, FAINT = 0.0, 0.4, 0.9
INCH = 25.4


def printable(text: str) -> str:
    """Replace letters that the standard fonts lack: without their accents, else by a question mark."""
    out = []
    for letter in text:
        for candidate in (letter, unicodedata.normalize("NFKD", letter)[:1], "?"):
            if candidate and candidate.encode("cp1252", "ignore"):
                out.append(candidate)
                break
    return "".join(out)


def blank_pdf(written: BinaryIO, *, title: str) -> Canvas:
    """Return a PDF without pages, the same for the same content, printed at its own size.

    Parameters
    ----------
    written : binary file
        Where it goes once saved.
    title : str
        Of the document.
    """
    canvas = Canvas(written, invariant=1)
    canvas.setTitle(printable(title))
    canvas.setCreator("slowflight")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


@dataclass(frozen=True)
class Ink:
    """A canvas that takes millimeters.

    Parameters
    ----------
    canvas : reportlab Canvas
        What is drawn on.
    """

    canvas: Any

    def line(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        *,
        width: float = THIN,
        gray: float = BLACK,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw one straight line [mm], its width in points."""
        self.canvas.setLineWidth(width)
        self.canvas.setStrokeGray(gray)
        self.canvas.setDash(*([list(dash)] if dash else []))
        (x0, y0), (x1, y1) = start, end
        k = POINTS_PER_MM
        self.canvas.line(x0 * k, y0 * k, x1 * k, y1 * k)

    def text(
        self,
        at: tuple[float, float],
        words: str,
        *,
        size: float = 8.0,
        bold: bool = False,
        gray: float = BLACK,
        anchor: str = "start",
        turn: float = 0.0,
        room: float | None = None,
    ) -> None:
        """Write one line of text [mm]; with `room` in a smaller type, or cut short, so that it fits."""
        font = BOLD if bold else PLAIN
        words = printable(words)
        if room is not None:
            size, words = _fitted(words, font=font, size=size, room=room)
        k = POINTS_PER_MM
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * stringWidth(words, font, size)
        self.canvas.saveState()
        self.canvas.setFillGray(gray)
        self.canvas.setFont(font, size)
        self.canvas.translate(at[0] * k, at[1] * k)
        if turn:
            self.canvas.rotate(turn)
        self.canvas.drawString(-back, 0.0, words)
        self.canvas.restoreState()

    def block(self, at: tuple[float, float], words: str, *, size: float, room: float) -> float:
        """Write words in lines no longer than `room` below a point [mm]; returns the height taken [mm]."""
        lines = simpleSplit(printable(words), PLAIN, size, room * POINTS_PER_MM)
        step = 1.25 * size / POINTS_PER_MM
        for number, line in enumerate(lines):
            self.text((at[0], at[1] - number * step), line, size=size)
        return len(lines) * step

    def arrow(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        *,
        width: float = 1.0,
        head: float = 3.0,
        gray: float = BLACK,
    ) -> None:
        """Draw an arrow with a filled head [mm]."""
        (x0, y0), (x1, y1) = start, end
        length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        foot = (x1 - head * ux, y1 - head * uy)
        self.line(start, foot, width=width, gray=gray)
        corners = (
            (x1, y1),
            (foot[0] - 0.4 * head * uy, foot[1] + 0.4 * head * ux),
            (foot[0] + 0.4 * head * uy, foot[1] - 0.4 * head * ux),
        )
        self.polygon(corners, gray=gray)

    def polygon(self, corners: Sequence[tuple[float, float]], *, gray: float = BLACK) -> None:
        """Fill a polygon [mm]."""
        k = POINTS_PER_MM
        path = self.canvas.beginPath()
        path.moveTo(corners[0][0] * k, corners[0][1] * k)
        for x, y in corners[1:]:
            path.lineTo(x * k, y * k)
        path.close()
        self.canvas.setFillGray(gray)
        self.canvas.drawPath(path, stroke=0, fill=1)

    def polyline(
        self,
        points: Sequence[tuple[float, float]],
        *,
        width: float = THIN,
        gray: float = BLACK,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw a line through points [mm], its width in points."""
        k = POINTS_PER_MM
        path = self.canvas.beginPath()
        path.moveTo(points[0][0] * k, points[0][1] * k)
        for x, y in points[1:]:
            path.lineTo(x * k, y * k)
        self.canvas.setLineWidth(width)
        self.canvas.setStrokeGray(gray)
        self.canvas.setDash(*([list(dash)] if dash else []))
        self.canvas.drawPath(path, stroke=1, fill=0)

    def circle(self, at: tuple[float, float], *, radius: float, width: float = HAIR) -> None:
        """Draw a circle [mm]."""
        k = POINTS_PER_MM
        self.canvas.setLineWidth(width)
        self.canvas.setStrokeGray(BLACK)
        self.canvas.setDash()
        self.canvas.circle(at[0] * k, at[1] * k, radius * k, stroke=1, fill=0)

    def bar(
        self, start: tuple[float, float], *, length: float, upright: bool, label: str, step: float
    ) -> None:
        """Draw a check bar of exact length with end marks, its divisions and its label [mm]."""
        x, y = start
        end = (x, y + length) if upright else (x + length, y)
        self.line(start, end, width=BAR)
        count = round(length / step)
        for number in range(count + 1):
            reach = 1.8 if number in (0, count) else 0.8
            along = length * number / count
            if upright:
                self.line((x - reach, y + along), (x + reach, y + along), width=HAIR)
            else:
                self.line((x + along, y - reach), (x + along, y + reach), width=HAIR)
        if upright:
            self.text((x - 1.6, y + 0.5 * length), label, size=7, anchor="middle", turn=90)
        else:
            self.text((x + 0.5 * length, y + 1.4), label, size=7, anchor="middle")

    def stamp(self, *, width: float, height: float) -> None:
        """Write a light TRIAL across a page of that size [mm]; drawn first, so that all else lies over it."""
        size = 0.24 * width * POINTS_PER_MM
        turn = 18.0
        self.canvas.saveState()
        self.canvas.setFillGray(FAINT)
        self.canvas.setFont(BOLD, size)
        self.canvas.translate(0.5 * width * POINTS_PER_MM, 0.5 * height * POINTS_PER_MM)
        self.canvas.rotate(turn)
        self.canvas.drawCentredString(0.0, -0.35 * size, "TRIAL")
        self.canvas.restoreState()


def _fitted(words: str, *, font: str, size: float, room: float) -> tuple[float, str]:
    limit = room * POINTS_PER_MM
    while size > SMALLEST_TYPE and stringWidth(words, font, size) > limit:
        size -= 0.25
    while len(words) > 4 and stringWidth(words, font, size) > limit:
        words = words[:-4].rstrip() + "..."
    return size, words
