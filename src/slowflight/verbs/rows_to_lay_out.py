"""Which rows are to be laid out: those of wing.toml, or else the best one predicted."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from slowflight import units
from slowflight.compare.verdict import WORTH
from slowflight.errors import InputError
from slowflight.layout.cautions import SHORTEST_CAUTION
from slowflight.project import Project
from slowflight.verbs.staleness import why_old
from slowflight.wing.vane_row import VaneRow
from slowflight.wing.wing_file import WingFile

FROM_PREDICTION = (
    "the row is the best of the prediction, which is no measurement: fit it with tape, as a trial"
)


@dataclass(frozen=True, kw_only=True)
class ChosenRow:
    """A row to lay out, and what was said about it."""

    row: VaneRow
    name: str
    mass_each: float | None
    where: str
    warnings: tuple[str, ...] = ()


def chosen_rows(project: Project, file: WingFile, *, prediction: Mapping[str, Any] | None) -> list[ChosenRow]:
    """Return the rows to lay out, at least one.

    Parameters
    ----------
    project : Project
    file : WingFile
        Its rows come first.
    prediction : mapping or None
        The last one, for its best row.

    Returns
    -------
    list of ChosenRow

    Raises
    ------
    InputError
        Where there is no row and no prediction with a best one.
    """
    return _rows_of(file) or _predicted(project, file, prediction)


def _rows_of(file: WingFile) -> list[ChosenRow]:
    many = len(file.rows) > 1
    masses = {c.name: c.mass_each for c in file.candidates}
    return [
        ChosenRow(
            row=row,
            name=row.name or "vane",
            mass_each=masses.get(row.name or ""),
            where=f"{file.path}: vane_row {number}" if many else f"{file.path}: vane_row",
        )
        for number, row in enumerate(file.rows, start=1)
    ]


def _predicted(project: Project, file: WingFile, prediction: Mapping[str, Any] | None) -> list[ChosenRow]:
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
        ChosenRow(
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


def row_text(chosen: ChosenRow) -> str:
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
    note += f"# It is {SHORTEST_CAUTION}.\n"
    return note + "[[vane_row]]\n" + "".join(f"{key} = {value}\n" for key, value in lines)


def _degrees(angle: float) -> float:
    return units.express(angle, "deg")
