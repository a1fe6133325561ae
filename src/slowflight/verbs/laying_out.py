"""The rows of a project on paper: positions, tables and templates."""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import json
import re
from pathlib import Path
from typing import Any

from slowflight.errors import InputError, RangeError
from slowflight.layout.bought import match_bought
from slowflight.layout.datum_line import DatumLine
from slowflight.layout.error_budget import error_budget
from slowflight.layout.files import replace_file
from slowflight.layout.fit import Fit
from slowflight.layout.fit_checks import check_fit
from slowflight.layout.fit_file import read_fit
from slowflight.layout.installed_form import write_form
from slowflight.layout.patch_trial import CARD, lay_out_patches
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.plan import lay_out
from slowflight.layout.record import to_record, together, write_positions
from slowflight.project import Project, open_project
from slowflight.verbs.predicting import saved_prediction
from slowflight.verbs.rows_to_lay_out import chosen_rows, row_text
from slowflight.verbs.staleness import made_from
from slowflight.wing.planform import Wing
from slowflight.wing.wing_file import WingFile, read_wing_file

LAYOUT = "layout.json"
OURS = re.compile(
    r"installed-form\.csv|patch-(trial|\d)-(a4|letter)\.pdf|row(-\d+)?"
    r"(-(a4|letter|a3|roll)\.pdf|-positions\.csv|\.toml|\.svg|\.dxf"
    r"|-(vane-[AB]|jig(-\d+)?|coupon)\.(stl|3mf)|-print-notes\.txt|-log-entry\.txt|-checklists-(a4|letter)\.pdf)"
)


def layout(folder: str | Path) -> dict[str, Any]:
    """Lay out the rows of wing.toml, or else the best row of the last prediction.

    Parameters
    ----------
    folder : str or Path
        A project folder with its wing.toml, and a fit.toml where there is something to say about fitting.

    Returns
    -------
    dict
        Places of all vanes and the files written, as kept in ``layout/layout.json``: plain data. Each row's
        template comes on A4, Letter and A3 paper and on a roll, as SVG and as DXF, with a table of positions
        and as ``row.toml``, to copy into wing.toml.

    Raises
    ------
    InputError
        Where wing.toml or fit.toml cannot be used, there is no row and no prediction, or a row cannot stand
        on the wing; nothing has been overwritten then.
    SlowflightError
        Where the library that draws the templates is not installed.
    """
    project = open_project(folder)
    file = read_wing_file(project.wing_file)
    fit = read_fit(project.fit_file)
    check_fit(fit, wing=file.wing, where=str(project.fit_file))
    prediction = saved_prediction(project)
    chosen = chosen_rows(project, file, prediction=prediction)
    plans = [
        lay_out(
            wing=file.wing, row=c.row, name=c.name, mass_each=c.mass_each, where=c.where,
            span_from=file.question.row_from, span_to=file.question.row_to, fit=fit,
        )
        for c in chosen
    ]  # fmt: skip
    if fit.patches:
        # Refused before anything is written.
        lay_out_patches(wing=file.wing, row=plans[0].row, fit=fit, where=f"{project.fit_file}: patch")
    write = _paper_writer()
    place = project.ready(project.layout)
    records, every_file = [], []
    for number, (plan, row) in enumerate(zip(plans, chosen, strict=True), start=1):
        stem = "row" if len(plans) == 1 else f"row-{number}"
        revision = _revision(plan)
        budget = error_budget(plan, prediction=prediction)
        datum = None if fit.datum is None else DatumLine(fit.datum, wing=file.wing, surface=plan.row.surface)
        files = [
            str(written)
            for written in write(
                plan, place, stem=stem, wing=file.wing, aircraft=file.aircraft.name,
                trial=file.aircraft.trial, revision=revision, made_on=datetime.date.today().isoformat(),
                budget=budget, datum=datum, approval=file.aircraft.approval_route,
            )
        ]  # fmt: skip
        printed, remarks = _solids(plan, place, stem=stem, wing=file.wing)
        files += printed
        files.append(str(write_positions(plan, place / f"{stem}-positions.csv")))
        files.append(str(replace_file(place / f"{stem}.toml", row_text(row).encode())))
        record = to_record(plan, files=files, datum=datum, budget=budget)
        record["warnings"] = [
            *row.warnings, *_about_flap(file, fit, plan), *record["warnings"], *remarks,
            *_bought_words(fit, plan),
        ]  # fmt: skip
        records.append(
            {
                **record, "aircraft": file.aircraft.name, "revision": revision, "trial": file.aircraft.trial,
                "bought": None if fit.bought is None else vars(match_bought(fit.bought, row=plan.row)),
            }
        )  # fmt: skip
        every_file += files
    every_file.append(str(write_form(records, place / "installed-form.csv")))
    patch = _patches(file, fit, plans[0], place)
    every_file += patch["files"] if patch is not None else []
    whole = {**together(records, files=every_file), "patch_trial": patch, "made_from": made_from(project)}
    old = _names_in(place / LAYOUT)
    replace_file(place / LAYOUT, json.dumps(whole, allow_nan=False, indent=1).encode())
    # A sheet of an earlier layout beside the new ones would end up on a wing.
    for name in old - {Path(file).name for file in every_file}:
        with contextlib.suppress(OSError):
            (place / name).unlink()
    return whole


