"""Results on the terminal: JSON for programs, a table for people."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from rich import box
from rich.console import Console
from rich.table import Table

if TYPE_CHECKING:
    from slowflight.verbs import FlowPoint, LiftCurve

CAUTION = (
    "Caution: section values, not your aircraft's stall. A prediction never clears a wing to be flown "
    "slower; only careful flight tests at a safe height do."
)


def print_json(record: Mapping[str, Any]) -> None:
    """Print a record as JSON; NaN in it is a fault of the program and raises ValueError."""
    sys.stdout.write(json.dumps(record, allow_nan=False, indent=1) + "\n")


def print_lift_curve(curve: LiftCurve, *, sources: Sequence[str]) -> None:
    """Print a lift curve as a table with its maximum, warnings, sources and caution.

    Parameters
    ----------
    curve : LiftCurve
        The result of a sweep.
    sources : sequence of str
        The sources it used, as they are to be printed.
    """
    console = Console(highlight=False, markup=False, emoji=False)
    table = Table(
        title=f"{curve.airfoil}, Reynolds number {curve.reynolds:.3g}, {curve.tier} tier",
        title_justify="left",
        box=box.SIMPLE,
    )
    for heading in ("angle [deg]", "lift", "drag", "moment", "separation"):
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column("remarks", ratio=1)
    for point in curve.points:
        table.add_row(*_cells(point))
    console.print(table)
    console.print(_maximum(curve))
    for name, value in curve.reference.items():
        if value is not None:
            console.print(f"{name.replace('_', ' ')}: {_plain(value)}")
    for warning in curve.warnings:
        console.print(f"Note: {warning}")
    for source in sources:
        console.print(f"Source: {source}")
    console.print(CAUTION)


def _cells(point: FlowPoint) -> tuple[str, ...]:
    remarks = list(point.warnings)
    if not point.converged:
        remarks.insert(0, "not converged")
    if point.extrapolated and not remarks:
        remarks.append("beyond the tier's range")
    if not point.steady:
        swing = "" if point.amplitude is None else f", lift swings by {point.amplitude:.3f}"
        remarks.append(f"unsteady{swing}")
    if point.cd_vanes:
        remarks.append(f"vanes' own drag {point.cd_vanes:.5f}")
    separation = "-" if point.separation_upper is None else f"{100.0 * point.separation_upper:.0f} % chord"
    return (
        f"{point.alpha_deg:.2f}",
        _number(point.cl, 4),
        _number(point.cd, 5),
        _number(point.cm, 4),
        separation,
        "; ".join(remarks),
    )


def _plain(value: object) -> str:
    if isinstance(value, Mapping):
        # Only a transition that is not forced stands as nothing inside a pair of sides.
        return ", ".join(f"{side} {'free' if part is None else part}" for side, part in value.items())
    if isinstance(value, list | tuple):
        return "; ".join(map(str, value))
    return str(value)


def _maximum(curve: LiftCurve) -> str:
    if curve.cl_max is None or curve.alpha_cl_max_deg is None:
        return "Maximum lift: not between the angles asked for."
    return f"Maximum lift: coefficient {curve.cl_max:.3f} at {curve.alpha_cl_max_deg:.1f} deg."


def _number(value: float | None, decimals: int) -> str:
    return "-" if value is None else f"{value:.{decimals}f}"
