"""The patch trial on paper: where everything goes, and how the one flight is flown."""

from __future__ import annotations

import io
from pathlib import Path

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Table

from slowflight import units
from slowflight.layout.cautions import CAUTIONS
from slowflight.layout.files import replace_file
from slowflight.layout.front_tables import both, mm_in, vane_table
from slowflight.layout.ink import BOLD, HAIR, VANE, Ink, blank_pdf, printable
from slowflight.layout.patch_trial import CARD, PatchTrial
from slowflight.layout.sheets import PAPERS
from slowflight.layout.strip_page import SheetTitle
from slowflight.layout.upright_pages import (
    BODY,
    GRID,
    HEADING,
    MARGIN,
    TITLE,
    UprightPages,
    listed,
    paragraph,
)
from slowflight.wing.planform import Wing


def write_patch_trial(
    trial: PatchTrial, path: Path | str, *, wing: Wing, paper: str, title: SheetTitle
) -> Path:
    """Write a patch trial: drawing, card, cautions, positions of vanes and tufts.

    Parameters
    ----------
    trial : PatchTrial
    path : Path or str
    wing : Wing
        For the drawing.
    paper : str
        ``"a4"`` or ``"letter"``.
    title : SheetTitle

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where the file cannot be written.
    """
    width, height = PAPERS[paper]
    written = io.BytesIO()
    canvas = blank_pdf(written, title=f"{title.aircraft}: patch trial")
    foot = f"{title.aircraft}; patch trial; {title.made_on}, revision {title.revision}"
    pages = UprightPages(canvas, width=width, height=height, trial=True, foot=foot)
    pages.begin()
    pages.flow(paragraph("Patch trial: which station keeps the flow", TITLE))
    pages.flow(paragraph(f"{title.aircraft}. {title.made_on}, revision {title.revision}. Always a trial."))
    pages.flow(paragraph(CARD[0], ParagraphStyle("first", parent=BODY, fontName=BOLD)))
    pages.drawing(58.0, lambda ink, y: _wings(ink, trial, wing, (MARGIN, y), width=width - 2.0 * MARGIN))
    listed(pages, "The flight (common practice, no source)", CARD, numbered=True)
    listed(pages, "Cautions", CAUTIONS, numbered=True)
    for plan in trial.plans:
        words = (
            f"{plan.name}: forward tips at {units.format_fraction(plan.row.station)} of chord, bay"
            f" {mm_in(plan.span_from)} to {mm_in(plan.span_to)} from the centerline, BOTH wings"
        )
        pages.room_for(30.0)
        pages.flow(paragraph(words, HEADING))
        pages.flow(vane_table(plan), after=2.0)
    pages.room_for(30.0)
    pages.flow(
        paragraph("Tufts, alike on both wings: wool 60 to 80 mm long, taped at the forward end", HEADING)
    )
    rows = [["bay", "span mm", "in", "along chord mm", "in", "along SKIN mm", "in"]]
    for tuft in trial.tufts:
        rows.append(
            [
                printable(tuft.bay),
                *both(tuft.span_position),
                *both(tuft.chord_distance),
                *both(tuft.skin_distance),
            ]
        )
    pages.flow(Table(rows, repeatRows=1, style=GRID, hAlign="LEFT"))
    pages.end()
    canvas.save()
    return replace_file(path, written.getvalue())


def _wings(ink: Ink, trial: PatchTrial, wing: Wing, at: tuple[float, float], *, width: float) -> None:
    """Both wings from outside, to one scale along the span, chord stretched."""
    x0, y0 = at
    middle = x0 + 0.5 * width
    along = 0.5 * width / wing.semi_span
    most = max(wing.chord_at(0.0), wing.chord_at(wing.semi_span))
    down = 36.0 / most
    top = y0 + 48.0
    upper = trial.plans[0].row.surface == "upper"
    for sense in (-1.0, 1.0):
        left_wing = (sense < 0.0) == upper
        for span, other in ((0.0, wing.semi_span),):
            ink.line((middle + sense * along * span, top), (middle + sense * along * other, top), width=0.8)
        tip = wing.chord_at(wing.semi_span)
        ink.line(
            (middle, top - down * wing.chord_at(0.0)),
            (middle + sense * along * wing.semi_span, top - down * tip),
            width=0.5,
        )
        ink.line(
            (middle + sense * along * wing.semi_span, top),
            (middle + sense * along * wing.semi_span, top - down * tip),
            width=0.5,
        )
        name = "LEFT WING" if left_wing else "RIGHT WING"
        ink.text((middle + sense * 0.25 * width, top + 5.0), name, size=8, bold=True, anchor="middle")
        for plan in trial.plans:
            low, high = (middle + sense * along * span for span in (plan.span_from, plan.span_to))
            chord = wing.chord_at(plan.span_from)
            y = top - down * plan.row.station * chord
            for x in (low, high):
                ink.line((x, top), (x, top - down * chord), width=HAIR, dash=(1, 1.5))
            ink.line((low, y), (high, y), width=VANE)
            words = f"{plan.name}, {units.format_fraction(plan.row.station, decimals=0)}"
            ink.text((0.5 * (low + high), top + 1.0), words, size=5.5, anchor="middle")
        for tuft in trial.tufts:
            x = middle + sense * along * tuft.span_position
            y = top - down * tuft.chord_distance
            ink.line((x, y), (x, y - 2.6), width=0.6)
    ink.arrow((middle, top - 26.0), (middle, top - 8.0), width=1.2, head=3.0)
    ink.text((middle + 2.0, top - 18.0), "front", size=6.5)
    words = "thick: vanes; short strokes: tufts; chord stretched, " + (
        "seen from above" if upper else "LOWER surface, seen from below"
    )
    ink.text((middle, y0 + 4.0), words, size=6.5, anchor="middle")
