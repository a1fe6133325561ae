"""Fitting and measuring on the terminal, for people."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rich.console import Console

SHOWN = 12


def print_installed(record: Mapping[str, Any]) -> None:
    """Print whether the wings match first, then deviations, files and cautions."""
    console = _console()
    for reason in record["blocked_because"][:SHOWN]:
        console.print(f"BLOCKED: no test card until left and right match: {reason}")
    if not record["blocked"]:
        console.print(
            "Left and right match within tolerance (measured; tolerances: common practice, no source)"
        )
    for side, count in record["counts"].items():
        console.print(f"{side} wing: {count['there']} of {count['laid_out']} vanes are there")
    for words in record["out_of_tolerance"][:SHOWN]:
        console.print(f"Off: {words}")
    more = len(record["out_of_tolerance"]) - SHOWN
    if more > 0:
        console.print(f"Off: {more} more in installed.json")
    for effect in record["effects"]:
        console.print(f"Predicted: {effect['sentence']}")
    for file in record["files"]:
        console.print(f"Written: {file}")
    for caution in record["cautions"]:
        console.print(f"Caution: {caution}")


def _console() -> Console:
    return Console(highlight=False, markup=False, emoji=False, soft_wrap=True)
