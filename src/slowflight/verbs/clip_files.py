"""Frames into files: a GIF always, a video where its library is installed."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from PIL import Image, ImageColor

from slowflight.errors import SlowflightError
from slowflight.flights.tufts.video import RATE, can_write_videos, write_video
from slowflight.report.pictures.canvas import CLEAN, FAINT, INK, LETS_GO, MUTED, PAPER, VANES

GIF_SHARE = 0.6  # of a clip's size: a GIF is many times heavier than a video
GIF_COLORS = 64
MEANT = (CLEAN, VANES, LETS_GO, INK, MUTED, FAINT, PAPER)


def write_clip(frames: Callable[[], Iterable[Image.Image]], *, folder: Path, name: str) -> list[Path]:
    """Write frames as ``name.gif`` and, where it can be, ``name.mp4``.

    Parameters
    ----------
    frames : callable
        Begins the frames anew: of one even size, ten a second; one that stands is the same object again.
    folder : Path
        It exists.
    name : str
        Without ending.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    SlowflightError
        Where the folder cannot be written.
    """
    try:
        written = [_write_gif(frames(), folder / f"{name}.gif")]
        if can_write_videos():
            written.append(write_video(frames(), folder / f"{name}.mp4"))
    except OSError as error:
        raise SlowflightError(f"{folder}: cannot be written ({error.strerror or error})") from None
    return written


def _write_gif(frames: Iterable[Image.Image], path: Path) -> Path:
    # Made small as they come: a film's frames at full size would fill the memory.
    small: list[Image.Image] = []
    stands: list[int] = []
    last = None
    for frame in frames:
        if frame is last:
            stands[-1] += 1000 // RATE
            continue
        last = frame
        size = (round(frame.width * GIF_SHARE), round(frame.height * GIF_SHARE))
        small.append(frame.resize(size, Image.Resampling.BILINEAR))
        stands.append(1000 // RATE)
    width, height = small[0].size
    # One palette for all, from frames that hold every color, so that nothing flickers.
    sample = Image.new("RGB", (width, 3 * height))
    for number, which in enumerate((0, _busiest(small), len(small) - 1)):
        sample.paste(small[which], (0, number * height))
    found = sample.quantize(GIF_COLORS, method=Image.Quantize.MEDIANCUT).getpalette() or []
    # The few colors that mean something have a place whatever the sample holds.
    meant = [part for color in MEANT for part in ImageColor.getrgb(color)[:3]]
    palette = Image.new("P", (1, 1))
    palette.putpalette([*found[: 3 * GIF_COLORS], *meant])
    drawn = [one.quantize(palette=palette, dither=Image.Dither.NONE) for one in small]
    fresh = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        drawn[0].save(
            fresh,
            format="GIF",
            save_all=True,
            append_images=drawn[1:],
            duration=stands,
            loop=0,
            optimize=False,
        )
        fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)
    return path


def _busiest(frames: Sequence[Image.Image]) -> int:
    """Return the frame with most colors."""
    counts = [len(one.resize((80, 80)).getcolors(6400) or ()) for one in frames]
    return counts.index(max(counts))
