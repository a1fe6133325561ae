"""A PDF measured back: its straight lines and its words, in millimeters, with no help from what drew them."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from pypdf import PdfReader
from pypdf.generic import ContentStream
from reportlab.pdfbase.pdfmetrics import stringWidth

MM = 25.4 / 72.0
# Line widths by which a page tells what a line is [points].
BAR, VANE = 0.8, 1.2


@dataclass(frozen=True)
class Line:
    start: tuple[float, float]
    end: tuple[float, float]
    width: float

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def upright(self) -> bool:
        return abs(self.start[0] - self.end[0]) < 1e-3

    @property
    def level(self) -> bool:
        return abs(self.start[1] - self.end[1]) < 1e-3


@dataclass(frozen=True)
class Words:
    text: str
    at: tuple[float, float]
    width: float


@dataclass(frozen=True)
class Page:
    width: float
    height: float
    lines: tuple[Line, ...]
    words: tuple[Words, ...]
    curves: tuple[tuple[tuple[float, float], ...], ...]

    def find(self, pattern: str) -> re.Match[str] | None:
        return next((found for words in self.words if (found := re.search(pattern, words.text))), None)


def read_pages(path: Path) -> list[Page]:
    reader = PdfReader(path)
    return [_read(reader, page) for page in reader.pages]


def _read(reader: PdfReader, page: Any) -> Page:
    """Follow the few operators that place lines and words."""
    transform = np.eye(3)
    width = 1.0
    kept: list[tuple[Any, float]] = []
    path: list[tuple[float, float]] = []
    lines: list[Line] = []
    words: list[Words] = []
    curves: list[tuple[tuple[float, float], ...]] = []
    text_matrix, leading, font, size = np.eye(3), 0.0, "Helvetica", 1.0

    def placed(x: float, y: float, matrix: Any) -> tuple[float, float]:
        spot = np.array([x, y, 1.0]) @ matrix
        return float(spot[0]) * MM, float(spot[1]) * MM

    fonts = {
        name: str(kind.get_object()["/BaseFont"])[1:] for name, kind in page["/Resources"]["/Font"].items()
    }
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        name = operator.decode()
        if name == "q":
            kept.append((transform, width))
        elif name == "Q":
            transform, width = kept.pop()
        elif name == "cm":
            transform = _matrix(operands) @ transform
        elif name == "w":
            width = float(operands[0])
        elif name == "m":
            path = [placed(float(operands[0]), float(operands[1]), transform)]
        elif name in ("l", "c"):
            path.append(placed(float(operands[-2]), float(operands[-1]), transform))
        elif name == "S":
            if len(path) > 10:
                curves.append(tuple(path))
            else:
                lines += [Line(a, b, width) for a, b in itertools.pairwise(path)]
            path = []
        elif name == "BT":
            text_matrix = np.eye(3)
        elif name == "Tf":
            font, size = fonts[operands[0]], float(operands[1])
        elif name == "TL":
            leading = float(operands[0])
        elif name == "Tm":
            text_matrix = _matrix(operands)
        elif name == "Td":
            text_matrix = _matrix([1, 0, 0, 1, *operands]) @ text_matrix
        elif name == "T*":
            text_matrix = _matrix([1, 0, 0, 1, 0, -leading]) @ text_matrix
        elif name == "Tj":
            text = operands[0] if isinstance(operands[0], str) else operands[0].decode("cp1252")
            at = placed(0.0, 0.0, text_matrix @ transform)
            words.append(Words(str(text), at, stringWidth(str(text), font, size) * MM))
    box = page.mediabox
    return Page(float(box.width) * MM, float(box.height) * MM, tuple(lines), tuple(words), tuple(curves))


def _matrix(values: Any) -> Any:
    a, b, c, d, e, f = (float(value) for value in values)
    return np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]])


@dataclass(frozen=True)
class MeasuredVane:
    """As read off a sheet by its own printed scales [mm]."""

    span: float
    skin: float
    trailing_span: float
    trailing_skin: float
    leans_left: bool


@dataclass(frozen=True)
class MeasuredSheet:
    side: str
    number: int
    of: int
    page: Page
    vanes: dict[str, MeasuredVane]
    hands: dict[str, str]
    ends: tuple[float, float]
    marks: tuple[float, ...]
    edge_skin: float
    outboard_right: bool


def measure_sheet(page: Page) -> MeasuredSheet | None:
    """Read a sheet by its span scale and register marks; None for a page that is no sheet."""
    title = page.find(r"(LEFT|RIGHT) WING +sheet (\d+) of (\d+)")
    if title is None:
        return None
    span_of = _fit(_span_ticks(page))
    marks = _register_marks(page)
    skin_of = _fit([(y, skin) for _, y, skin in marks])
    xs = sorted({round(x, 3) for x, _, _ in marks})
    assert len(xs) == 2, "register marks stand on two match lines"
    vanes, hands = {}, {}
    for line in page.lines:
        middle = 0.5 * (line.start[0] + line.end[0])
        if line.width != VANE or not xs[0] <= middle <= xs[1]:
            continue
        trailing, forward = sorted((line.start, line.end), key=lambda spot: spot[1])
        label = min(
            (words for words in page.words if re.fullmatch(r"[LR]\d+ [AB]", words.text)),
            key=lambda words: _distance_to_label(words, trailing),
        )
        number, hand = label.text.split()
        assert number not in vanes
        hands[number] = hand
        vanes[number] = MeasuredVane(
            span_of(forward[0]),
            skin_of(forward[1]),
            span_of(trailing[0]),
            skin_of(trailing[1]),
            forward[0] < trailing[0],
        )
    ends = sorted(span_of(x) for x in xs)
    edge = max(
        (line for line in page.lines if line.level and line.length > 60.0), key=lambda line: line.start[1]
    )
    return MeasuredSheet(
        side=title[1].lower(),
        number=int(title[2]),
        of=int(title[3]),
        page=page,
        vanes=vanes,
        hands=hands,
        ends=(ends[0], ends[1]),
        marks=tuple(sorted({skin for _, _, skin in marks})),
        edge_skin=skin_of(edge.start[1]),
        outboard_right=span_of(xs[1]) > span_of(xs[0]),
    )


def check_bars(page: Page) -> dict[tuple[str, float], float]:
    """Length of each check bar by direction and nominal length [mm]."""
    bars = {}
    for line in page.lines:
        if line.width == BAR:
            assert line.level or line.upright
            nominal = min((100.0, 101.6), key=lambda length: abs(length - line.length))
            key = ("along the chord" if line.upright else "along the span", nominal)
            assert key not in bars
            bars[key] = line.length
    return bars


def _span_ticks(page: Page) -> list[tuple[float, float]]:
    """Across the page and span, of every labelled tick [mm]."""
    ticks = []
    for words in page.words:
        found = re.fullmatch(r"(\d+)( mm from centerline)?", words.text)
        if found is None:
            continue
        for line in page.lines:
            low = min(line.start[1], line.end[1])
            beside = min(abs(words.at[0] - line.start[0]), abs(words.at[0] + words.width - line.start[0]))
            if line.upright and 3.0 < line.length < 5.5 and -0.1 < low - words.at[1] < 1.6 and beside < 0.8:
                ticks.append((line.start[0], float(found[1])))
    return ticks


def _register_marks(page: Page) -> list[tuple[float, float, float]]:
    """Place on the page and distance along the skin, of every cross [mm]."""
    marks = []
    for line in page.lines:
        if not (line.level and abs(line.length - 8.0) < 1e-3):
            continue
        beside = [
            words
            for words in page.words
            if re.fullmatch(r"\d+", words.text) and abs(words.at[1] - line.start[1]) < 1.0
        ]
        if not beside:
            continue  # a piece of the row's line that happens to be as long
        x = 0.5 * (line.start[0] + line.end[0])
        nearest = min(beside, key=lambda words: abs(words.at[0] + 0.5 * words.width - x))
        marks.append((x, line.start[1], float(nearest.text)))
    return marks


def _fit(pairs: list[tuple[float, float]]) -> Any:
    """From page to scale through labelled marks, which must lie on one line of slope 1 or -1."""
    assert len({value for _, value in pairs}) >= 2, "a scale needs two labelled marks"
    places, values = np.array(pairs).T
    slope, start = np.polyfit(places, values, 1)
    assert abs(abs(slope) - 1.0) < 1e-4
    assert np.max(np.abs(slope * places + start - values)) < 1e-3
    return lambda place: float(slope * place + start)


def _distance_to_label(words: Words, tip: tuple[float, float]) -> float:
    """From a trailing tip to its label: level words centered below it, or upright ones ending below it."""
    level = math.dist((words.at[0] + 0.5 * words.width, words.at[1]), tip)
    upright = math.dist((words.at[0], words.at[1] + words.width), tip)
    return min(level, upright)
