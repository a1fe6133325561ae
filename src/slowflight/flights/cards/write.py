"""The deck of cards as one PDF file, one card a page."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from slowflight.errors import InputError
from slowflight.flights.cards.card import Card
from slowflight.flights.cards.page import draw_card
from slowflight.flights.cards.settings import CardSettings
from slowflight.layout.files import replace_file
from slowflight.layout.ink import POINTS_PER_MM, printable
from slowflight.layout.sheets import PAPERS


def write_cards(cards: Sequence[Card], path: Path | str, *, settings: CardSettings, paper: str) -> Path:
    """Write cards for the knee board.

    Parameters
    ----------
    cards : sequence of Card
        From `deck`.
    path : Path or str
        The file; it is replaced only when the new one is complete.
    settings : CardSettings
        Of the aircraft.
    paper : str
        ``"a4"`` or ``"letter"``; two to a sheet make cards for a knee board.

    Returns
    -------
    Path
        The file. The same call writes the same bytes.

    Raises
    ------
    InputError
        Where the paper is no such word, a card does not fit on its page, or the file cannot be written.
    """
    if paper not in PAPERS:
        raise InputError(where="paper", found=repr(paper), needed=" or ".join(PAPERS))
    width, height = PAPERS[paper]
    written = io.BytesIO()
    canvas = Canvas(written, invariant=1, pagesize=(width * POINTS_PER_MM, height * POINTS_PER_MM))
    canvas.setTitle(printable(f"{settings.aircraft}: test cards"))
    canvas.setCreator("slowflight")
    for number, card in enumerate(cards, start=1):
        draw_card(canvas, card, settings, number=number, of=len(cards), width=width, height=height)
        canvas.showPage()
    canvas.save()
    return replace_file(path, written.getvalue())
