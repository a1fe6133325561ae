"""Airfoils from files of points."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from slowflight.errors import SectionError
from slowflight.wing import outline
from slowflight.wing.caliper_header import is_caliper_header
from slowflight.wing.chord_line import lay
from slowflight.wing.file_remarks import read_remarks
from slowflight.wing.number_lines import Block, NumberText, read_numbers
from slowflight.wing.outline import FloatArray
from slowflight.wing.point_order import Points, ordered
from slowflight.wing.real_size import real_chord
from slowflight.wing.section import FEWEST_POINTS, MOST_POINTS, THINNEST, Section
from slowflight.wing.tomlfile import read_text

LARGEST_FILE = 50_000_000
# Below this height of the mean line over the chord line an outline is suspected to be upside down [chords].
SUSPECT_CAMBER = -0.003


def read_coordinates(path: Path | str, *, chord: float | None = None) -> Section:
    """Read an airfoil from a file of points, x and y to a line.

    Parameters
    ----------
    path : Path or str
        One loop in either direction, or two surfaces one after the other; in unit chord, per cent of
        chord, mm, cm, m, inches or feet; with or without comments (``#``, ``!``, ``;``, ``//``), titles
        and counts; points, decimal commas, blanks, tabs, commas or semicolons. Real sizes need a line such
        as ``units: mm``.
    chord : float, optional
        The real chord [m]; decides the unit of numbers whose file does not say it.

    Returns
    -------
    Section
        Laid about its chord line in unit chord; its notes say what was done, its cautions what to check.

    Raises
    ------
    InputError
        Where the file is missing, a folder, binary or empty.
    SectionError
        Where a line is a slip, the unit cannot be told, or the points make no airfoil.
    RangeError
        Where the chord would be no wing's.
    """
    place = Path(path)
    where = str(place)
    text = read_text(place, needed="a file of airfoil points", largest=LARGEST_FILE)
    if any(is_caliper_header(line) for line in text.splitlines()[:100]):
        raise SectionError(
            where=where,
            found="columns of station, upper and lower",
            needed="x and y",
            fix="read it as caliper offsets",
        )
    numbers = read_numbers(text, where=where)
    blocks, notes = _points(numbers, where=where)
    total = sum(block.x.size for block in blocks)
    if total > MOST_POINTS:
        raise SectionError(
            where=where,
            found=f"{total:,} points",
            needed=f"at most {MOST_POINTS:,}",
            fix=f"keep every {-(-total // 400)}th point",
        )
    if total < FEWEST_POINTS:
        raise SectionError(
            where=where,
            found=f"{total} points",
            needed=f"at least {FEWEST_POINTS}",
            fix="measure more stations, closest together at the nose",
        )
    loop, how = ordered(blocks, where=where)
    _refuse_crossing(loop, where=where)
    laid = lay(loop.x, loop.y, where=where)
    remarks = read_remarks(numbers.remarks, where=where)
    chord_m, unit_notes = real_chord(laid.chord, remarks=remarks, chord_m=chord, where=where)
    return Section(
        name=_name(numbers, place),
        x=laid.x,
        y=laid.y,
        chord_m=chord_m,
        source=where,
        notes=(*notes, *how, *laid.notes, *unit_notes),
        cautions=orientation_cautions(laid.x, laid.y),
        error_bar_m=remarks.error_bar_m,
    )


def _points(numbers: NumberText, *, where: str) -> tuple[list[Points], tuple[str, ...]]:
    """Blocks of x and y, the count lines taken off and a constant third column dropped."""
    blocks = [block for block in _without_counts(numbers) if block.lines]
    if not blocks:
        raise SectionError(where=where, found="no points", needed="two numbers to a line, x and y")
    widths = {len(line.values) for block in blocks for line in block.lines}
    if widths == {3} and len({line.values[2] for block in blocks for line in block.lines}) == 1:
        notes: tuple[str, ...] = ("dropped a constant third column",)
    elif widths == {2}:
        notes = ()
    else:
        line = next(line for block in blocks for line in block.lines if len(line.values) != 2)
        raise SectionError(
            where=f"{where} line {line.line}",
            found=f"{len(line.values)} number{'s' if len(line.values) != 1 else ''}",
            needed="two, x and y",
            fix="mend that line",
        )
    return [
        Points(
            np.array([line.values[0] for line in block.lines]),
            np.array([line.values[1] for line in block.lines]),
            np.array([line.line for line in block.lines], dtype=np.intp),
            block.title,
        )
        for block in blocks
    ], notes


def _without_counts(numbers: NumberText) -> list[Block]:
    """Take off lines that only say how many points follow, and cut there."""
    blocks = list(numbers.blocks)
    first = blocks[0].lines[0]
    counts = first.values
    left = len(numbers.lines) - 1
    if all(value >= 5 and value == int(value) for value in counts) and sum(counts) == left:
        blocks[0] = Block(blocks[0].title, blocks[0].lines[1:])
        if len(counts) == 2:
            rest = [line for block in blocks for line in block.lines]
            cut = int(counts[0])
            return [Block("", tuple(rest[:cut])), Block("", tuple(rest[cut:]))]
        return blocks
    return [part for block in blocks for part in _cut_at_counts(block, first=block is blocks[0])]


def _cut_at_counts(block: Block, *, first: bool) -> list[Block]:
    """Cut at each single number that counts the lines up to the next one; a leading one may be a name."""
    singles = [index for index, line in enumerate(block.lines) if len(line.values) == 1]
    if not singles:
        return [block]
    ends = [*singles[1:], len(block.lines)]
    counts = [block.lines[at].values[0] == end - at - 1 for at, end in zip(singles, ends, strict=True)]
    if singles[0] == 0 and all(counts):
        return [Block(block.title, block.lines[at + 1 : end]) for at, end in zip(singles, ends, strict=True)]
    if first and singles == [0] and block.lines[0].values[0] == int(block.lines[0].values[0]):
        return [Block(block.title, block.lines[1:])]
    return [block]


def _refuse_crossing(loop: Points, *, where: str) -> None:
    if float(np.ptp(loop.y)) < THINNEST * float(np.ptp(loop.x)):
        raise SectionError(
            where=where,
            found="points that all lie near one line",
            needed=f"an outline at least {100 * THINNEST:.1f} % of chord thick",
            fix="check the columns: x along the chord, then y across it",
        )
    crossing = outline.first_crossing(loop.x, loop.y)
    if crossing is not None:
        first, second = (int(loop.line[index]) for index in crossing)
        raise SectionError(
            where=f"{where} line {first}",
            found=f"an outline that crosses itself at x = {loop.x[crossing[0]]:g} (again at line {second})",
            needed="an outline that never crosses itself",
            fix="check the points and their order there",
        )


def _name(numbers: NumberText, path: Path) -> str:
    """The title where it is a name, else the file's own name."""
    title = " ".join(numbers.title.split())
    is_name = (
        title
        and len(title) <= 80
        and not re.match(r"(?:units?|chord|error|x(?:\b|_)|station|upper|lower)", title, re.IGNORECASE)
    )
    return title if is_name else path.stem


def orientation_cautions(x: FloatArray, y: FloatArray) -> tuple[str, ...]:
    """Suspect an outline in unit chord, shape (n,), whose mean line lies below its chord line."""
    nose = int(np.argmin(np.hypot(x, y)))
    stations = np.linspace(0.1, 0.9, 81)
    sides = [
        np.interp(stations, np.maximum.accumulate(side_x), side_y)
        for side_x, side_y in ((x[nose:], y[nose:]), (x[nose::-1], y[nose::-1]))
    ]
    camber = float(np.mean(0.5 * (sides[0] + sides[1])))
    if camber < SUSPECT_CAMBER:
        return (
            f"the mean line lies {-100 * camber:.1f} % of chord below the chord line:"
            " check that the section is not drawn upside down",
        )
    return ()
