"""Open a log as lines of text, whatever its encoding and however large, and never write to it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from slowflight.errors import InputError

NEEDED = "a log as text: a table, GPX, NMEA 0183 or IGC"
HEAD_BYTES = 1 << 16
PIECE = 1 << 20
LONGEST_LINE = 1 << 20
_PACKED = {b"\x1f\x8b": "gzip", b"PK": "zip", b"7z": "7z", b"\xfd7": "xz", b"BZ": "bzip2"}


@dataclass(frozen=True, kw_only=True)
class LogText:
    """A log file that can be read as text.

    Parameters
    ----------
    path : Path
        The file.
    encoding : str
        By which it reads as text.
    head : str
        Its beginning, up to 64 kB.
    """

    path: Path
    encoding: str
    head: str

    def lines(self) -> Iterator[tuple[int, str]]:
        """Yield line numbers from 1 and lines without their ends; memory does not grow with the file.

        Raises
        ------
        InputError
            Where a line is longer than a million characters, or the file cannot be read any further.
        """
        number, rest = 0, ""
        with self.path.open(encoding=self.encoding, errors="replace", newline=None) as stream:
            while True:
                try:
                    piece = stream.read(PIECE)
                except OSError as error:
                    raise InputError(
                        where=f"{self.path} line {number + 1}",
                        found=f"a file that stops being readable ({error.strerror})",
                        needed="a whole file",
                        fix="copy it again from the recorder",
                    ) from None
                if not piece:
                    break
                *whole, rest = (rest + piece).split("\n")
                for line in whole:
                    number += 1
                    yield number, line.replace("\0", "") if "\0" in line else line
                if len(rest) > LONGEST_LINE:
                    raise InputError(
                        where=f"{self.path} line {number + 1}",
                        found=f"a line of more than {LONGEST_LINE:,} characters",
                        needed=NEEDED,
                    )
        rest = rest.replace("\0", "")
        if rest:
            yield number + 1, rest


def open_log(path: Path | str) -> LogText:
    """Find out how a log reads as text.

    Parameters
    ----------
    path : Path or str
        The file.

    Returns
    -------
    LogText

    Raises
    ------
    InputError
        Where it is missing, a folder, empty, packed, or no text.
    """
    place = Path(path)
    where = str(place)
    if place.is_dir():
        raise InputError(where=where, found="a folder", needed=NEEDED)
    try:
        with place.open("rb") as stream:
            raw = stream.read(HEAD_BYTES)
    except FileNotFoundError:
        raise InputError(
            where=where, found="no such file", needed=NEEDED, fix="check the name and the folder"
        ) from None
    except (OSError, ValueError) as error:
        raise InputError(where=where, found=f"a file that cannot be read ({error})", needed=NEEDED) from None
    for magic, name in _PACKED.items():
        if raw.startswith(magic) and (b"\0" in raw or any(byte > 127 for byte in raw[:64])):
            raise InputError(where=where, found=f"a {name} file", needed=NEEDED, fix="unpack it first")
    if not raw.strip(b" \t\r\n\0"):
        raise InputError(
            where=where, found="an empty file", needed=NEEDED, fix="copy it again from the recorder"
        )
    encoding = _encoding(raw)
    head = raw.decode(encoding, errors="replace").replace("\0", "").replace("\r\n", "\n").replace("\r", "\n")
    odd = sum(not (sign.isprintable() or sign in "\n\t") for sign in head) + head.count("\ufffd")
    if odd > 0.05 * len(head):
        raise InputError(where=where, found="a file that is no text", needed=NEEDED)
    return LogText(path=place, encoding=encoding, head=head)


def _encoding(raw: bytes) -> str:
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "utf-16"
    if raw.startswith(b"\xef\xbb\xbf"):
        return "utf-8-sig"
    # Without a mark, UTF-16 of plain letters shows as a NUL in every second byte.
    for first, name in ((1, "utf-16-le"), (0, "utf-16-be")):
        every_second = raw[first::2]
        if every_second.count(0) > 0.4 * max(len(every_second), 1) and raw[1 - first :: 2].count(
            0
        ) * 10 < len(raw):
            return name
    try:
        raw[: len(raw) - 4 if len(raw) == HEAD_BYTES else None].decode("utf-8")
    except UnicodeDecodeError as error:
        if error.start < len(raw) - 8:
            return "latin-1"
    return "utf-8"
