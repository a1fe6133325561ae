"""The evidence on the terminal: predicted beside measured, then mean and spread, then what was not run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rich.console import Console

NOT_RUN = "not run"
EXACT = "exact solution"
DIGITS = {"-": 3, "deg": 2, "1/deg": 4, "1/rad": 4, "share of chord": 2, "share": 2}
DRAG_DIGITS = 5
WIDTH = 40  # of a quantity's name


def print_evidence(record: Mapping[str, Any], *, sources: Mapping[str, str]) -> None:
    """Print the record of `slowflight.verbs.evidence`.

    Parameters
    ----------
    record : mapping
    sources : mapping of str to str
        Each source as it is to be printed, by its key.
    """
    console = Console(highlight=False, markup=False, emoji=False)
    lines = record["cases"]
    run = [line for line in lines if line["status"] != NOT_RUN and line["provenance"] != "exact"]
    _print_compared(console, run, tier=record["tier"])
    _print_spreads(console, record["spreads"])
    _print_left_out(console, [line for line in lines if line["status"] == NOT_RUN])
    if not any(line["kind"] == "vane" for line in run):
        console.print(
            "0 measured cases with vanes can be run: nothing here says how right a predicted gain is."
        )
    for key in dict.fromkeys(line["source"] for line in run):
        console.print(f"Source {key}: {sources[key]}")
    for caution in record["cautions"]:
        console.print(caution)
    console.print(f"Runs are kept in {record['results']}", soft_wrap=True)


def _print_compared(console: Console, lines: Sequence[Mapping[str, Any]], *, tier: str) -> None:
    console.print(f"Predicted beside measured, {tier} tier")
    console.print(f"  {'':{WIDTH}}{'measured':>10}{'predicted':>11}{'error':>10}")
    of = None
    for line in lines:
        if line["file"] != of:
            of = line["file"]
            reynolds = "" if line["reynolds"] is None else f", Re {line['reynolds'] / 1e6:g} million"
            role = line["role"] if line["counts"] else "from memory, in no mean"
            console.print(f"{line['of']}{reynolds} ({role}; {line['source']})", soft_wrap=True)
        variant = f", {line['variant']}" if line["variant"] else ""
        name = line["quantity"] + variant
        console.print(
            f"  {name:{WIDTH}}{_number(line['published'], line):>10}{_number(line['predicted'], line):>11}"
            f"{_error(line):>10}{' missed' if line['missed'] else ''}",
            soft_wrap=True,
        )
        if line["reason"]:
            console.print(f"    {line['reason']}")


def _print_spreads(console: Console, lines: Sequence[Mapping[str, Any]]) -> None:
    console.print("Mean error and spread of one measured case")
    group = None
    for line in lines:
        if (line["by"], line["group"]) != group:
            group = (line["by"], line["group"])
            console.print(
                f"by {line['by']}: {line['group']}" if line["by"] != EXACT else f"{EXACT}s: {line['group']}"
            )
        mean, spread = (
            _in_unit(line[key], line["unit"], signed=key == "mean") for key in ("mean", "deviation")
        )
        cases = f"{line['count']} case{'' if line['count'] == 1 else 's'}"
        console.print(f"  {line['quantity']:{WIDTH}}{mean:>10}{spread:>11}{cases:>10}", soft_wrap=True)
        if line["note"] and line["by"] == "kind":
            console.print(f"    {line['note']}")


def _print_left_out(console: Console, lines: Sequence[Mapping[str, Any]]) -> None:
    reasons: dict[str, list[str]] = {}
    for line in lines:
        reasons.setdefault(line["reason"], []).append(line["of"])
    console.print(f"Not run: {len({line['file'] for line in lines})} cases")
    for reason, titles in reasons.items():
        console.print(f"  {'; '.join(dict.fromkeys(titles))}: {reason}")


def _number(value: float | None, line: Mapping[str, Any]) -> str:
    if value is None:
        return "no answer"
    return f"{value:.{_digits(line)}f}"


def _error(line: Mapping[str, Any]) -> str:
    if line["error"] is None:
        return "-"
    if line["relative_error"] is not None:
        return f"{100.0 * line['relative_error']:+.1f} %"
    unit = " deg" if line["unit"] == "deg" else ""
    return f"{line['error']:+.{_digits(line)}f}{unit}"


def _digits(line: Mapping[str, Any]) -> int:
    return DRAG_DIGITS if "drag" in line["quantity"] else DIGITS.get(line["unit"], 3)


def _in_unit(value: float | None, unit: str, *, signed: bool = False) -> str:
    if value is None:
        return "-"
    sign = "+" if signed else ""
    return f"{value:{sign}.1f} deg" if unit == "deg" else f"{100.0 * value:{sign}.1f} %"
