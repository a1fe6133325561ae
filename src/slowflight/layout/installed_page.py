"""Deviations of the installed row from its layout as a drawing, left and right one above the other."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from pathlib import Path

from slowflight.layout.cautions import SHORT_CAUTION
from slowflight.layout.files import replace_file
from slowflight.layout.ink import BLACK, GRAY, HAIR, POINTS_PER_MM, THIN, Ink, blank_pdf
from slowflight.layout.installed import OFF_SKIN, OFF_TOE
from slowflight.layout.installed_form import InstalledVane
from slowflight.layout.sheets import PAPERS
from slowflight.layout.strip_page import SheetTitle

MARGIN, LABEL = 15.0, 18.0


def write_deviations(
    vanes: Sequence[InstalledVane],
    path: Path | str,
    *,
    paper: str,
    title: SheetTitle,
    sentences: Sequence[str],
) -> Path:
    """Draw what every vane is off by, along the skin and in toe.

    Parameters
    ----------
    vanes : sequence of InstalledVane
        Of both wings and all rows.
    path : Path or str
    paper : str
        ``"a4"`` or ``"letter"``; the page lies across.
    title : SheetTitle
    sentences : sequence of str
        Findings, the gravest first.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where the file cannot be written.
    """
    width, height = PAPERS[paper][::-1]
    written = io.BytesIO()
    canvas = blank_pdf(written, title="as installed")
    for row in sorted({vane.row for vane in vanes}):
        mine = [vane for vane in vanes if vane.row == row]
        canvas.setPageSize((width * POINTS_PER_MM, height * POINTS_PER_MM))
        _page(Ink(canvas), mine, width, height, title, sentences, row=row)
        canvas.showPage()
    canvas.save()
    return replace_file(path, written.getvalue())


def _page(
    ink: Ink,
    vanes: Sequence[InstalledVane],
    width: float,
    height: float,
    title: SheetTitle,
    sentences: Sequence[str],
    *,
    row: int,
) -> None:
    if title.trial:
        ink.stamp(width=width, height=height)
    top = height - MARGIN
    ink.text((MARGIN, top), f"AS INSTALLED, row {row}: measured less laid out", size=13, bold=True)
    words = f"{title.aircraft}; layout revision {title.revision}; {title.made_on}"
    ink.text((MARGIN, top - 5.0), words, size=8)
    charts: tuple[tuple[str, str, float, Callable[[InstalledVane], float | None]], ...] = (
        ("along the skin, mm (up: too far forward)", "mm", OFF_SKIN, lambda v: _off(v.planned_skin, v.skin)),
        ("toe, deg (up: tip further outboard)", "deg", OFF_TOE, lambda v: _off(v.toe, v.planned_toe)),
    )
    y = top - 12.0
    for words, unit, limit, value in charts:
        for side in ("left", "right"):
            mine = [vane for vane in vanes if vane.side == side]
            _chart(ink, mine, (MARGIN + LABEL, y - 26.0), width - 2.0 * MARGIN - LABEL, limit, value, unit)
            ink.text((MARGIN, y - 4.0), f"{side.upper()}", size=9, bold=True)
            ink.text((MARGIN + LABEL, y + 0.8), f"{side} wing, {words}", size=7)
            y -= 33.0
    for sentence in [*sentences[:6], SHORT_CAUTION]:
        y -= ink.block((MARGIN, y), sentence, size=7.5, room=width - 2.0 * MARGIN) + 0.8


def _off(value: float | None, less: float | None) -> float | None:
    return None if value is None or less is None else value - less


def _chart(
    ink: Ink,
    vanes: Sequence[InstalledVane],
    at: tuple[float, float],
    width: float,
    limit: float,
    value: Callable[[InstalledVane], float | None],
    unit: str,
) -> None:
    """Bars over the span, inboard at the left, 24 mm high; the tolerance as dashed lines."""
    x0, y0 = at
    half = 12.0
    values = {vane.number: value(vane) for vane in vanes}
    # A slip far out must not flatten all the others: its bar is cut short and its number says how far.
    most = min(max([2.0 * limit, *(abs(v) for v in values.values() if v is not None)]), 4.0 * limit)
    middle = y0 + half
    spans = [vane.planned_span for vane in vanes]
    low, high = min(spans), max(spans)
    scale = (width - 8.0) / max(high - low, 1.0)
    ink.line((x0, middle), (x0 + width, middle), width=THIN)
    for way in (-1.0, 1.0):
        y = middle + way * half * limit / most
        ink.line((x0, y), (x0 + width, y), width=HAIR, gray=GRAY, dash=(2, 2))
        ink.text((x0 - 1.0, y - 0.8), f"{way * limit:+.0f} {unit}", size=6, anchor="end", gray=GRAY)
    for vane in vanes:
        x = x0 + 4.0 + scale * (vane.planned_span - low)
        off = values[vane.number]
        if off is None:
            ink.text((x, middle - 1.0), "X", size=8, bold=True, anchor="middle")
            continue
        y = middle + half * max(-1.0, min(1.0, off / most))
        ink.line((x, middle), (x, y), width=1.5 if abs(off) > limit else 0.9, gray=BLACK)
        if abs(off) > limit:
            beside = 0.8 if off > 0.0 else -2.8
            ink.text((x, y + beside), f"{vane.number}: {off:+.1f}", size=5.5, anchor="middle")
    ink.text((x0 + 4.0, y0 - 1.5), f"{low:.0f} mm from the centerline", size=6, gray=GRAY)
    ink.text((x0 + width, y0 - 1.5), f"{high:.0f} mm; X: missing", size=6, gray=GRAY, anchor="end")
