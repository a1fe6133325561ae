"""Drawing one card on one page: height floor on top, what to do and write, when to stop, what to heed."""

from __future__ import annotations

from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph, Table, TableStyle

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.cards.card import Card, Sheet
from slowflight.flights.cards.rules import CAUTIONS, LOCAL_RULES, STOP, STOP_MEANS, WEATHER
from slowflight.flights.cards.settings import CardSettings
from slowflight.layout.ink import BOLD, GRAY, PLAIN, POINTS_PER_MM, Ink, printable

MARGIN, GAP = 12.0, 2.5
HEAD, BOX = 11.0, 15.0
SIDE_SHARE = 0.36  # of the width, for what stops the flight
ROW_HEIGHT, LOWEST_ROW = 7.6, 4.6
ROOM_FOR_NOTES = 14.0

STEP = ParagraphStyle("step", fontName=PLAIN, fontSize=9.3, leading=11.3)
SIDE = ParagraphStyle("side", fontName=PLAIN, fontSize=8.4, leading=10.2)
SIDE_HEAD = ParagraphStyle("side head", fontName=BOLD, fontSize=9.6, leading=12.0)
NOTE = ParagraphStyle("note", fontName=PLAIN, fontSize=7.6, leading=9.2)
SMALL = ParagraphStyle("small", fontName=PLAIN, fontSize=7.0, leading=8.4)
CELL = ParagraphStyle("cell", fontName=PLAIN, fontSize=8.2, leading=9.4)
CELL_HEAD = ParagraphStyle("cell head", fontName=BOLD, fontSize=7.4, leading=8.4)


def draw_card(
    canvas: Any, card: Card, settings: CardSettings, *, number: int, of: int, width: float, height: float
) -> None:
    """Draw a card on the canvas's present page.

    Parameters
    ----------
    canvas : reportlab Canvas
        At the start of a page of that size.
    card : Card
        What is printed.
    settings : CardSettings
        Heights, aircraft, date.
    number, of : int
        Of the card, and how many there are.
    width, height : float
        Of the page [mm].

    Raises
    ------
    InputError
        Where the card does not fit: nothing on it may be cut off in silence.
    """
    ink = Ink(canvas)
    inner = width - 2.0 * MARGIN
    y = _head(ink, card, settings, number=number, of=of, width=width, top=height - MARGIN)
    foot = _foot(ink, inner)
    side = SIDE_SHARE * inner
    left = inner - side - 2.0 * GAP
    low_side = _side(ink, card, x=MARGIN + left + 2.0 * GAP, top=y, width=side)
    low_left = y
    if card.gates:
        low_left = _gates(ink, card, top=y, width=left)
    for count, words in enumerate(card.steps, start=1):
        step = f"<b>{count}</b>&nbsp;&nbsp;{_safe(words)}"
        low_left = _flow(ink, step, STEP, x=MARGIN, top=low_left, width=left) - 1.0
    y = min(low_side, low_left) - GAP
    note = _paragraph(card.note, NOTE, inner) if card.note else None
    note_height = note[1] + 1.0 if note else 0.0
    if card.sheet is not None:
        y = _sheet(ink, card.sheet, top=y, width=inner, low=foot + note_height + GAP, title=card.title)
    if note:
        y -= 1.0
        note[0].drawOn(canvas, MARGIN * POINTS_PER_MM, (y - note[1]) * POINTS_PER_MM)
        y -= note[1]
    if y < foot:
        raise _too_full(card.title)
    if y - foot > ROOM_FOR_NOTES:
        ink.text((MARGIN, y - 6.0), "Notes", size=8.0, gray=GRAY)


def _head(
    ink: Ink, card: Card, settings: CardSettings, *, number: int, of: int, width: float, top: float
) -> float:
    inner = width - 2.0 * MARGIN
    y = top - HEAD
    ink.polygon(((MARGIN, y), (MARGIN + inner, y), (MARGIN + inner, top), (MARGIN, top)))
    ink.text((MARGIN + 3.0, y + 3.4), f"{number}", size=18, bold=True, gray=1.0)
    ink.text((MARGIN + 16.0, y + 3.6), card.title, size=14, bold=True, gray=1.0, room=inner - 42.0)
    ink.text((MARGIN + inner - 3.0, y + 3.6), f"of {of}", size=9, gray=1.0, anchor="end")
    blanks = "flight ______    date ____________    wing: clean / vanes"
    line = f"{settings.aircraft}    made {settings.made_on}    {blanks}"
    ink.text((MARGIN, y - 5.0), line, size=8.5, room=inner)
    y -= 7.5
    low = y - BOX
    for start, end in (
        ((MARGIN, y), (MARGIN + inner, y)),
        ((MARGIN, low), (MARGIN + inner, low)),
        ((MARGIN, y), (MARGIN, low)),
        ((MARGIN + inner, y), (MARGIN + inner, low)),
    ):
        ink.line(start, end, width=1.6)
    floor, start_at = (_feet(height) for height in (settings.floor, settings.start_height))
    ink.text((MARGIN + 3.0, low + 8.6), f"FLOOR {floor} ABOVE GROUND", size=15, bold=True)
    ink.text(
        (MARGIN + inner - 3.0, low + 8.8),
        f"slow flight begins at {start_at} or higher",
        size=11,
        bold=True,
        anchor="end",
    )
    ink.text(
        (MARGIN + 3.0, low + 2.8),
        "All slow flight: flying again by the floor. Not flying by then: hands off, parachute or bail out as"
        " briefed. Climb back before the next run.",
        size=8.5,
        room=inner - 6.0,
    )
    return low - GAP


