"""Both tiers' answers on the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table


def print_second_opinion(record: Mapping[str, Any], *, sources: Sequence[str]) -> None:
    """Print a table for each flap setting, then findings, warnings, cautions and sources."""
    console = Console(highlight=False, markup=False, emoji=False)
    for setting in record["settings"]:
        if not setting["problem"]:
            console.print(_table(setting))
    for line in record["findings"]:
        console.print(f"- {line}")
    if record["practice"]:
        console.print(_practice(record["practice"]))
    console.print(f"Conditions: {record['conditions']}. Grid: {record['grid']}.")
    console.print(f"Bands: {record['bands']}.")
    for text in (*record["warnings"], *record["cautions"]):
        console.print(text)
    console.print("Sources: " + "; ".join(sources))


def _table(setting: Mapping[str, Any]) -> Table:
    table = Table(
        title=f"flap {setting['flap_deg']:.0f} deg, predicted, uncalibrated: largest wing lift coefficient,"
        " stall speed and its fall in kt as computed (in brackets what is credited of it; + where lift still"
        " rises at the last angle)",
        title_justify="left",
        box=box.SIMPLE,
    )
    for heading in ("row", "seconds", "kt", "fall", "minutes", "kt", "fall"):
        table.add_column(heading, justify="right")
    clean = setting["clean"]
    table.add_row("clean", *_cells(clean["seconds"]), *_cells(clean["minutes"]))
    for row in setting["rows"]:
        name = row["name"] + (", predicted" if row["chosen"] else "")
        table.add_row(name, *_cells(row["seconds"]), *_cells(row["minutes"]))
    return table


def _cells(wing: Mapping[str, Any]) -> tuple[str, str, str]:
    if wing["cl_max"] is None:
        return ("no answer", "", "")
    speed, fall = wing["stall_speed"], wing.get("fall")
    return (
        f"{wing['cl_max']:.2f}{'+' if wing['rising'] else ''}",
        f"{speed['kt']:.1f} ({speed['low_kt']:.1f} to {speed['high_kt']:.1f})",
        "" if fall is None else f"{fall['kt']:+.1f}{_credited(wing)}",
    )


def _credited(wing: Mapping[str, Any]) -> str:
    """What is credited of a fall, where that is less."""
    told, fall = wing["credited"]["fall"], wing["fall"]
    return f" ({told['kt']:+.1f})" if told is not None and told["kt"] < fall["kt"] - 0.05 else ""


def _practice(lines: Sequence[Mapping[str, Any]]) -> Table:
    table = Table(title="beside common practice, which has no source", title_justify="left", box=box.SIMPLE)
    for heading in ("said", "seconds", "agrees", "minutes", "agrees"):
        table.add_column(heading)
    for line in lines:
        cells = [
            cell
            for tier in ("seconds", "minutes")
            for cell in (line[tier]["found"], _agrees(line[tier]["agrees"]))
        ]
        table.add_row(line["said"], *cells)
    return table


def _agrees(agrees: bool | None) -> str:
    return "-" if agrees is None else "yes" if agrees else "no"
