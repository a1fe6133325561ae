"""Turn a text file of points into numbers, forgiving in form and strict about slips.

Commas, semicolons, tabs and blanks separate; a decimal comma is understood where it cannot be a separator;
comments, titles and counts are set aside. A line that starts like numbers and goes on like a slip is
refused by its number, because a dropped point is a different airfoil.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from slowflight.errors import SectionError

# No wing is a million of any unit across, and larger numbers overflow further on.
LARGEST = 1e6
COMMENT_STARTS = ("#", "!", ";", "//", "%", "*")
_INLINE_COMMENT = re.compile(r"\s*(?:#|!|//).*$")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eEdD][+-]?\d+)?|[+-]?(?:nan|inf|infinity)", re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r"[+-]?\d*,\d+(?:[eEdD][+-]?\d+)?|[+-]?\d+", re.IGNORECASE)
_LOOKALIKES = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u2009": " "})


@dataclass(frozen=True)
class NumberLine:
    """One line of numbers.

    Parameters
    ----------
    line : int
        Its number in the file, from 1.
    values : tuple of float
        All finite.
    """

    line: int
    values: tuple[float, ...]


@dataclass(frozen=True)
class Block:
    """Lines of numbers that follow each other without a gap.

    Parameters
    ----------
    title : str
        The line of words or the comment right before, if any.
    lines : tuple of NumberLine
        At least one.
    """

    title: str
    lines: tuple[NumberLine, ...]


@dataclass(frozen=True)
class NumberText:
    """What a file of points holds.

    Parameters
    ----------
    remarks : tuple of str
        Titles and comments without their marks, in order.
    title : str
        The first line of words before the numbers, if any.
    blocks : tuple of Block
        The numbers.
    """

    remarks: tuple[str, ...]
    title: str
    blocks: tuple[Block, ...]

    @property
    def lines(self) -> tuple[NumberLine, ...]:
        """All lines of numbers."""
        return tuple(line for block in self.blocks for line in block.lines)


def read_numbers(text: str, *, where: str) -> NumberText:
    """Cut a text into blocks of number lines.

    Parameters
    ----------
    text : str
        The whole file.
    where : str
        The file, for messages.

    Returns
    -------
    NumberText

    Raises
    ------
    SectionError
        Naming the line: a slip among numbers, NaN or infinity, commas that could mean two things; or no
        numbers.
    """
    rows = [line.translate(_LOOKALIKES).strip() for line in text.splitlines()]
    decimal_comma = _decimal_comma(rows, where=where)
    remarks: list[str] = []
    title, block_title = "", ""
    blocks: list[Block] = []
    current: list[NumberLine] = []

    def close() -> None:
        nonlocal block_title
        if current:
            blocks.append(Block(block_title, tuple(current)))
            current.clear()
            block_title = ""

    for number, row in enumerate(rows, start=1):
        if not row:
            close()
        elif row.startswith(COMMENT_STARTS):
            close()
            block_title = row.lstrip("#!;/%* ").strip()
            remarks.append(block_title)
        elif _starts_with_number(row) and (values := _values(row, decimal_comma)) is not None:
            current.append(NumberLine(number, _finite(values, row=row, where=f"{where} line {number}")))
        elif _starts_with_number(row) and (current or blocks or _looks_like_a_slip(row)):
            raise SectionError(
                where=f"{where} line {number}",
                found=repr(row[:60]),
                needed="numbers only",
                fix="mend that line",
            )
        else:
            close()
            title = title or (row if not blocks else "")
            block_title = row
            remarks.append(row)
    close()
    if not blocks:
        raise SectionError(where=where, found="no numbers", needed="two numbers to a line, x and y")
    return NumberText(remarks=tuple(remarks), title=title, blocks=tuple(blocks))


def _decimal_comma(rows: list[str], *, where: str) -> bool:
    """Decide once for the file whether commas are decimal marks."""
    numbered = [
        (number, _INLINE_COMMENT.sub("", row))
        for number, row in enumerate(rows, start=1)
        if not row.startswith(COMMENT_STARTS) and _starts_with_number(row)
    ]
    commas = [(number, row) for number, row in numbered if "," in row and not re.search(r"[^\W\d_]{2,}", row)]
    if not commas or any("." in row for _, row in commas):
        return False
    styles: dict[bool, int] = {}
    for number, row in commas:
        pieces = [piece.rstrip(",") for piece in re.split(r"[\s;]+", row) if piece.strip(",")]
        if len(pieces) == 1:
            if row.count(",") > 2:
                raise SectionError(
                    where=f"{where} line {number}",
                    found=f"{row!r}, where a comma could be a decimal mark or a separator",
                    needed="one meaning",
                    fix="write decimal points, or put blanks between the numbers",
                )
            styles.setdefault(False, number)
        elif any("," in piece for piece in pieces):
            styles.setdefault(True, number)
    if len(styles) == 2:
        raise SectionError(
            where=f"{where} line {max(styles.values())}",
            found=f"commas of another meaning than in line {min(styles.values())}",
            needed="commas that either separate numbers or mark decimals",
            fix="write decimal points, or put blanks between the numbers",
        )
    return True in styles


def _starts_with_number(row: str) -> bool:
    first = re.split(r"[\s;,]+", row, maxsplit=1)[0]
    return _NUMBER.fullmatch(first) is not None


def _looks_like_a_slip(row: str) -> bool:
    """Tell a slip in the first line of numbers from a title such as '4415 rib' or '23012'."""
    return "." in row.split()[0] or "," in row.split()[0]


def _values(row: str, decimal_comma: bool) -> list[float] | None:
    row = _INLINE_COMMENT.sub("", row)
    pattern = _DECIMAL_COMMA if decimal_comma else _NUMBER
    pieces = re.split(r"[\s;]+" if decimal_comma else r"[\s;,]+", row)
    pieces = [piece.rstrip(",") for piece in pieces if piece.strip(",")]
    values = []
    for piece in pieces:
        if pattern.fullmatch(piece) is None and not re.fullmatch(
            r"[+-]?(nan|inf|infinity)", piece, re.IGNORECASE
        ):
            return None
        values.append(float(re.sub("[dD](?=[+-]?\\d)", "e", piece.replace(",", "."))))
    return values


def _finite(values: list[float], *, row: str, where: str) -> tuple[float, ...]:
    if not all(abs(value) <= LARGEST for value in values):  # NaN compares false too
        raise SectionError(
            where=where,
            found=repr(row[:60]),
            needed="finite numbers of a wing's size",
            fix="mend or delete that line",
        )
    return tuple(values)
