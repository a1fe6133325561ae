"""The page to read and to show, from what was computed before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from slowflight.errors import InputError, SlowflightError
from slowflight.project import open_project
from slowflight.report.page import write_report
from slowflight.report.printed import print_page
from slowflight.report.shared_files import note_made
from slowflight.verbs.flying import flights_old, saved_flights
from slowflight.verbs.flying_tufts import saved_tufts
from slowflight.verbs.laying_out import LAYOUT, saved_layout
from slowflight.verbs.predicting import PREDICTION, picture_files, saved_prediction
from slowflight.verbs.second_opinion import OPINION, saved_second_opinion
from slowflight.verbs.staleness import why_old


def report(folder: str | Path) -> Path:
    """Write the report of a project's last prediction, layout and flights; what is out of date is said on it.

    Parameters
    ----------
    folder : str or Path
        A project folder.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    InputError
        Where the folder is none, or nothing has been predicted yet.
    SlowflightError
        Where the report's own libraries are not installed, or the page cannot be written.
    """
    project = open_project(folder)
    prediction = saved_prediction(project)
    if prediction is None:
        raise InputError(
            where=str(project.folder), found="no prediction", needed="one to report",
            fix="run 'slowflight predict' first",
        )  # fmt: skip
    laid_out = saved_layout(project)
    old = why_old(project, prediction, file=project.runs / PREDICTION, what="prediction")
    if laid_out is not None:
        old += why_old(project, laid_out, file=project.layout / LAYOUT, what="layout")
    flown = saved_flights(project)
    if flown is not None:
        flown = {**flown, "old": list(flights_old(project, flown)), "tufts": saved_tufts(project)}
    opinion = saved_second_opinion(project)
    if opinion is not None:
        why = why_old(project, opinion, file=project.runs / OPINION, what="second opinion")
        opinion = {**opinion, "old": list(why)}
    return write_report(
        opinion=opinion,
        prediction=_marked(prediction, old),
        flights=flown,
        layout=laid_out,
        fields=picture_files(project, prediction),
        folder=project.ready(project.report),
    )


def report_pdf(folder: str | Path) -> dict[str, Any]:
    """Write the report anew and print it as PDF, by a browser that is installed here.

    Parameters
    ----------
    folder : str or Path
        A project folder.

    Returns
    -------
    dict
        ``folder``: ``DIR/share``; ``files``: the PDF's name.

    Raises
    ------
    InputError, SlowflightError
        As `report`; SlowflightError also where no browser that prints by itself is found.
    """
    page = report(folder)
    target = open_project(folder).ready(page.parents[1] / "share")
    try:
        made = print_page(page, target / "report.pdf")
    except OSError as error:
        raise SlowflightError(f"{target}: cannot be written ({error.strerror or error})") from None
    note_made(target, [made.name], saved_prediction(open_project(folder)), kind="prediction")
    return {"folder": str(target), "files": [made.name]}


def _marked(prediction: Mapping[str, Any], old: Sequence[str]) -> dict[str, Any]:
    """Say first, beside the verdict and among the warnings, that the page shows what is no longer so."""
    verdict = prediction["verdict"]
    return {
        **prediction,
        "verdict": {**verdict, "reasons": [*old, *verdict["reasons"]]},
        "warnings": [*old, *prediction["warnings"]],
    }
