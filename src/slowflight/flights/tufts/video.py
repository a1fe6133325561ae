"""Write drawn frames as a video, where the library that writes videos is installed."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from PIL import Image

from slowflight.errors import SlowflightError

CODECS = ("libx264", "h264", "mpeg4")
RATE = 10  # frames a second


def can_write_videos() -> bool:
    """Whether the library of the extra 'video' is installed."""
    try:
        import av  # noqa: F401
    except ImportError:
        return False
    return True


def write_video(pictures: Iterable[Image.Image], path: Path) -> Path:
    """Write pictures of one even size as a video.

    Parameters
    ----------
    pictures : iterable of Image
        In order.
    path : Path
        Ending in ``.mp4``.

    Returns
    -------
    Path

    Raises
    ------
    SlowflightError
        Where the library is not installed, or it cannot write any usual kind of video.
    """
    try:
        import av
    except ImportError:
        raise SlowflightError(
            "tufts: no library for videos; needs the extra 'video'; run: python -m pip install"
            ' "slowflight[video]"'
        ) from None
    codec = next((name for name in CODECS if name in av.codecs_available), None)
    if codec is None:
        raise SlowflightError(f"tufts: the video library writes none of {', '.join(CODECS)}")
    part = path.with_name(f".{path.name}")
    with av.open(str(part), "w", format="mp4") as container:
        # The library types streams of all kinds as one, and leaves its frames untyped.
        stream: Any = container.add_stream(codec, rate=RATE)
        if codec == "libx264":
            # Drawn frames are easy: the thorough way takes four times as long for a little less.
            stream.options = {"preset": "veryfast", "crf": "20"}
        frame: Any = av.VideoFrame
        for number, picture in enumerate(pictures):
            if not number:
                stream.width, stream.height = picture.size
                stream.pix_fmt = "yuv420p"
            for packet in stream.encode(frame.from_image(picture)):
                container.mux(packet)
        for packet in stream.encode():
            container.mux(packet)
    part.replace(path)
    return path
