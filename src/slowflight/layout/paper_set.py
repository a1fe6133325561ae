"""Every sheet and drawing of one row, from one layout."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from slowflight.layout.checklist_pages import write_checklists
from slowflight.layout.checklists import log_entry
from slowflight.layout.datum_line import DatumLine
from slowflight.layout.dxf_file import write_dxf
from slowflight.layout.error_budget import Slip
from slowflight.layout.files import replace_file
from slowflight.layout.patch_page import write_patch_trial
from slowflight.layout.patch_trial import PatchTrial
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.sheets import PAPERS, ROLL
from slowflight.layout.skin_drawing import draw_skin
from slowflight.layout.strip_page import SheetTitle
from slowflight.layout.svg_file import write_svg
from slowflight.layout.template import write_template
from slowflight.layout.wrap import nose_wraps
from slowflight.wing.planform import Wing

CHECKLIST_PAPERS = ("a4", "letter")


def write_papers(
    plan: LayoutPlan,
    folder: Path,
    *,
    stem: str,
    wing: Wing,
    aircraft: str,
    trial: bool,
    revision: str,
    made_on: str,
    budget: Sequence[Slip] = (),
    datum: DatumLine | None = None,
    approval: str | None = None,
) -> list[Path]:
    """Write the templates on every paper, and the same lines as SVG and DXF.

    Parameters
    ----------
    plan : LayoutPlan
        The layout, the one source of every position.
    folder : Path
        An existing folder.
    stem : str
        How the files' names begin.
    wing : Wing
        For the wrap's cheeks.
    aircraft, revision, made_on : str
        Printed on every page.
    trial : bool
        Stamp every page TRIAL.
    budget, datum
        As for `write_template`.
    approval : str or None, optional
        By what right vanes are fitted, for the log entry.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    InputError
        Where a file cannot be written or a paper cannot hold a vane.
    """
    wraps = nose_wraps(plan, wing=wing)
    files = [
        write_template(
            plan, folder / f"{stem}-{paper}.pdf", paper=paper, aircraft=aircraft, trial=trial,
            revision=revision, made_on=made_on, budget=budget, datum=datum, wraps=wraps,
        )
        for paper in (*PAPERS, ROLL)
    ]  # fmt: skip
    title = SheetTitle(aircraft=aircraft, revision=revision, made_on=made_on, trial=trial)
    drawing = draw_skin(plan, title=title, wraps=wraps, datum=datum)
    files.append(write_svg(drawing, folder / f"{stem}.svg", title=f"{aircraft}: {plan.name}"))
    files.append(write_dxf(drawing, folder / f"{stem}.dxf"))
    for paper in CHECKLIST_PAPERS:
        place = folder / f"{stem}-checklists-{paper}.pdf"
        files.append(write_checklists(plan, place, paper=paper, title=title, approval=approval))
    entry = log_entry(plan, aircraft=aircraft, approval=approval, revision=revision)
    files.append(replace_file(folder / f"{stem}-log-entry.txt", entry.encode("utf-8")))
    return files


def write_patch_papers(
    trial: PatchTrial, folder: Path, *, wing: Wing, aircraft: str, revision: str, made_on: str
) -> list[Path]:
    """Write the sheets of a patch trial: card, drawing and tables, and a template for each patch.

    Parameters
    ----------
    trial : PatchTrial
    folder : Path
        An existing folder.
    wing : Wing
    aircraft, revision, made_on : str
        Printed on every page; every page is stamped TRIAL.

    Returns
    -------
    list of Path

    Raises
    ------
    InputError
        Where a file cannot be written.
    """
    title = SheetTitle(aircraft=aircraft, revision=revision, made_on=made_on, trial=True)
    files = []
    for paper in CHECKLIST_PAPERS:
        files.append(
            write_patch_trial(trial, folder / f"patch-trial-{paper}.pdf", wing=wing, paper=paper, title=title)
        )
        for number, plan in enumerate(trial.plans, start=1):
            files.append(
                write_template(
                    plan, folder / f"patch-{number}-{paper}.pdf", paper=paper, aircraft=aircraft, trial=True,
                    revision=revision, made_on=made_on, wraps=nose_wraps(plan, wing=wing),
                )
            )  # fmt: skip
    return files