def _gates(ink: Ink, card: Card, *, top: float, width: float) -> float:
    y = _flow(ink, "Only when", SIDE_HEAD, x=MARGIN, top=top, width=width)
    for gate in card.gates:
        low = _flow(ink, _safe(gate), STEP, x=MARGIN + 6.0, top=y, width=width - 6.0)
        _box(ink, MARGIN, y - 3.6, 3.0)
        y = low - 0.6
    return y - 1.4


def _side(ink: Ink, card: Card, *, x: float, top: float, width: float) -> float:
    pieces = [("Stop at", SIDE_HEAD)]
    pieces += [("\u2022 " + words, SIDE) for words in (*card.extra_stops, *STOP)]
    pieces += [(STOP_MEANS, ParagraphStyle("means", parent=SIDE, fontName=BOLD))]
    pieces += [("Weather", SIDE_HEAD)]
    pieces += [("\u2022 " + words, SIDE) for words in WEATHER]
    y = top - 1.5
    for words, style in pieces:
        y = _flow(ink, _safe(words), style, x=x + 2.5, top=y, width=width - 5.0) - 0.3
    low = y - 1.5
    for start, end in (
        ((x, top), (x + width, top)),
        ((x, low), (x + width, low)),
        ((x, top), (x, low)),
        ((x + width, top), (x + width, low)),
    ):
        ink.line(start, end, width=0.8)
    return low


def _sheet(ink: Ink, sheet: Sheet, *, top: float, width: float, low: float, title: str) -> float:
    room = top - low
    rows = len(sheet.rows)
    heading = 8.5
    each = min(ROW_HEIGHT, (room - heading) / rows)
    if each < LOWEST_ROW:
        raise _too_full(title)
    unit = width / sum(sheet.widths)
    cells = [[Paragraph(_safe(words), CELL_HEAD) for words in sheet.columns]]
    cells += [[Paragraph(_safe(words), CELL) for words in row] for row in sheet.rows]
    table = Table(
        cells,
        colWidths=[share * unit * POINTS_PER_MM for share in sheet.widths],
        rowHeights=[heading * POINTS_PER_MM] + [each * POINTS_PER_MM] * rows,
    )
    table.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.4, colors.black),
                ("BACKGROUND", (0, 0), (-1, 0), colors.Color(0.9, 0.9, 0.9)),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LEFTPADDING", (0, 0), (-1, -1), 2.2),
                ("RIGHTPADDING", (0, 0), (-1, -1), 1.5),
                ("TOPPADDING", (0, 0), (-1, -1), 0.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0.5),
            ]
        )
    )
    for row in cells:
        for cell, share in zip(row, sheet.widths, strict=True):
            _, tall = cell.wrap(share * unit * POINTS_PER_MM - 3.7, 1e6)
            if tall > (heading if row is cells[0] else each) * POINTS_PER_MM:
                raise _too_full(title)
    _, tall = table.wrapOn(ink.canvas, width * POINTS_PER_MM, room * POINTS_PER_MM)
    table.drawOn(ink.canvas, MARGIN * POINTS_PER_MM, top * POINTS_PER_MM - tall)
    return float(top - tall / POINTS_PER_MM)


def _foot(ink: Ink, width: float) -> float:
    """Draw cautions and local rules at the foot; return where the room above them ends."""
    words = "<b>" + _safe(LOCAL_RULES) + "</b>"
    cautions = "  ".join(f"({count}) {caution}" for count, caution in enumerate(CAUTIONS, start=1))
    y = MARGIN - 4.0
    for text in (words, _safe(cautions)):
        piece, tall = _paragraph(text, SMALL, width, raw=True)
        piece.drawOn(ink.canvas, MARGIN * POINTS_PER_MM, y * POINTS_PER_MM)
        y += tall + 0.8
    ink.line((MARGIN, y + 0.6), (MARGIN + width, y + 0.6), width=0.6)
    return y + 1.6


def _flow(ink: Ink, words: str, style: ParagraphStyle, *, x: float, top: float, width: float) -> float:
    piece, tall = _paragraph(words, style, width, raw=True)
    piece.drawOn(ink.canvas, x * POINTS_PER_MM, (top - tall) * POINTS_PER_MM)
    return top - tall


def _paragraph(words: str, style: ParagraphStyle, width: float, *, raw: bool = False) -> tuple[Any, float]:
    piece = Paragraph(words if raw else _safe(words), style)
    _, tall = piece.wrap(width * POINTS_PER_MM, 1e6)
    return piece, float(tall / POINTS_PER_MM)


def _box(ink: Ink, x: float, y: float, side: float) -> None:
    corners = ((x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y))
    ink.polyline(corners, width=0.8)


def _feet(height: float) -> str:
    return f"{units.express(height, 'ft'):,.0f} ft"


def _safe(words: str) -> str:
    return escape(printable(words))


def _too_full(title: str) -> InputError:
    return InputError(
        where=f"card '{title}'",
        found="more than one page holds",
        needed="fewer rows or flap settings, or a longer page",
        fix="print cards for fewer flap settings at a time",
    )
