"""Shapes, fonts and the words that no clip goes without."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import matplotlib
from PIL import Image, ImageDraw, ImageFont

from slowflight.report.pictures.canvas import INK, LETS_GO, MUTED, PAPER

MARK = "This aircraft only, owner-measured, not approved."
CAUTION = "Slow flight and stalls kill. Only flights decide, with height to end a spin, within the limits."
Box = tuple[int, int, int, int]  # left, top, right, bottom [pixels]


@dataclass(frozen=True, kw_only=True)
class Shape:
    """Where everything stands in a frame.

    Parameters
    ----------
    name : str
        ``"wide"`` (16:9) or ``"upright"`` (9:16).
    size : tuple of int
        Width and height [pixels]; even, as videos want them.
    panels : tuple of Box
        The two halves: without vanes, with the row; or before, after.
    scale : Box
        The line of wing angles below them.
    foot : Box
        For the words that no clip goes without.
    """

    name: str
    size: tuple[int, int]
    panels: tuple[Box, Box]
    scale: Box
    foot: Box


WIDE = Shape(
    name="wide", size=(1280, 720), panels=((20, 84, 630, 536), (650, 84, 1260, 536)),
    scale=(60, 548, 1220, 648), foot=(20, 658, 1260, 716),
)  # fmt: skip
UPRIGHT = Shape(
    name="upright", size=(720, 1280), panels=((20, 104, 700, 560), (20, 570, 700, 1026)),
    scale=(50, 1040, 670, 1140), foot=(20, 1156, 700, 1276),
)  # fmt: skip
SHAPES = (WIDE, UPRIGHT)


@cache
def font(size: int, *, bold: bool = False) -> ImageFont.FreeTypeFont:
    """Return the font of the report's pictures."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name), size)


def wrapped(text: str, *, width: int, size: int, bold: bool = False) -> list[str]:
    """Break text into lines no wider than ``width`` pixels; a word that is wider is cut."""
    face = font(size, bold=bold)
    lines = [""]
    for word in text.split():
        whole = word
        while face.getlength(whole) > width and len(whole) > 1:
            whole = whole[:-1]
        longer = f"{lines[-1]} {whole}".strip()
        if face.getlength(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(whole)
    return lines


def write(
    ink: ImageDraw.ImageDraw,
    at: tuple[float, float],
    text: str,
    *,
    width: int,
    size: int,
    color: str = INK,
    bold: bool = False,
    most: int = 2,
) -> float:
    """Write text of at most so many lines; return where the next may begin [pixels]."""
    x, y = at
    lines = wrapped(text, width=width, size=size, bold=bold)
    shown = lines[:most]
    if len(lines) > most:
        shown[-1] = f"{shown[-1].rsplit(' ', 1)[0]} …"
    for line in shown:
        ink.text((x, y), line, fill=color, font=font(size, bold=bold))
        y += 1.25 * size
    return y


def paper(shape: Shape, *, title: str, stamp: str) -> Image.Image:
    """Return a frame with title, stamp and foot, on which the rest is drawn.

    Parameters
    ----------
    shape : Shape
    title : str
        The aircraft and what is shown.
    stamp : str
        Such as ``"PREDICTED"`` or ``"MEASURED"``, and how sure.
    """
    sheet = Image.new("RGB", shape.size, PAPER)
    ink = ImageDraw.Draw(sheet)
    width = shape.size[0] - 40
    below = write(ink, (20, 10), title, width=width, size=26, bold=True, most=1)
    write(ink, (20, below + 2), stamp, width=width, size=18, color=LETS_GO, bold=True, most=2)
    left, top, right, _ = shape.foot
    below = write(ink, (left, top), MARK, width=right - left, size=20, bold=True, most=2)
    write(ink, (left, below), CAUTION, width=right - left, size=16, color=MUTED, most=3)
    return sheet
