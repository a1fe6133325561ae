"""Frames of a camera: pictures in a folder, or a video where the library that reads videos is installed."""

from __future__ import annotations

import math
import re
from collections.abc import Container, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageOps, UnidentifiedImageError

from slowflight.errors import InputError, SlowflightError

PICTURES = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp")
VIDEOS = (".mp4", ".mov", ".m4v", ".avi", ".mkv", ".webm")
LARGEST = 40_000_000  # pixels of one frame


@dataclass(frozen=True, kw_only=True)
class Frame:
    """One frame.

    Parameters
    ----------
    number : int
        From 0.
    time : float
        From the first frame [s].
    picture : Image
        In color, upright.
    """

    number: int
    time: float
    picture: Image.Image

    @property
    def gray(self) -> npt.NDArray[np.float64]:
        """Brightness, 0 black to 1 white, shape (height, width)."""
        return np.asarray(self.picture.convert("L"), dtype=np.float64) / 255.0


def frames_of(
    place: Path, *, rate: float | None = None, apart: float = 0.0, only: Container[int] | None = None
) -> Iterator[Frame]:
    """Yield the frames of a folder of pictures or of a video.

    Parameters
    ----------
    place : Path
        A folder, whose pictures are taken in the order of the numbers in their names, or a video file.
    rate : float, optional
        Pictures a second [1/s], of a folder; a video knows its own times.
    apart : float, optional
        Frames closer than this to the last one are passed over [s].
    only : container of int, optional
        Numbers of the frames that are wanted; `apart` then does not count.

    Yields
    ------
    Frame

    Raises
    ------
    InputError
        Where there is nothing to read, a picture is damaged, or a folder comes without a rate.
    SlowflightError
        Where a video is given and the library that reads it is not installed.
    """
    if place.is_dir():
        yield from _pictures(place, rate, _Wanted(apart, only))
    elif place.suffix.lower() in VIDEOS:
        yield from _video(place, _Wanted(apart, only))
    else:
        raise InputError(
            where=str(place),
            found="neither a folder nor a video" if place.exists() else "no such folder or file",
            needed=f"a folder of pictures, or a video ({', '.join(VIDEOS)})",
        )


class _Wanted:
    """Whether a frame is to be taken, by its number and time; frames have to come in order."""

    def __init__(self, apart: float, only: Container[int] | None) -> None:
        self.apart, self.only, self.last = apart, only, -math.inf

    def __call__(self, number: int, time: float) -> bool:
        if self.only is not None:
            return number in self.only
        if time < self.last + self.apart - 1e-6:
            return False
        self.last = time
        return True


def _pictures(folder: Path, rate: float | None, wanted: _Wanted) -> Iterator[Frame]:
    files = sorted(
        (
            file
            for file in folder.iterdir()
            if file.suffix.lower() in PICTURES and not file.name.startswith(".")
        ),
        key=_natural,
    )
    if not files:
        raise InputError(
            where=str(folder), found="no picture", needed=f"frames as {', '.join(PICTURES)}, numbered"
        )
    if rate is None:
        raise InputError(
            where=str(folder),
            found="pictures without a rate",
            needed='how many a second: rate = "30 a second"',
            fix="it is the rate at which they were taken out of the video",
        )
    size: tuple[int, int] | None = None
    for number, file in enumerate(files):
        if not wanted(number, number / rate):
            continue
        picture = _opened(file)
        if size is not None and picture.size != size:
            raise InputError(
                where=str(file),
                found=f"a picture of {picture.width} by {picture.height} pixels",
                needed=f"{size[0]} by {size[1]}, like the one before it",
                fix="keep the pictures of one camera position in a folder of their own",
            )
        size = picture.size
        yield Frame(number=number, time=number / rate, picture=picture)


def _opened(file: Path) -> Image.Image:
    try:
        with Image.open(file) as found:
            if found.width * found.height > LARGEST:
                raise InputError(
                    where=str(file), found=f"{found.width} by {found.height} pixels", needed="a video frame"
                )
            return ImageOps.exif_transpose(found).convert("RGB")
    except (OSError, UnidentifiedImageError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise InputError(where=str(file), found=f"no picture ({error})", needed="a readable frame") from None


def _natural(file: Path) -> list[tuple[int, str]]:
    """Order by the numbers in a name, so that frame 10 comes after frame 9."""
    return [
        (int(part), "") if part.isdigit() else (-1, part) for part in re.split(r"(\d+)", file.name.lower())
    ]


def upright(found: Any) -> Image.Image:
    """Return a video's frame as it is to be looked at: phones write that they were turned, not a turned film.

    Parameters
    ----------
    found : frame of the video library
        Its ``rotation`` is in degrees counterclockwise.

    Returns
    -------
    Image
    """
    picture: Image.Image = found.to_image()
    turn = int(getattr(found, "rotation", 0) or 0)
    return picture.rotate(turn, expand=True) if turn % 360 else picture


def _video(file: Path, wanted: _Wanted) -> Iterator[Frame]:
    # Only now: the library is an extra, and folders of pictures must do without it.
    try:
        import av
    except ImportError:
        raise SlowflightError(
            f"tufts: {file} is a video; needs the library of the extra 'video'; run: python -m pip install"
            ' "slowflight[video]", or take the frames out of it into a folder'
        ) from None
    try:
        with av.open(str(file)) as container:
            if not container.streams.video:
                raise InputError(where=str(file), found="no picture in it", needed="a video")
            track = container.streams.video[0]
            if track.width * track.height > LARGEST:
                raise InputError(
                    where=str(file),
                    found=f"{track.width} by {track.height} pixels",
                    needed="a film of a camera",
                )
            begin: float | None = None
            found: Any  # the library leaves its frames untyped
            for number, found in enumerate(container.decode(video=0)):
                # Phones drop frames: the time of each is its own, never its number over a rate.
                time = float(found.time or 0.0)
                begin = time if begin is None else begin
                if wanted(number, time - begin):
                    yield Frame(number=number, time=time - begin, picture=upright(found))
    except (OSError, av.FFmpegError) as error:
        raise InputError(where=str(file), found=f"no video ({error})", needed="a readable video") from None
