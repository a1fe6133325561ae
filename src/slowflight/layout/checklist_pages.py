"""The checklists on upright pages, with the form for what was installed."""

from __future__ import annotations

import io
import math
from pathlib import Path

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Table

from slowflight import units
from slowflight.layout.cautions import CAUTIONS
from slowflight.layout.checklists import LISTS, NO_SOURCE, count_sentence, log_entry
from slowflight.layout.dew_point import DRY_ABOVE, dew_point
from slowflight.layout.files import replace_file
from slowflight.layout.front_tables import both
from slowflight.layout.ink import BOLD, blank_pdf
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.sheets import PAPERS
from slowflight.layout.strip_page import SheetTitle
from slowflight.layout.upright_pages import BODY, GRID, HEADING, TITLE, UprightPages, paragraph

BOX = "[   ]  "
TEMPERATURES = (10, 15, 20, 25, 30)
HUMIDITIES = (30, 40, 50, 60, 70, 80, 90)


def write_checklists(
    plan: LayoutPlan, path: Path | str, *, paper: str, title: SheetTitle, approval: str | None
) -> Path:
    """Write every checklist, the log entry, the pre-flight count and the as-installed form.

    Parameters
    ----------
    plan : LayoutPlan
        What is fitted.
    path : Path or str
        The file.
    paper : str
        ``"a4"`` or ``"letter"``.
    title : SheetTitle
        Aircraft, date, revision, trial or not.
    approval : str or None
        As wing.toml says.

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
    canvas = blank_pdf(written, title=f"{title.aircraft}: checklists, {plan.name}")
    foot = f"{title.aircraft}; checklists; {plan.name}; {title.made_on}, revision {title.revision}"
    pages = UprightPages(canvas, width=width, height=height, trial=title.trial, foot=foot)
    pages.begin()
    pages.flow(paragraph("Fitting the row: checklists", TITLE))
    pages.flow(paragraph(f"{title.aircraft}. {title.made_on}, revision {title.revision}. {NO_SOURCE}"))
    strong = ParagraphStyle("strong", parent=BODY, fontName=BOLD, fontSize=11, leading=14)
    for caution in CAUTIONS[:3]:
        pages.flow(paragraph(caution, ParagraphStyle("caution", parent=BODY, fontName=BOLD)))
    for heading, lines in LISTS.items():
        pages.flow(paragraph(heading, HEADING), after=0.6)
        if heading.startswith("Before every flight"):
            pages.flow(paragraph(count_sentence(plan), strong))
        for line in lines:
            pages.flow(paragraph(BOX + line), after=0.7)
        if heading == "Bond":
            words = f"Least skin temperature, deg C: {DRY_ABOVE:.0f} deg above the dew point"
            words += " (dew point: WMO-No. 8, annex 4.B; the margin: common practice, no source)"
            pages.flow(paragraph(words), after=0.5)
            pages.flow(_dew_table(), after=2.0)
    pages.begin()
    pages.flow(paragraph("Log entry", HEADING))
    approved = log_entry(plan, aircraft=title.aircraft, approval=approval, revision=title.revision)
    for line in approved.splitlines():
        if line:
            pages.flow(paragraph(line), after=0.8)
    pages.begin()
    pages.flow(paragraph("As installed: measure, write, and type into a copy of installed-form.csv", HEADING))
    pages.flow(
        paragraph(
            "Along the skin from each wing's own foremost line; toe by protractor against the flight"
            " direction, plus"
            " where the forward tip lies outboard. Measured by ____________ checked by ____________ date"
            " ________"
        )
    )
    pages.flow(_form(plan))
    pages.end()
    canvas.save()
    return replace_file(path, written.getvalue())


def _dew_table() -> Table:
    rows = [["air deg C", *(f"{humidity} % humid" for humidity in HUMIDITIES)]]
    for temperature in TEMPERATURES:
        least = [
            dew_point(temperature=temperature, humidity=humidity / 100.0) + DRY_ABOVE
            for humidity in HUMIDITIES
        ]
        cells = [str(math.ceil(value)) for value in least]
        rows.append([str(temperature), *cells])
    return Table(rows, style=GRID, hAlign="LEFT")


def _form(plan: LayoutPlan) -> Table:
    rows = [
        ["no.", "span mm", "skin mm", "in", "LEFT", "toe", "skin", "toe measured", "RIGHT", "toe", "skin",
         "toe measured"]
    ]  # fmt: skip
    blank = "________"
    for left, right in zip(plan.on("left"), plan.on("right"), strict=True):
        toe = f"{units.express(left.toe, 'deg'):+.1f}"
        rows.append(
            [
                str(left.number), both(left.span_position)[0], *both(left.skin_distance),
                left.hand, toe, blank, blank, right.hand, toe, blank, blank,
            ]
        )  # fmt: skip
    return Table(rows, repeatRows=1, style=GRID, hAlign="LEFT")
