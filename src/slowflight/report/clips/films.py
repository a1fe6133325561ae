"""The owner's two films beside each other, with what the flights measured burnt in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Protocol

from PIL import Image, ImageDraw, ImageOps

from slowflight.report.clips.canvas import Shape, font, paper, write
from slowflight.report.pictures.canvas import CLEAN, FAINT, INK, MUTED, VANES
from slowflight.report.words import number

CAPTION = 96  # room below a film [pixels]
WORDS = 28  # above it
SIDES = ("clean", "vanes")
NAMES = {"clean": "BEFORE, without vanes", "vanes": "AFTER, with the row"}
COLORS = {"clean": CLEAN, "vanes": VANES}
NOT_MEASURED = "NO NUMBERS: no stalls of both sides are reduced yet for this flap setting."
APART = "Each film runs by its own clock; the speed is that of the measured stalls, not of this moment."


class Frame(Protocol):
    """A frame of a film: when it was taken, from the film's beginning [s], and its picture."""

    @property
    def time(self) -> float:
        """Seconds from the first frame."""

    @property
    def picture(self) -> Image.Image:
        """In color, upright."""


def film_frames(
    films: Mapping[str, Callable[[], Iterator[Frame]]],
    shape: Shape,
    *,
    title: str,
    flown: Mapping[str, Any] | None,
    stamp: str,
) -> Iterator[Image.Image]:
    """Yield both films side by side, until the shorter one ends.

    Parameters
    ----------
    films : mapping of str to callable
        Under ``clean`` and ``vanes``; each begins the film anew.
    shape : Shape
    title : str
    flown : mapping or None
        Measured stall speeds of the record at the flap setting; None where there are none.
    stamp : str
        What is measured, or `NOT_MEASURED`.
    """
    base = paper(shape, title=title, stamp=stamp)
    left, top, right, _ = shape.scale
    write(ImageDraw.Draw(base), (left, top + 6), APART, width=right - left, size=17, most=3)
    for side, box in zip(SIDES, shape.panels, strict=True):
        _write_side(ImageDraw.Draw(base), box, side, flown)
    for both in zip(films["clean"](), films["vanes"](), strict=False):
        sheet = base.copy()
        ink = ImageDraw.Draw(sheet)
        for frame, box in zip(both, shape.panels, strict=True):
            left, top, right, bottom = box
            room = (right - left - 2, bottom - top - WORDS - CAPTION)
            shown = ImageOps.pad(frame.picture, room, color=FAINT)
            sheet.paste(shown, (left + 1, top + WORDS))
            words = f"{number(frame.time)} s of this film"
            ink.text((right - 180, top + 5), words, fill=MUTED, font=font(16))
        yield sheet


def _write_side(
    ink: ImageDraw.ImageDraw, box: tuple[int, int, int, int], side: str, flown: Mapping[str, Any] | None
) -> None:
    left, top, right, bottom = box
    ink.rectangle(box, outline=FAINT)
    ink.text((left + 10, top + 3), NAMES[side], fill=COLORS[side], font=font(19, bold=True))
    found = None if flown is None else flown.get(side)
    at = bottom - CAPTION + 6
    if not found:
        ink.text((left + 10, at + 10), "not measured", fill=MUTED, font=font(24, bold=True))
        return
    speed = f"{number(found['calibrated_kt'])} kt"
    ink.text((left + 10, at), speed, fill=COLORS[side], font=font(40, bold=True))
    band = f"stall, calibrated; likely {number(found['low_kt'])} to {number(found['high_kt'])} kt"
    write(ink, (left + 230, at + 4), band, width=right - left - 240, size=17, color=INK, most=2)
    if found.get("panel"):
        ink.text((left + 10, at + 56), str(found["panel"]), fill=MUTED, font=font(17))
