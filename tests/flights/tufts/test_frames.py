"""Frames of folders and videos, and both written again."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from slowflight.errors import InputError, SlowflightError
from slowflight.flights.tufts.frames import frames_of, upright
from slowflight.flights.tufts.video import can_write_videos, write_video


def shade(number: int, size: tuple[int, int] = (64, 48)) -> Image.Image:
    return Image.new("RGB", size, (10 * number, 10 * number, 10 * number))


def folder_of(place: Path, names: list[str]) -> Path:
    place.mkdir()
    for number, name in enumerate(names):
        shade(number).save(place / name)
    return place


def test_pictures_come_in_the_order_of_their_numbers(tmp_path: Path) -> None:
    folder = folder_of(tmp_path / "f", [f"shot{n}.png" for n in range(12)])
    (folder / "notes.txt").write_text("not a frame", encoding="utf-8")
    found = list(frames_of(folder, rate=10.0))
    assert [round(255.0 * float(one.gray.mean()) / 10.0) for one in found] == list(range(12))
    assert [one.time for one in found] == pytest.approx([0.1 * n for n in range(12)])
    apart = list(frames_of(folder, rate=10.0, apart=0.25))
    assert [one.number for one in apart] == [0, 3, 6, 9]
    assert [one.number for one in frames_of(folder, rate=10.0, only={2, 11})] == [2, 11]


def test_a_picture_on_its_side_is_turned_upright(tmp_path: Path) -> None:
    (tmp_path / "f").mkdir()
    exif = Image.Exif()
    exif[0x0112] = 6  # the camera was held upright
    shade(3).save(tmp_path / "f" / "1.jpg", exif=exif)
    (frame,) = frames_of(tmp_path / "f", rate=1.0)
    assert frame.picture.size == (48, 64)


def test_folders_that_cannot_be_used(tmp_path: Path) -> None:
    folder = folder_of(tmp_path / "f", ["1.png", "2.png"])
    with pytest.raises(InputError, match="without a rate"):
        list(frames_of(folder))
    shade(1, (32, 48)).save(folder / "3.png")
    with pytest.raises(InputError, match="32 by 48 pixels; needs 64 by 48"):
        list(frames_of(folder, rate=1.0))
    (folder / "3.png").write_bytes(b"\x89PNG\r\n\x1a\nbroken")
    with pytest.raises(InputError, match="no picture"):
        list(frames_of(folder, rate=1.0))
    (tmp_path / "empty").mkdir()
    with pytest.raises(InputError, match="no picture"):
        list(frames_of(tmp_path / "empty", rate=1.0))
    with pytest.raises(InputError, match="no such folder or file"):
        list(frames_of(tmp_path / "nowhere", rate=1.0))
    (tmp_path / "log.csv").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="neither a folder nor a video"):
        list(frames_of(tmp_path / "log.csv", rate=1.0))


def test_a_video_is_written_and_read_back_with_its_times(tmp_path: Path) -> None:
    assert can_write_videos()
    path = write_video((shade(n) for n in range(20)), tmp_path / "film.mp4")
    found = list(frames_of(path))
    assert len(found) == 20
    assert found[0].picture.size == (64, 48)
    assert [one.time for one in found] == pytest.approx([0.1 * n for n in range(20)], abs=1e-3)
    shades = np.array([255.0 * float(one.gray.mean()) for one in found])
    assert np.max(np.abs(shades - 10.0 * np.arange(20))) < 6.0  # a video keeps brightness about, no more
    (tmp_path / "bad.mp4").write_bytes(b"nothing of the kind")
    with pytest.raises(InputError, match="no video"):
        list(frames_of(tmp_path / "bad.mp4"))


def test_a_phone_that_was_turned_gives_upright_frames() -> None:
    """A quarter turn counterclockwise brings the right edge of the picture to its top."""

    class Turned:
        rotation = 90

        def to_image(self) -> Image.Image:
            picture = Image.new("RGB", (64, 48))
            picture.paste((255, 255, 255), (60, 0, 64, 48))
            return picture

    found = upright(Turned())
    assert found.size == (48, 64)
    assert found.getpixel((24, 1)) == (255, 255, 255)
    assert found.getpixel((24, 60)) == (0, 0, 0)


def test_without_the_library_a_video_asks_for_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "film.mp4").write_bytes(b"")
    monkeypatch.setitem(sys.modules, "av", None)
    with pytest.raises(SlowflightError, match=r"slowflight\[video\]"):
        list(frames_of(tmp_path / "film.mp4"))
    assert not can_write_videos()
    with pytest.raises(SlowflightError, match=r"slowflight\[video\]"):
        write_video([], tmp_path / "out.mp4")
