"""Paper, colors and ink of every picture, and the way from a figure to a data URI.

Drawn through figure objects only; nothing is shared between pictures, and the same record gives the same
bytes: no date, no random names, no setting of the reader's own plotting.
"""

from __future__ import annotations

import base64
import io
import math
import warnings
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

import matplotlib
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray

INK = "#1d2733"
MUTED = "#5d6876"
FAINT = "#b9b4a8"
PAPER = "#ffffff"
CLEAN = "#a85200"
VANES = "#0a5a96"
LETS_GO = "#c2371b"
HALO = {"facecolor": PAPER, "edgecolor": "none", "alpha": 0.85, "pad": 1.2}

_STYLE: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": 10.0,
    "text.color": INK,
    "axes.edgecolor": MUTED,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "xtick.color": MUTED,
    "ytick.color": MUTED,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "hatch.linewidth": 0.6,
    "svg.hashsalt": "slowflight",
    "svg.fonttype": "path",
}


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture that needs no file beside it.

    Parameters
    ----------
    uri : str
        ``data:`` and everything in it.
    alt : str
        What the picture shows, in words, for whoever cannot see it.
    width, height : int
        Natural size [CSS pixels].
    """

    uri: str
    alt: str
    width: int
    height: int


_PIXELS: ContextVar[list[bytes] | None] = ContextVar("pixels", default=None)


@contextmanager
def also_pixels(sink: list[bytes]) -> Iterator[None]:
    """Put every figure that is drawn meanwhile into ``sink`` as PNG too, large enough to be shown."""
    before = _PIXELS.set(sink)
    try:
        yield
    finally:
        _PIXELS.reset(before)


@contextmanager
def house_style() -> Iterator[None]:
    """Draw with these settings, whatever the reader's own settings are, and put those back after."""
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_STYLE)
        yield


def new_figure(*, width: float, height: float, fitted: bool = True) -> Figure:
    """Return an empty figure of so many inches, whose parts make room for each other if it is fitted."""
    figure = Figure(figsize=(width, height), layout="constrained" if fitted else None, facecolor=PAPER)
    FigureCanvasAgg(figure)
    return figure


def as_svg(figure: Figure, *, alt: str) -> Picture:
    """Return a figure as lines, sharp at any size."""
    return _saved(figure, alt=alt, kind="svg", mime="image/svg+xml", metadata={"Date": None, "Creator": None})


def as_png(figure: Figure, *, alt: str) -> Picture:
    """Return a figure as pixels, for pictures whose lines would outweigh them."""
    return _saved(figure, alt=alt, kind="png", mime="image/png", metadata={"Software": None})


def numbers(values: Iterable[float | None]) -> NDArray[np.float64]:
    """Return a list of a record as an array; what has no answer becomes NaN, which leaves a gap in a line."""
    return np.array([math.nan if value is None else value for value in values], dtype=float)


def literal(text: str) -> str:
    """Return text that is drawn as it stands; a dollar sign would otherwise begin an equation."""
    return text.replace("$", r"\$")


def spread(wanted: Sequence[float], *, room: Sequence[float], low: float, high: float) -> list[float]:
    """Move label centers as little as needed so that none covers another.

    Parameters
    ----------
    wanted : sequence of float
        Where each label would like its center.
    room : sequence of float
        How much each takes, in the same unit.
    low, high : float
        Ends of the space; where it is too short for all, the labels run over its low end.

    Returns
    -------
    list of float
        Centers in the order given.
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    placed = list(wanted)
    edge = low
    for index in order:
        placed[index] = max(placed[index], edge + room[index] / 2)
        edge = placed[index] + room[index] / 2
    edge = high
    for index in reversed(order):
        placed[index] = min(placed[index], edge - room[index] / 2)
        edge = placed[index] - room[index] / 2
    return placed


def _saved(figure: Figure, *, alt: str, kind: str, mime: str, metadata: dict[str, None]) -> Picture:
    file = io.BytesIO()
    with warnings.catch_warnings():
        # A vane may be named in a script the font lacks; the page beside the picture prints it in full.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        figure.savefig(file, format=kind, metadata=metadata, dpi=170)
        sink = _PIXELS.get()
        if sink is not None:
            pixels = io.BytesIO()
            figure.savefig(pixels, format="png", metadata={"Software": None}, dpi=220)
            sink.append(pixels.getvalue())
    width, height = figure.get_size_inches()
    uri = f"data:{mime};base64,{base64.b64encode(file.getvalue()).decode('ascii')}"
    return Picture(uri=uri, alt=alt, width=round(96 * width), height=round(96 * height))
