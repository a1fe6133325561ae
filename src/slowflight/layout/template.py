"""The exact-scale paper template as one PDF file."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

from slowflight.layout.datum_line import DatumLine
from slowflight.layout.error_budget import Slip
from slowflight.layout.files import replace_file
from slowflight.layout.front_pages import draw_front_pages
from slowflight.layout.gauge_page import draw_gauge
from slowflight.layout.ink import POINTS_PER_MM, Ink, blank_pdf
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.sheets import ROLL, cut_into_sheets, page_frame
from slowflight.layout.strip_page import SheetTitle, draw_sheet
from slowflight.layout.tape_page import draw_tapes
from slowflight.layout.wrap import NoseWrap
from slowflight.layout.wrap_page import draw_wraps, wraps_left_out


def write_template(
    plan: LayoutPlan,
    path: Path | str,
    *,
    paper: str,
    aircraft: str,
    trial: bool,
    revision: str,
    made_on: str,
    budget: Sequence[Slip] = (),
    wraps: tuple[NoseWrap, ...] = (),
    datum: DatumLine | None = None,
) -> Path:
    """Write cautions, tables and the sheets of both wings at exact scale.

    Parameters
    ----------
    plan : LayoutPlan
        The layout.
    path : Path or str
        The file; it is replaced only when the new one is complete.
    paper : str
        ``"a4"``, ``"letter"``, ``"a3"`` or ``"roll"``.
    aircraft : str
        Its name.
    trial : bool
        Stamp every page TRIAL: until approval route, baseline stalls and stall warning are recorded.
    revision, made_on : str
        Printed on every page. Nothing else depends on the time: the same call writes the same bytes.
    budget : sequence of Slip, optional
        What slips cost in predicted stall speed.
    wraps : tuple of NoseWrap, optional
        What hangs on the leading edge; one that the paper cannot hold is said on the first page.
    datum : DatumLine, optional
        A line to measure from besides the foremost one.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        Where the paper is no such word, or the file cannot be written.

    Notes
    -----
    One millimeter on the wing's skin is 72/25.4 points on the paper. The paper is flat: it lies on the skin
    as on a wing lofted by straight lines, whose leading edge is straight and square to the flight direction.
    """
    frame, sheets = cut_into_sheets(plan, paper=paper)
    title = SheetTitle(aircraft=aircraft, revision=revision, made_on=made_on, trial=trial)
    written = io.BytesIO()
    canvas = blank_pdf(written, title=f"{aircraft}: {plan.name}")
    # Viewers shrink a page to the printer's margins unless told otherwise.
    canvas.setViewerPreference("PrintScaling", "None")
    draw_front_pages(
        canvas, plan, sheets, frame, title, budget=budget, datum=datum, notes=_notes(plan, wraps, paper)
    )
    upright = page_frame("a4" if paper == ROLL else paper, across=False)
    for gauge in plan.gauges:
        canvas.setPageSize((upright.width * POINTS_PER_MM, upright.height * POINTS_PER_MM))
        draw_gauge(Ink(canvas), plan, gauge, upright, title)
        canvas.showPage()
    draw_wraps(canvas, plan, wraps, paper=paper, title=title)
    draw_tapes(canvas, plan, paper=paper, title=title)
    for sheet in sheets:
        canvas.setPageSize((frame.width * POINTS_PER_MM, frame.height * POINTS_PER_MM))
        draw_sheet(Ink(canvas), plan, sheet, frame, title)
        canvas.showPage()
    canvas.save()
    return replace_file(path, written.getvalue())


def _notes(plan: LayoutPlan, wraps: tuple[NoseWrap, ...], paper: str) -> tuple[str, ...]:
    """What this paper cannot hold."""
    if not wraps_left_out(plan, wraps, paper=paper):
        return ()
    if paper == ROLL or wraps_left_out(plan, wraps, paper=ROLL):
        return ("the wrap is too large for paper: find the row's line by tape along the skin",)
    return ("the wrap is too large for this paper in part or whole: see the A3 or the roll file",)
