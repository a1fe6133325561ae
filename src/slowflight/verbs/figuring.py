"""Figures and tables to keep and to show, from saved results only."""

from __future__ import annotations

import os
import zipfile
from pathlib import Path
from typing import Any

from slowflight.errors import InputError, SlowflightError, library_missing
from slowflight.project import Project, open_project
from slowflight.report.saved import of_same_wing
from slowflight.report.shared_files import note_made
from slowflight.verbs.clips import FOLDER, OLD
from slowflight.verbs.flying import saved_flights
from slowflight.verbs.packed_file import CAUTIONS, MARK, READ_FIRST
from slowflight.verbs.predicting import PREDICTION, picture_files, saved_prediction
from slowflight.verbs.second_opinion import saved_second_opinion
from slowflight.verbs.staleness import why_old

ARCHIVE = "figures-and-tables.zip"
PICTURES, TABLES = "figures", "tables"


def figures(folder: str | Path) -> dict[str, Any]:
    """Write every figure as SVG and as PNG, wide and upright, and every table as CSV.

    Parameters
    ----------
    folder : str or Path
        A project folder with a prediction.

    Returns
    -------
    dict
        ``folder``: ``DIR/share``; ``files``: paths in it, the last of them one zip archive of all.

    Raises
    ------
    InputError
        Where nothing is predicted.
    SlowflightError
        Where the report's own libraries are not installed or the folder cannot be written.
    """
    project = open_project(folder)
    prediction = saved_prediction(project)
    if prediction is None:
        raise InputError(
            where=str(project.folder), found="no prediction", needed="one to show",
            fix="run 'slowflight predict' first",
        )  # fmt: skip
    target = project.ready(project.folder / FOLDER)
    try:
        files = [*_pictures(project, prediction, target), *_tables(project, prediction, target)]
        _archive(target, files)
        note_made(target, [*files, ARCHIVE], prediction, kind="prediction")
    except OSError as error:
        raise SlowflightError(f"{target}: cannot be written ({error.strerror or error})") from None
    return {"folder": str(target), "files": [*files, ARCHIVE]}


def _old(project: Project, prediction: dict[str, Any]) -> str:
    found = why_old(project, prediction, file=project.runs / PREDICTION, what="prediction")
    return OLD if found else ""


def _pictures(project: Project, prediction: dict[str, Any], target: Path) -> list[str]:
    try:
        from slowflight.report.clips.canvas import SHAPES
        from slowflight.report.figures import as_lines, as_sheet, figures_of
    except ModuleNotFoundError as missing:
        raise library_missing("figures", library=missing.name, extra="report") from None
    place = project.ready(target / PICTURES)
    title = str(prediction["aircraft"])
    written = []
    found = figures_of(
        prediction,
        saved_flights(project),
        picture_files(project, prediction),
        old=_old(project, prediction),
        opinion=_opinion(project, prediction),
    )
    for one in found:
        (place / f"{one.name}.svg").write_text(as_lines(one, title=title), encoding="utf-8")
        written.append(f"{PICTURES}/{one.name}.svg")
        for shape in SHAPES:
            name = f"{one.name}-{shape.name}.png"
            as_sheet(one, shape, title=title).save(place / name, optimize=False, compress_level=3)
            written.append(f"{PICTURES}/{name}")
    return written


def _opinion(project: Project, prediction: dict[str, Any]) -> dict[str, Any] | None:
    """The second opinion where it is about the wing.toml of the prediction."""
    found = saved_second_opinion(project)
    return found if of_same_wing(prediction, found) else None


def _tables(project: Project, prediction: dict[str, Any], target: Path) -> list[str]:
    from slowflight.report.tables import tables_of

    place = project.ready(target / TABLES)
    written = []
    for name, text in tables_of(prediction, saved_flights(project), old=_old(project, prediction)):
        (place / f"{name}.csv").write_text(text, encoding="utf-8")
        written.append(f"{TABLES}/{name}.csv")
    return written


def _archive(target: Path, files: list[str]) -> None:
    fresh = target / f".{ARCHIVE}.{os.getpid()}.part"
    try:
        with zipfile.ZipFile(fresh, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr(READ_FIRST, "\n".join((MARK, "", *(f"- {one}" for one in CAUTIONS), "")))
            for name in files:
                archive.write(target / name, name)
        fresh.replace(target / ARCHIVE)
    finally:
        fresh.unlink(missing_ok=True)
