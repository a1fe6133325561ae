"""The page to read and to show, from what was computed before."""

from __future__ import annotations

from pathlib import Path

from slowflight.errors import InputError
from slowflight.project import open_project
from slowflight.report.page import write_report
from slowflight.verbs.laying_out import saved_layout
from slowflight.verbs.predicting import picture_files, saved_prediction


def report(folder: str | Path) -> Path:
    """Write the report of a project's last prediction and layout.

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
    return write_report(
        prediction=prediction,
        layout=saved_layout(project),
        fields=picture_files(project, prediction),
        folder=project.ready(project.report),
    )
