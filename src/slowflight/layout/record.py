"""A layout as plain values for JSON, and as a table of positions."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from slowflight import units
from slowflight.layout.datum_line import DatumLine
from slowflight.layout.error_budget import Slip
from slowflight.layout.files import replace_file
from slowflight.layout.hand import HAND_WORDS, TOE_WORDS, VIEW
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.row_line import RowPoint

COLUMNS = (
    "side",
    "number",
    "hand",
    "toe_deg",
    "span_position_mm",
    "chord_distance_mm",
    "skin_distance_mm",
    "span_position_in",
    "chord_distance_in",
    "skin_distance_in",
)


def to_record(
    plan: LayoutPlan,
    *,
    files: Sequence[str] = (),
    datum: DatumLine | None = None,
    budget: Sequence[Slip] = (),
) -> dict[str, Any]:
    """Return a layout as the values that the command line prints as JSON.

    Parameters
    ----------
    plan : LayoutPlan
        The layout.
    files : sequence of str, optional
        What was written for it.
    datum : DatumLine, optional
        A line to measure from besides the foremost one.
    budget : sequence of Slip, optional
        What slips cost.

    Returns
    -------
    dict
        Of dicts, lists, text, numbers and None only; lengths in mm to a thousandth, angles in degrees.
    """
    row, parts = plan.row, plan.parts
    return {
        "kind": "layout",
        "candidate": plan.name,
        "row": {
            "station": row.station,
            "surface": row.surface,
            "arrangement": row.arrangement,
            "opening": row.opening if row.arrangement == "counter-rotating" else None,
            "shape": row.shape,
            "height_mm": _mm(row.height),
            "length_mm": _mm(row.length),
            "pitch_mm": _mm(row.pitch),
            "gap_mm": _mm(row.gap) if row.arrangement == "counter-rotating" else None,
            "incidence_deg": _deg(row.incidence),
            "span_from_mm": _mm(plan.span_from),
            "span_to_mm": _mm(plan.span_to),
        },
        "reference": {
            "span_position": "forward tip, from the aircraft's centerline, positive on both wings",
            "chord_distance": "forward tip, from the nose along the chord line",
            "skin_distance": "forward tip, from the foremost point (leading-edge tangent) along the skin",
            "toe": TOE_WORDS,
            "hand": {"view": VIEW, **HAND_WORDS},
        },
        "vanes": [
            {
                "side": vane.side,
                "number": vane.number,
                "span_position_mm": _mm(vane.span_position),
                "hand": vane.hand,
                "chord_distance_mm": _mm(vane.chord_distance),
                "skin_distance_mm": _mm(vane.skin_distance),
                "toe_deg": _deg(vane.toe),
            }
            for vane in plan.vanes
        ],
        "ribs": [
            {
                "span_position_mm": _mm(point.span_position),
                "chord_mm": _mm(point.chord),
                "chord_distance_mm": _mm(point.chord_distance),
                "skin_distance_mm": _mm(point.skin_distance),
                "ahead_of_datum_mm": _ahead(point, datum),
            }
            for point in plan.ribs
        ],
        "datum": "foremost line" if datum is None else datum.name,
        "zones": [
            {
                "name": stretch.name,
                "kind": stretch.kind,
                "span_from_mm": _mm(stretch.span_from),
                "span_to_mm": _mm(stretch.span_to),
                "pitch_mm": None if stretch.pitch is None else _mm(stretch.pitch),
                "groups": stretch.groups,
                "placed": stretch.placed,
                "free_at_each_end_mm": _mm(stretch.margin),
            }
            for stretch in plan.stretches
        ],
        "left_out": [
            {"span_position_mm": _mm(each.span_position), "vanes": each.vanes, "reason": each.reason}
            for each in plan.left_out
        ],
        "error_budget": [
            {"slip": slip.name, "cost_kt": slip.cost_kt, "sentence": slip.sentence} for slip in budget
        ],
        "counts": {
            "left": {"A": parts.left_a, "B": parts.left_b, "total": parts.left},
            "right": {"A": parts.right_a, "B": parts.right_b, "total": parts.right},
            "spares": {"A": parts.spare_a, "B": parts.spare_b},
            "to_make": {"A": parts.to_make_a, "B": parts.to_make_b},
        },
        "mass_each_kg": parts.mass_each,
        "mass_fitted_kg": parts.mass_fitted,
        "cost": None if parts.cost is None else round(parts.cost, 2),
        "currency": parts.currency,
        "free_at_each_end_mm": _mm(plan.margin),
        "cautions": list(plan.cautions),
        "warnings": list(plan.warnings),
        "files": list(files),
    }


def _ahead(point: RowPoint, datum: DatumLine | None) -> float | None:
    """How far ahead of the datum the row lies, along the skin [mm]; None where that is not known."""
    behind = None if datum is None else datum.behind_nose(point.span_position)
    return None if behind is None else _mm(behind - point.skin_distance)


def together(records: Sequence[Mapping[str, Any]], *, files: Sequence[str]) -> dict[str, Any]:
    """Return one record of several rows on one wing.

    Parameters
    ----------
    records : sequence of mapping
        Of `to_record`, one for each row, at least one.
    files : sequence of str
        What was written for all of them.

    Returns
    -------
    dict
        Of one row: its own record. Of several: vanes, ribs, parts and mass of all, warnings with the row they
        belong to, ``row`` and ``free_at_each_end_mm`` None, and the rows' own records under ``rows``.
    """
    if len(records) == 1:
        return {**records[0], "files": list(files)}
    masses = [record["mass_fitted_kg"] for record in records]
    costs = [record["cost"] for record in records]
    return {
        **records[0],
        "candidate": ", ".join(dict.fromkeys(record["candidate"] for record in records)),
        "row": None,
        "vanes": [{**v, "row": n} for n, r in enumerate(records, start=1) for v in r["vanes"]],
        "ribs": [{**rib, "row": n} for n, r in enumerate(records, start=1) for rib in r["ribs"]],
        "zones": [{**z, "row": n} for n, r in enumerate(records, start=1) for z in r["zones"]],
        "left_out": [{**o, "row": n} for n, r in enumerate(records, start=1) for o in r["left_out"]],
        "error_budget": [{**s, "row": n} for n, r in enumerate(records, start=1) for s in r["error_budget"]],
        "counts": _added([record["counts"] for record in records]),
        "mass_each_kg": None,
        "mass_fitted_kg": None if None in masses else sum(masses),
        "cost": None if None in costs else round(sum(costs), 2),
        "free_at_each_end_mm": None,
        "warnings": [f"row {n}: {w}" for n, r in enumerate(records, start=1) for w in r["warnings"]],
        "files": list(files),
        "rows": list(records),
    }


def _added(counts: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Sum of like-shaped counts."""
    return {
        name: _added([count[name] for count in counts])
        if isinstance(value, Mapping)
        else sum(count[name] for count in counts)
        for name, value in counts[0].items()
    }


def write_positions(plan: LayoutPlan, path: Path | str) -> Path:
    """Write every position as comma-separated values, in millimeters and inches.

    Parameters
    ----------
    plan : LayoutPlan
        The layout.
    path : Path or str
        The file; replaced only when the new one is complete.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        Where it cannot be written.
    """
    written = io.StringIO()
    table = csv.writer(written, lineterminator="\n")
    table.writerow(COLUMNS)
    for vane in plan.vanes:
        lengths = (vane.span_position, vane.chord_distance, vane.skin_distance)
        table.writerow(
            [
                vane.side,
                vane.number,
                vane.hand,
                f"{_deg(vane.toe):.2f}",
                *(f"{units.express(value, 'mm'):.2f}" for value in lengths),
                *(f"{units.express(value, 'in'):.4f}" for value in lengths),
            ]
        )
    return replace_file(path, written.getvalue().encode("utf-8"))


def _mm(value: float) -> float:
    return round(1000.0 * value, 3)


def _deg(value: float) -> float:
    return round(math.degrees(value), 4)
