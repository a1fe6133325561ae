"""Clips to show: the angle sweep of a saved prediction, and the owner's own films before and after."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from slowflight import units
from slowflight.errors import InputError, library_missing
from slowflight.flights.tufts.frames import Frame, frames_of
from slowflight.flights.tufts.video import RATE
from slowflight.project import Project, open_project
from slowflight.report.shared_files import note_made
from slowflight.verbs.flying import flights_old, saved_flights
from slowflight.verbs.predicting import PREDICTION, picture_files, saved_prediction
from slowflight.verbs.staleness import why_old
from slowflight.wing.wing_file import read_wing_file

FOLDER = "share"
LONGEST = 15.0  # of a clip of films [s]: longer ones are too heavy to send
OLD = "OUT OF DATE: made before the last change."


def sweep_clip(folder: str | Path, *, flap: str | None = None) -> dict[str, Any]:
    """Draw the angle sweep with and without vanes, wide and upright, from the saved prediction.

    Parameters
    ----------
    folder : str or Path
        A project folder.
    flap : str, optional
        Flap setting with its unit; without it the first that has a row.

    Returns
    -------
    dict
        ``files``: names in ``DIR/share``; GIF always, MP4 where the extra ``video`` is installed.

    Raises
    ------
    InputError
        Where nothing is predicted, or that setting has no row.
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
    try:
        from slowflight.report.clips.canvas import SHAPES
        from slowflight.report.clips.sweep import sweep_frames, sweep_of
        from slowflight.verbs.clip_files import write_clip
    except ModuleNotFoundError as missing:
        raise library_missing("clip", library=missing.name, extra="report") from None
    setting = None if flap is None else math.degrees(units.angle(flap, where="--flap"))
    sweep = sweep_of(prediction, picture_files(project, prediction), flap_deg=setting)
    if why_old(project, prediction, file=project.runs / PREDICTION, what="prediction"):
        sweep = replace(sweep, stamp=f"{sweep.stamp} {OLD}")
    target = project.ready(project.folder / FOLDER)
    written: list[Path] = []
    for shape in SHAPES:
        frames = list(sweep_frames(sweep, shape))
        name = f"sweep-flap-{sweep.setting['flap_deg']:g}-{shape.name}"
        written += write_clip(partial(iter, frames), folder=target, name=name)
    note_made(target, [path.name for path in written], prediction, kind="prediction")
    return {"folder": str(target), "files": [path.name for path in written]}


def film_clip(
    folder: str | Path,
    before: str | Path,
    after: str | Path,
    *,
    before_from: float = 0.0,
    after_from: float = 0.0,
    seconds: float = LONGEST,
    flap: str | None = None,
) -> dict[str, Any]:
    """Put the owner's own films before and after side by side, the measured numbers burnt in.

    Parameters
    ----------
    folder : str or Path
        A project folder; without reduced flights the clip says that nothing is measured.
    before, after : str or Path
        Video files.
    before_from, after_from : float, optional
        Where in each to begin [s].
    seconds : float, optional
        How long the clip is at most [s], up to 15.
    flap : str, optional
        At which setting the films were taken; the first that was measured without it.

    Returns
    -------
    dict
        ``files`` in ``DIR/share``.

    Raises
    ------
    InputError
        Where a film cannot be read or ends before its beginning, or the setting was not flown.
    SlowflightError
        Where the library that reads videos is not installed.
    """
    project = open_project(folder)
    if not 0.0 < seconds <= LONGEST:
        raise InputError(where="--seconds", found=f"{seconds:g}", needed=f"more than 0, {LONGEST:g} at most")
    try:
        from slowflight.report.clips.canvas import SHAPES
        from slowflight.report.clips.films import film_frames
        from slowflight.verbs.clip_files import write_clip
    except ModuleNotFoundError as missing:
        raise library_missing("clip", library=missing.name, extra="report") from None
    films = {
        side: partial(_film, Path(file), begin, seconds)
        for side, file, begin in (("clean", before, before_from), ("vanes", after, after_from))
    }
    for side, film in films.items():
        if next(film(), None) is None:
            where, begin = (before, before_from) if side == "clean" else (after, after_from)
            raise InputError(
                where=str(where), found=f"no frame after {begin:g} s", needed="an earlier beginning"
            )
    flown, title, stamp = _measured(project, flap)
    target = project.ready(project.folder / FOLDER)
    written: list[Path] = []
    for shape in SHAPES:
        frames = partial(film_frames, films, shape, title=title, flown=flown, stamp=stamp)
        written += write_clip(frames, folder=target, name=f"before-after-{shape.name}")
    note_made(target, [path.name for path in written], saved_flights(project), kind="flights")
    return {"folder": str(target), "files": [path.name for path in written]}


def _film(file: Path, begin: float, seconds: float) -> Iterator[Frame]:
    """Yield ten frames a second of a part of a film; a slower camera's frames stand longer."""
    if file.is_dir():
        raise InputError(where=str(file), found="a folder", needed="a video file")
    clock = begin
    last: Frame | None = None
    for frame in frames_of(file):
        while last is not None and clock < frame.time - 1e-6 and clock < begin + seconds - 1e-6:
            yield last
            clock += 1.0 / RATE
        if clock >= begin + seconds - 1e-6:
            return
        last = frame if frame.time >= begin - 1.0 else None
    if last is not None and clock <= last.time + 1.0 / RATE:
        yield last


def _measured(project: Project, flap: str | None) -> tuple[dict[str, Any] | None, str, str]:
    """Return what the flights measured at a flap setting, a title and a stamp."""
    from slowflight.report.clips.films import NOT_MEASURED

    record = saved_flights(project)
    speeds = [] if record is None else record.get("stall_speeds") or []
    both = [one for one in speeds if one.get("clean") and one.get("vanes")]
    if record is None or not both:
        return None, read_wing_file(project.wing_file).aircraft.name, NOT_MEASURED
    found = both[0]
    if flap is not None:
        wanted = math.degrees(units.angle(flap, where="--flap"))
        at = [one for one in both if one.get("flap_deg") is not None and abs(one["flap_deg"] - wanted) < 0.5]
        if not at:
            names = ", ".join(one["name"] for one in both)
            raise InputError(
                where="--flap", found=f"{wanted:g} deg", needed=f"a setting that was flown: {names}"
            )
        found = at[0]
    decision = record.get("decision") or {}
    headlines = decision.get("headlines", [])
    said = next((one for one in headlines if one.startswith(found["name"])), "see the flights")
    verdict = f" Verdict: {decision['verdict']}." if decision.get("verdict") else ""
    note = "INVENTED: no aircraft flew this. " if record.get("note") else ""
    old = f" {OLD}" if flights_old(project, record) else ""
    return found, f"{record['aircraft']}, {found['name']}", f"{note}MEASURED: {said}.{verdict}{old}"
