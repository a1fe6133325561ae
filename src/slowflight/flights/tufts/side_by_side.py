"""Before beside after at equal speed, with speed, attitude, tufts and prediction drawn in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PIL import Image, ImageDraw, ImageFont

from slowflight.flights.tufts.in_picture import TuftInPicture
from slowflight.flights.tufts.states import ATTACHED, REVERSED, UNSTEADY

WIDTH = 640  # of each half [pixels]
INK, PAPER, MUTED = "#1d2733", "#ffffff", "#5d6876"
# Shapes tell the states apart too, for whoever cannot tell the colors.
COLORS = {ATTACHED: "#1a7f4b", UNSTEADY: "#e0a100", REVERSED: "#c2371b"}
LINE = 26


@dataclass(frozen=True, kw_only=True)
class Half:
    """One side of the picture.

    Parameters
    ----------
    title : str
        Such as ``"BEFORE, before-1"``.
    picture : Image
        The frame.
    tufts : sequence of TuftInPicture
        Where they are in it.
    states : mapping of str to str
        By name; tufts without one are not marked.
    lines : tuple of str
        To stand below.
    """

    title: str
    picture: Image.Image
    tufts: Sequence[TuftInPicture]
    states: Mapping[str, str]
    lines: tuple[str, ...]


def side_by_side(left: Half, right: Half, *, head: str) -> Image.Image:
    """Draw two frames beside each other.

    Parameters
    ----------
    left, right : Half
    head : str
        Above both.

    Returns
    -------
    Image
        1280 pixels wide, of even height, as videos want it.
    """
    halves = [_half(one) for one in (left, right)]
    height = max(one.height for one in halves) + LINE + 20
    sheet = Image.new("RGB", (2 * WIDTH, height + height % 2), PAPER)
    ImageDraw.Draw(sheet).text((12, 10), head, fill=INK, font=_font(20))
    for number, one in enumerate(halves):
        sheet.paste(one, (number * WIDTH, LINE + 20))
    return sheet


def marked(picture: Image.Image, tufts: Sequence[TuftInPicture], states: Mapping[str, str]) -> Image.Image:
    """Return a picture with every tuft marked by its state: ring, triangle or cross."""
    found = picture.convert("RGB").copy()
    ink = ImageDraw.Draw(found)
    for tuft in tufts:
        state = states.get(tuft.name)
        if state not in COLORS:
            continue
        x, y = tuft.base
        size = max(5.0, 0.16 * tuft.length)
        width = max(2, round(size / 4.0))
        color = COLORS[state]
        if state == ATTACHED:
            ink.ellipse((x - size, y - size, x + size, y + size), outline=color, width=width)
        elif state == UNSTEADY:
            ink.polygon(
                [(x, y - 1.2 * size), (x - 1.1 * size, y + size), (x + 1.1 * size, y + size)],
                outline=color,
                width=width,
            )
        else:
            ink.line((x - size, y - size, x + size, y + size), fill=color, width=width)
            ink.line((x - size, y + size, x + size, y - size), fill=color, width=width)
    return found


def _half(half: Half) -> Image.Image:
    shown = marked(half.picture, half.tufts, half.states)
    shown = shown.resize((WIDTH - 8, round(shown.height * (WIDTH - 8) / shown.width)))
    lines = (half.title, *half.lines)
    sheet = Image.new("RGB", (WIDTH, shown.height + LINE * len(lines) + 12), PAPER)
    sheet.paste(shown, (4, 0))
    ink = ImageDraw.Draw(sheet)
    for number, words in enumerate(lines):
        ink.text(
            (12, shown.height + 6 + LINE * number),
            words,
            fill=INK if number < 2 else MUTED,
            font=_font(19 if number == 0 else 17),
        )
    return sheet


def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)
