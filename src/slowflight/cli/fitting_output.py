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


def print_measured(record: Mapping[str, Any]) -> None:
    """Print what was measured, how well it fits, files and cautions."""
    console = _console()
    kind = record["kind"]
    if kind == "photo":
        console.print(
            f"Outline of a chord of {record['chord_mm']:.1f} mm, {record['thickness_percent']:.1f} % thick"
            " (measured)"
        )
        console.print(
            f"Fit: edge {record['fit_mm']:.2f} mm rms about the smooth outline, {record['fit_most_mm']:.2f}"
            " mm at most;"
            f" targets {record['targets_off_mm']:.2f} mm; pixels {record['pixel_mm']:.2f} mm; the cards alone"
            " make the"
            f" chord {record['chord_by_cards_off_percent']:+.2f} % different, and the tape was believed"
        )
    elif kind == "gauge":
        console.print(
            f"Corrected by {record['readings']} readings, {record['most_mm']:.2f} mm at most (measured)"
        )
    elif kind == "hinge":
        for name, words in (
            ("axis_aft", "aft"),
            ("axis_below", "below"),
            ("axis_in_flap", "behind the flap's nose"),
        ):
            error = record[f"{name}_error_mm"]
            console.print(
                f"Axis {record[f'{name}_mm']:.1f} mm {words}, +-{error:.1f} mm (measured, one sigma)"
            )
        for line in record["residuals"]:
            console.print(
                f"Residual at {line['angle_deg']:.1f} deg: gap {line['gap_mm']:+.2f} mm, trailing edge"
                f" {line['trailing_edge_below_mm']:+.2f} mm"
            )
        console.print("For wing.toml, [flap]: " + "; ".join(record["wing_toml"]))
    for note in record.get("notes", ()):
        console.print(f"Note: {note}")
    for file in record["files"]:
        console.print(f"Written: {file}")
    for caution in record["cautions"]:
        console.print(f"Caution: {caution}")
