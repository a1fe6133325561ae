"""What was installed, typed back in: deviations, their predicted effect, left against right."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from pathlib import Path
from statistics import fmean
from typing import Any

from slowflight.errors import InputError, library_missing
from slowflight.layout.cautions import CAUTIONS
from slowflight.layout.error_budget import fall_curves
from slowflight.layout.files import replace_file
from slowflight.layout.installed import (
    InstalledVerdict,
    gaps_in_a_row,
    installed_verdict,
    out_of_tolerance,
    revision_of,
    unequal,
)
from slowflight.layout.installed_effect import installed_effect
from slowflight.layout.installed_form import InstalledVane, read_installed
from slowflight.project import Project, open_project
from slowflight.verbs.laying_out import saved_layout
from slowflight.verbs.predicting import saved_prediction

INSTALLED = "installed.json"
PAPERS = ("a4", "letter")


def installed(folder: str | Path, form: str | Path) -> dict[str, Any]:
    """Take in the completed as-installed form.

    Parameters
    ----------
    folder : str or Path
        A project folder with a layout.
    form : str or Path
        A completed copy of ``layout/installed-form.csv``.

    Returns
    -------
    dict
        Plain data, as kept in ``layout/installed.json``: every vane, what is out of tolerance, what the mean
        shift does to the predicted fall, and ``blocked`` with ``blocked_because`` where left and right
        differ.

    Raises
    ------
    InputError
        Where there is no layout, or the form cannot be used.
    SlowflightError
        Where the library that draws is not installed.
    """
    project = open_project(folder)
    record = saved_layout(project)
    if record is None:
        raise InputError(
            where=str(project.layout), found="no layout", needed="one to compare with",
            fix="run 'slowflight layout' first",
        )  # fmt: skip
    rows = list(record.get("rows") or [record])
    vanes = read_installed(form, records=rows)
    blocked = [*unequal(vanes), *gaps_in_a_row(vanes)]
    effects = [_effect(project, row, [v for v in vanes if v.row == n]) for n, row in enumerate(rows, start=1)]
    result: dict[str, Any] = {
        "kind": "installed",
        "revision": revision_of(record),
        "taken_on": datetime.date.today().isoformat(),
        "blocked": bool(blocked),
        "blocked_because": blocked,
        "out_of_tolerance": out_of_tolerance(vanes),
        "counts": _counts(vanes),
        "effects": effects,
        "vanes": [_plain(vane) for vane in vanes],
        "cautions": list(CAUTIONS),
    }
    result["files"] = _draw(project, record, result, vanes)
    replace_file(project.layout / INSTALLED, json.dumps(result, allow_nan=False, indent=1).encode())
    return result


def saved_installed(project: Project) -> dict[str, Any] | None:
    """Return the last as-installed record, or ``None``; a damaged file is an InputError."""
    path = project.layout / INSTALLED
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
    except OSError:
        return None
    except ValueError:
        record = None
    if not isinstance(record, dict):
        raise InputError(
            where=str(path), found="a damaged file", needed="an as-installed record",
            fix="run 'slowflight installed' again",
        )  # fmt: skip
    return record


def verdict_of_installed(project: Project) -> InstalledVerdict | None:
    """Say whether test cards may go on; None where nothing is laid out."""
    layout = saved_layout(project)
    if layout is None:
        return None
    return installed_verdict(saved_installed(project), revision=revision_of(layout))


def _effect(project: Project, row: Mapping[str, Any], vanes: list[InstalledVane]) -> dict[str, Any]:
    asked = row["row"]
    curves = fall_curves(saved_prediction(project))
    name = str(row["candidate"]).split(",")[0]
    curve = next(
        (c for c in curves if c.candidate == name and abs(1e3 * c.height / asked["height_mm"] - 1.0) < 0.05),
        None,
    )
    chord = 1e-3 * fmean(rib["chord_mm"] for rib in row["ribs"])
    change, sentence = installed_effect(vanes, station=asked["station"], chord=chord, curve=curve)
    return {"change_kt": change, "sentence": sentence}


def _counts(vanes: list[InstalledVane]) -> dict[str, dict[str, int]]:
    return {
        side: {
            "laid_out": sum(1 for vane in vanes if vane.side == side),
            "there": sum(1 for vane in vanes if vane.side == side and not vane.missing),
        }
        for side in ("left", "right")
    }


def _plain(vane: InstalledVane) -> dict[str, Any]:
    return {
        "row": vane.row, "side": vane.side, "number": vane.number, "hand": vane.hand,
        "planned_span_mm": vane.planned_span, "planned_skin_mm": vane.planned_skin,
        "planned_toe_deg": vane.planned_toe, "span_mm": vane.span, "skin_mm": vane.skin, "toe_deg": vane.toe,
        "remark": vane.remark,
    }  # fmt: skip


def _draw(
    project: Project, layout: Mapping[str, Any], result: Mapping[str, Any], vanes: list[InstalledVane]
) -> list[str]:
    try:
        from slowflight.layout.installed_page import write_deviations
        from slowflight.layout.strip_page import SheetTitle
    except ModuleNotFoundError as missing:
        raise library_missing("installed", library=missing.name, extra="layout") from None
    rows = layout.get("rows") or [layout]
    title = SheetTitle(
        aircraft=str(layout.get("aircraft", "")), revision=str(result["revision"]),
        made_on=str(result["taken_on"]), trial=any(bool(row.get("trial")) for row in rows),
    )  # fmt: skip
    stop = [f"NO TEST CARD until left and right match: {reason}." for reason in result["blocked_because"]]
    sentences = [
        *stop[:3],
        *(effect["sentence"] for effect in result["effects"]),
        f"{len(result['out_of_tolerance'])} out of tolerance; all of them in installed.json.",
    ]
    return [
        str(
            write_deviations(
                vanes,
                project.layout / f"installed-{paper}.pdf",
                paper=paper,
                title=title,
                sentences=sentences,
            )
        )
        for paper in PAPERS
    ]