def _names_in(record: Path) -> set[str]:
    """Names of the sheets and tables of an earlier layout, wherever it was called from."""
    try:
        listed = json.loads(record.read_text(encoding="utf-8")).get("files", [])
    except (OSError, ValueError, AttributeError):
        return set()
    return {name for file in listed if OURS.fullmatch(name := Path(str(file)).name)}


def saved_layout(project: Project) -> dict[str, Any] | None:
    """Return the last layout of a project, or ``None``; a damaged file is an InputError."""
    path = project.layout / LAYOUT
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
    except OSError:
        return None
    except ValueError:
        record = None
    if not isinstance(record, dict):
        raise InputError(
            where=str(path), found="a damaged file", needed="a layout", fix="run 'slowflight layout' again"
        )
    return record


def _about_flap(file: WingFile, fit: Fit, plan: LayoutPlan) -> list[str]:
    """Say where zones do not fit the flap that wing.toml describes."""
    flap = file.flap
    if flap is None:
        return []
    starts, ends = flap.span_from or 0.0, file.wing.semi_span if flap.span_to is None else flap.span_to
    whole = starts <= plan.span_from + 0.05 and ends >= plan.span_to - 0.05
    kinds = {zone.kind for zone in fit.zones if not zone.free}
    if whole and flap.kind == "hung" and {"controls", "elsewhere"} <= kinds:
        return [
            "the flaperon reaches along the whole row: all of it lies ahead of controls and is one zone"
            " (common practice, no source); fit.toml has zones elsewhere as well"
        ]
    return []


def _paper_writer() -> Any:
    from slowflight.layout.drawing import paper_writer

    return paper_writer()


def _bought_words(fit: Fit, plan: LayoutPlan) -> list[str]:
    if fit.bought is None:
        return []
    return [f"bought vane: {words}" for words in match_bought(fit.bought, row=plan.row).remarks]


def _patches(file: WingFile, fit: Fit, plan: LayoutPlan, place: Path) -> dict[str, Any] | None:
    """Lay out the patch trial with the vanes of the first row, and write its sheets."""
    if not fit.patches:
        return None
    from slowflight.layout.drawing import patch_writer

    trial = lay_out_patches(wing=file.wing, row=plan.row, fit=fit)
    plans = [to_record(each) for each in trial.plans]
    files = patch_writer()(
        trial, place, wing=file.wing, aircraft=file.aircraft.name,
        revision="-".join(_revision(each) for each in trial.plans),
        made_on=datetime.date.today().isoformat(),
    )  # fmt: skip
    return {
        "patches": [
            {"name": p["candidate"], "row": p["row"], "vanes": p["vanes"], "left_out": p["left_out"]}
            for p in plans
        ],
        "tufts": [
            {
                "bay": tuft.bay,
                "span_position_mm": round(1e3 * tuft.span_position, 3),
                "chord_distance_mm": round(1e3 * tuft.chord_distance, 3),
                "skin_distance_mm": round(1e3 * tuft.skin_distance, 3),
            }
            for tuft in trial.tufts
        ],
        "card": list(CARD),
        "files": [str(each) for each in files],
    }


def _solids(plan: LayoutPlan, place: Path, *, stem: str, wing: Wing) -> tuple[list[str], list[str]]:
    """Write what can be printed; say why where nothing can: paper does without."""
    from slowflight.layout.drawing import solid_writer

    write = solid_writer()
    if write is None:
        return [], [
            "no solids to print were written: their library is not installed; install slowflight with its"
            " extra: pip install 'slowflight[solids]'"
        ]
    try:
        return [str(file) for file in write(plan, place, stem=stem, wing=wing)], []
    except RangeError as problem:
        return [], [f"no solids to print were written: {problem}"]


def _revision(plan: LayoutPlan) -> str:
    """Short hash of what is laid out: two sheets of one revision are of one layout."""
    text = json.dumps(to_record(plan), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:6]
