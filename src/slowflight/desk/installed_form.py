"""What stands on the wing, typed at the desk vane by vane; half a row may be saved and gone on with."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowflight import units
from slowflight.desk.answers import LONGEST, AnswersRefused
from slowflight.desk.kept_file import KeptFile
from slowflight.errors import InputError
from slowflight.layout.installed_form import COLUMNS, FARTHEST_MM, LARGEST_TOE, MISSING, PRINTED

TYPED = "layout/installed-measured.csv"
HISTORY = "history-installed"
CELLS = ("span", "skin", "toe", "remark")


@dataclass(frozen=True, kw_only=True)
class TypedVane:
    """One vane as laid out, and what was typed for it.

    Parameters
    ----------
    key : str
        Row, side and number: ``"1.left.12"``.
    label : str
        As printed beside it: ``"L12"``.
    hand : str
    planned : dict of str to float
        ``span`` and ``skin`` [mm], ``toe`` [degrees].
    typed : dict of str to str
        ``span``, ``skin``, ``toe`` and ``remark``; empty where nothing was typed.
    """

    key: str
    label: str
    hand: str
    planned: dict[str, float]
    typed: dict[str, str]

    @property
    def missing(self) -> bool:
        """Whether it was said not to be on the wing."""
        return self.typed["remark"].lower().startswith(MISSING)

    @property
    def complete(self) -> bool:
        """Whether nothing more is asked of it."""
        return self.missing or bool(self.typed["skin"] and self.typed["toe"])


def typed_file(folder: Path) -> KeptFile:
    """Return the file of what was typed, with its steps back."""
    return KeptFile(folder=folder, place=TYPED, history=HISTORY, check=lambda draft: None)


def typed_vanes(folder: Path, layout: Mapping[str, Any]) -> list[TypedVane]:
    """Return every vane of a layout with what was typed for it.

    Parameters
    ----------
    folder : Path
    layout : mapping
        The record. What was typed for another layout, whose vanes stand elsewhere, is not shown.
    """
    known = _known(typed_file(folder).text())
    return [
        TypedVane(
            key=key, label=f"{vane['side'][0].upper()}{vane['number']}", hand=str(vane["hand"]),
            planned=planned, typed=_typed_of(known.get(key), planned),
        )
        for key, vane, planned in _planned(layout)
    ]  # fmt: skip


def save_typed(folder: Path, layout: Mapping[str, Any], values: Mapping[str, str], *, version: str) -> int:
    """Keep what was typed; returns how many vanes still lack something.

    Parameters
    ----------
    folder : Path
    layout : mapping
        The record.
    values : mapping of str
        By vane and cell, such as ``"1.left.12.skin"``; lengths in millimeters where no unit stands there.
    version : str
        Of the file that the page was made from.

    Raises
    ------
    InputError
        Where the file has changed since, or a reading makes no sense; nothing is saved then.
    """
    kept = typed_file(folder)
    kept.refuse_other(version)
    wrong: dict[str, str] = {}
    lines, left = [], 0
    for key, vane, planned in _planned(layout):
        label = f"{vane['side'][0].upper()}{vane['number']}"
        cells = {cell: values.get(f"{key}.{cell}", "").strip() for cell in CELLS}
        gone = values.get(f"{key}.missing") == "yes" or cells["remark"].lower().startswith(MISSING)
        if gone:
            rest = cells["remark"].removeprefix(MISSING).lstrip(": ")
            cells = {"span": "", "skin": "", "toe": "", "remark": f"{MISSING}: {rest}" if rest else MISSING}
        for cell in ("span", "skin", "toe"):
            try:
                cells[cell] = _read(cells[cell], cell, planned[cell], where=f"vane {label}, {cell}")
            except InputError as error:
                wrong[f"{key}.{cell}"] = str(error)
        if len(cells["remark"]) > LONGEST:
            wrong[f"{key}.remark"] = f"a remark of {LONGEST} letters at most, please"
        left += not gone and not (cells["skin"] and cells["toe"])
        row, side, number = key.split(".")
        lines.append(
            [row, side, number, vane["hand"], f"{planned['span']:.1f}", f"{planned['skin']:.1f}",
             f"{planned['toe']:+.1f}", cells["span"], cells["skin"], cells["toe"], cells["remark"]]
        )  # fmt: skip
    if wrong:
        raise AnswersRefused(wrong)
    written = io.StringIO()
    table = csv.writer(written, lineterminator="\n")
    table.writerow(COLUMNS)
    table.writerows(lines)
    if written.getvalue() != kept.text():
        kept.put(written.getvalue())
    return left


def _planned(layout: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any], dict[str, float]]]:
    for row, record in enumerate(layout.get("rows") or [layout], start=1):
        for vane in record["vanes"]:
            planned = {
                "span": vane["span_position_mm"],
                "skin": vane["skin_distance_mm"],
                "toe": vane["toe_deg"],
            }
            yield f"{row}.{vane['side']}.{vane['number']}", vane, planned


def _known(text: str) -> dict[str, Mapping[str, str]]:
    found: dict[str, Mapping[str, str]] = {}
    for cells in csv.DictReader(io.StringIO(text)):
        given = {str(name): value for name, value in cells.items() if isinstance(value, str)}
        found[".".join(given.get(name, "") for name in ("row", "side", "number"))] = given
    return found


def _typed_of(cells: Mapping[str, str] | None, planned: Mapping[str, float]) -> dict[str, str]:
    blank = dict.fromkeys(CELLS, "")
    if cells is None:
        return blank
    try:
        same = all(
            abs(float(cells[f"planned_{name}"]) - planned[cell]) <= PRINTED
            for name, cell in (("span_mm", "span"), ("skin_mm", "skin"), ("toe_deg", "toe"))
        )
    except (KeyError, ValueError):
        return blank
    if not same:
        return blank
    return {
        "span": cells.get("measured_span_mm", ""), "skin": cells.get("measured_skin_mm", ""),
        "toe": cells.get("measured_toe_deg", ""), "remark": cells.get("remark", ""),
    }  # fmt: skip


def _read(text: str, cell: str, planned: float, *, where: str) -> str:
    """Return a reading as the form has it; InputError where it must be a slip."""
    if not text:
        return ""
    bare = text.replace(",", ".").replace("−", "-")
    if cell == "toe":
        if bare[0] not in "+-":
            raise InputError(
                where=where, found=repr(text), needed=f"its sign, such as {planned:+.1f} as laid out",
                fix="a vane of the other hand toes the other way, and must not be hidden",
            )  # fmt: skip
        value = _number(bare.removesuffix("deg").removesuffix("°"), text, where=where)
        if abs(value) > LARGEST_TOE:
            raise InputError(
                where=where, found=repr(text), needed=f"{LARGEST_TOE:.0f} degrees at most, either way"
            )
        return f"{value:+g}"
    lettered = any(one.isalpha() or one in "\"'" for one in bare)
    value = 1000.0 * units.length(bare, where=where) if lettered else _number(bare, text, where=where)
    if abs(value - planned) > FARTHEST_MM:
        raise InputError(
            where=where, found=repr(text), needed=f"{planned:.1f} as laid out, or {FARTHEST_MM:.0f} mm off",
            fix="check unit and datum, or lay the row out as it stands",
        )  # fmt: skip
    return f"{round(value, 2):g}"


def _number(bare: str, text: str, *, where: str) -> float:
    try:
        value = float(bare)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError(where=where, found=repr(text[:40]), needed="a number")
    return value
