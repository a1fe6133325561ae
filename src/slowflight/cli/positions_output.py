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
    for step in record.get("refined", ()):
        outcome = "rises there" if step["confirmed"] else "does not rise there"
        console.print(
            f"adjoint at {100.0 * step['from']:g} %, {step['at_deg']:g} deg: lift changes by"
            f" {step['slope']:+.1f} per chord; solved in full at {100.0 * step['to']:g} %, highest lift"
            f" {outcome}"
        )
    if record.get("grid_bands"):
        _print_bands(console, record["grid_bands"])
    for text in (*record["warnings"], *record["cautions"]):
        console.print(text)


def _print_bands(console: Console, bands: Mapping[str, Any]) -> None:
    """Print what three grids leave open; differences first, because errors in common are gone from them."""
    grids = [str(grid) for grid in bands["grids"]]
    table = Table(
        title=f"row at {100.0 * bands['station']:g} % on three grids: what the grid alone leaves open, not"
        " the model (- where the three do not converge one way, the band then three times their range)",
        title_justify="left",
        box=box.SIMPLE,
    )
    for heading in ("", *grids, "order", "limit", "+/-"):
        table.add_column(heading, justify="left" if heading == "" else "right")
    rows = [("gain in highest lift", bands["gain"]), ("highest lift, row", bands["row"])]
    rows.append(("highest lift, clean", bands["clean"]))
    rows += [(f"gain at {line['alpha_deg']:g} deg", line) for line in bands["gain_at"]]
    for name, line in rows:
        table.add_row(
            name,
            *(_number(value, "+.3f" if name.startswith("gain") else ".3f") for value in line["values"]),
            _number(line["order"], ".1f"),
            _number(line["extrapolated"], ".3f"),
            _number(line["band"], ".3f"),
        )
    console.print(table)


def _lift(value: float | None, *, bracketed: bool) -> str:
    return _number(value, ".3f") + ("" if bracketed or value is None else "+")


def _number(value: float | None, form: str) -> str:
    return "-" if value is None else format(value, form)
