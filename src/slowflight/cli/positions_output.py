"""A row's positions on the terminal, both tiers side by side."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table


def print_positions(record: Mapping[str, Any]) -> None:
    """Print a line per position, then warnings and cautions."""
    console = Console(highlight=False, markup=False, emoji=False)
    table = Table(
        title=f"{record['airfoil']}, Reynolds number {record['reynolds']:.3g}: highest lift of the angles"
        f" asked for (+ where it may rise further, ~ extrapolated); counts of drag against the clean"
        f" section at a lift of {record['cruise_lift']:g}",
        title_justify="left",
        box=box.SIMPLE,
    )
    for heading in ("row at", "minutes", "deg", "seconds", "deg", "gap", "counts", "by seconds"):
        table.add_column(heading, justify="right")
    for line in record["positions"]:
        place = "clean" if line["station"] is None else f"{100.0 * line['station']:g} %"
        table.add_row(
            place,
            _lift(line["highest_lift"], bracketed=line["bracketed"]) + ("~" if line["extrapolated"] else ""),
            _number(line["at_deg"], "g"),
            _lift(line["seconds_highest_lift"], bracketed=line["seconds_bracketed"]),
            _number(line["seconds_at_deg"], "g"),
            _number(line["gap"], "+.3f"),
            _number(line["cruise_counts"], "+.0f"),
            _number(line["seconds_cruise_counts"], "+.0f"),
        )
    console.print(table)
    for text in (*record["warnings"], *record["cautions"]):
        console.print(text)


def _lift(value: float | None, *, bracketed: bool) -> str:
    return _number(value, ".3f") + ("" if bracketed or value is None else "+")


def _number(value: float | None, form: str) -> str:
    return "-" if value is None else format(value, form)
