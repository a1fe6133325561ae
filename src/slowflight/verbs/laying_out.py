"""The rows of a project on paper: positions, tables and templates."""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowflight import units
from slowflight.compare.verdict import WORTH
from slowflight.errors import InputError
from slowflight.layout.files import replace_file
from slowflight.layout.plan import LayoutPlan, lay_out
from slowflight.layout.record import to_record, together, write_positions
from slowflight.project import Project, open_project
from slowflight.verbs.predicting import saved_prediction
from slowflight.verbs.staleness import made_from, why_old
from slowflight.wing.vane_row import VaneRow
from slowflight.wing.wing_file import WingFile, read_wing_file

LAYOUT = "layout.json"
OURS = re.compile(r"row(-\d+)?(-a4\.pdf|-letter\.pdf|-positions\.csv|\.toml)")
PAPERS = ("a4", "letter")
FROM_PREDICTION = (
    "the row is the best of the prediction, which is no measurement: fit it with tape, as a trial"
)


@dataclass(frozen=True, kw_only=True)
class _Chosen:
    """A row to lay out, and what was said about it."""

    row: VaneRow
    name: str
    mass_each: float | None
    where: str
    warnings: tuple[str, ...] = ()


def layout(folder: str | Path) -> dict[str, Any]:
    """Lay out the rows of wing.toml, or else the best row of the last prediction.

    Parameters
    ----------
    folder : str or Path
        A project folder with its wing.toml.

    Returns
    -------
    dict
        Places of all vanes and the files written, as kept in ``layout/layout.json``: plain data. Each row's
        template comes on A4 and on Letter paper, with a table of positions; a row that was predicted also
        comes as ``row.toml``, to copy into wing.toml.

    Raises
    ------
    InputError
        Where wing.toml cannot be used, there is no row and no prediction, or a row cannot stand on the wing;
        nothing has been overwritten then.
    SlowflightError
        Where the library that draws the templates is not installed.
    """
    project = open_project(folder)
    file = read_wing_file(project.wing_file)
    chosen = _rows_of(file) or _predicted(project, file)
    plans = [
        lay_out(
            wing=file.wing, row=c.row, name=c.name, mass_each=c.mass_each, where=c.where,
            span_from=file.question.row_from, span_to=file.question.row_to,
        )
        for c in chosen
    ]  # fmt: skip
    write = _template_writer()
    place = project.ready(project.layout)
    records, every_file = [], []
    for number, (plan, row) in enumerate(zip(plans, chosen, strict=True), start=1):
        stem = "row" if len(plans) == 1 else f"row-{number}"
        revision = _revision(plan)
        files = []
        for paper in PAPERS:
            target = place / f"{stem}-{paper}.pdf"
            write(
                plan, target, paper=paper, aircraft=file.aircraft.name, trial=file.aircraft.trial,
                revision=revision, made_on=datetime.date.today().isoformat(),
            )  # fmt: skip
            files.append(str(target))
        files.append(str(write_positions(plan, place / f"{stem}-positions.csv")))
        files.append(str(replace_file(place / f"{stem}.toml", _row_text(row).encode())))
        record = to_record(plan, files=files)
        record["warnings"] = [*row.warnings, *record["warnings"]]
        records.append({**record, "revision": revision, "trial": file.aircraft.trial})
        every_file += files
    whole = {**together(records, files=every_file), "made_from": made_from(project)}
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


def _rows_of(file: WingFile) -> list[_Chosen]:
    many = len(file.rows) > 1
    masses = {c.name: c.mass_each for c in file.candidates}
    return [
        _Chosen(
            row=row,
            name=row.name or "vane",
            mass_each=masses.get(row.name or ""),
            where=f"{file.path}: vane_row {number}" if many else f"{file.path}: vane_row",
        )
        for number, row in enumerate(file.rows, start=1)
    ]


def _predicted(project: Project, file: WingFile) -> list[_Chosen]:
    prediction = saved_prediction(project)
    if prediction is None:
        raise InputError(
            where=str(file.path), found="no [[vane_row]] and no prediction",
            needed="a row to lay out", fix="add a [[vane_row]], or run 'slowflight predict' first",
        )  # fmt: skip
    best = _best(prediction)
    if best is None:
        raise InputError(
            where=str(file.path), found="no [[vane_row]], and a prediction without a best row",
            needed="a row to lay out", fix="add a [[vane_row]] if you want one all the same",
        )  # fmt: skip
    candidate = next((c for c in file.candidates if c.name == best["candidate"]), None)
    if candidate is None:
        raise InputError(
            where=str(file.path), found=f"no candidate {best['candidate']!r}, the last prediction's best",
            needed="the candidates it was made with", fix="run 'slowflight predict' again",
        )  # fmt: skip
    row = candidate.row(
        station=best["station"], height=1e-3 * best["height_mm"],
        span_from=best["span_from_m"], span_to=best["span_to_m"],
    )  # fmt: skip
    warnings = [FROM_PREDICTION]
    finding = prediction.get("verdict", {}).get("finding")
    if finding != WORTH:
        warnings.append(
            f"the prediction's verdict is {finding!r}: read its reasons before anything is taped on"
        )
    warnings += why_old(project, prediction, file=project.runs / "prediction.json", what="prediction")
    name, mass = candidate.name, candidate.mass_each
    if abs(row.height - candidate.height) > 1e-6:
        # another height than the one that was weighed
        name = f"{name}, {units.format_length(row.height, 'mm')} high"
        mass = None if mass is None else mass * row.height / candidate.height
    return [
        _Chosen(
            row=row, name=name, mass_each=mass, where=f"{file.path}: best row predicted",
            warnings=tuple(warnings),
        )
    ]  # fmt: skip


def _best(prediction: Mapping[str, Any]) -> dict[str, Any] | None:
    """The best row at the flap setting at which the prediction chose it."""
    decided = prediction.get("decided_at_deg")
    for setting in prediction["settings"]:
        if setting.get("best") and decided in (None, setting["flap_deg"]):
            return dict(setting["best"])
    return None


def _template_writer() -> Any:
    from slowflight.layout.drawing import template_writer

    return template_writer()


def _revision(plan: LayoutPlan) -> str:
    """Short hash of what is laid out: two sheets of one revision are of one layout."""
    text = json.dumps(to_record(plan), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:6]


def _row_text(chosen: _Chosen) -> str:
    """The row as wing.toml has it."""
    row = chosen.row

    def mm(value: float) -> str:
        return f'"{1e3 * value:.6g} mm"'

    lines: Sequence[tuple[str, str]] = (
        ("name", json.dumps(row.name or chosen.name, ensure_ascii=False)),
        ("station", f'"{100.0 * row.station:.6g} %"'),
        ("height", mm(row.height)),
        ("length", mm(row.length)),
        ("pitch", mm(row.pitch)),
        ("gap", mm(row.gap)),
        ("incidence", f'"{_degrees(row.incidence):.6g} deg"'),
        ("arrangement", f'"{row.arrangement}"'),
        ("opening", f'"{row.opening}"'),
        ("shape", f'"{row.shape}"'),
        ("surface", f'"{row.surface}"'),
        *(
            (key, f'"{value:.6g} m"')
            for key, value in (("span_from", row.span_from), ("span_to", row.span_to))
            if value is not None
        ),
    )
    note = "# Copy this table into wing.toml to fix the row; 'slowflight layout' then lays out this one.\n"
    return note + "[[vane_row]]\n" + "".join(f"{key} = {value}\n" for key, value in lines)


def _degrees(angle: float) -> float:
    return units.express(angle, "deg")
