"""Flights on the terminal, for people: the verdict, why, and what to fly next come before any table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table


def _console() -> Console:
    return Console(highlight=False, markup=False, emoji=False, soft_wrap=True)


def print_plan(record: Mapping[str, Any]) -> None:
    """Print what flights can settle, and where the cards are."""
    console = _console()
    unit, per = record["unit"], _per(record["unit"])
    console.print(
        f"{record['aircraft']}: what flights can settle, all error included, if "
        f"{record[f'worth_having_{per}']:.3g} {unit} is worth having"
    )
    for row in record["settles"]:
        near = row[f"smallest_gain_calibrated_{per}"]
        more = "" if near is None else f"; {near:.1f} {unit} if the panel is calibrated near the stall"
        console.print(f"- {row['words']}{more}")
    console.print(f"Taken: stall speed {record['stall_speed_taken']}")
    console.print(f"Taken: scatter {record['scatter']}")
    for file in record["files"]:
        console.print(f"Written: {file}, entry rates for flight {record['for_flight']}")
    if record["begun"]:
        console.print(f"Written: {record['book']}: check its rules now, before the first flight")
    _print_cautions(console, record)


def print_added(record: Mapping[str, Any]) -> None:
    """Print what was added, the columns as guessed, and what is to be done next."""
    console = _console()
    shown: set[str] = set()
    for one in record["added"]:
        console.print(f"Added {one['name']} ({one['side']}): {one['kind']}, {', '.join(one['files'])}")
        if one["columns_file"] and one["columns_file"] not in shown:
            shown.add(one["columns_file"])
            state = "confirmed" if one["confirmed"] else "GUESSED, not yet confirmed"
            console.print(f"Columns ({state}): {one['columns_file']}")
            table = Table(box=box.SIMPLE)
            for heading in ("column", "read as", "unit", "how sure"):
                table.add_column(heading)
            for column in one["columns"]:
                table.add_row(
                    column["name"], column["channel"].replace("_", " "), column["unit"], column["remark"]
                )
            console.print(table)
    for line in record["next"]:
        console.print(f"Next: {line}")


def print_drawn(record: Mapping[str, Any]) -> None:
    """Print where the stalls are drawn."""
    console = _console()
    console.print(f"Written: {record['page']}: {record['stalls']} stalls, {record['counted']} of them count")
    _print_cautions(console, record)


def print_marked(record: Mapping[str, Any]) -> None:
    """Print what was struck or restored, and that the answer is not made again yet."""
    console = _console()
    done = "counts again" if record["counts"] else "struck"
    console.print(f"{record['flight']}, stall {record['stall']}: {done}: {record['reason']}")
    console.print(f"Written: {record['book']}")
    for line in record["next"]:
        console.print(f"Next: {line}")


def print_tufts(record: Mapping[str, Any]) -> None:
    """Print the plan of tufts and what came of each film."""
    console = _console()
    unit, per = record["unit"], _per(record["unit"])
    if record["note"]:
        console.print(record["note"])
    console.print(f"{record['aircraft']}: {len(record['plan']['tufts'])} tufts, {record['plan']['words']}")
    for film in record["films"]:
        name = f"{film['name']} ({film['side']})"
        if film["problem"]:
            console.print(f"{name}: NOT USED: {film['problem']}")
            continue
        console.print(f"{name}: {film['tufts']} tufts in {film['frames']} frames")
        for one in film["speeds"]:
            counts, at = one["tally"], one["furthest_forward"]
            measured = "no reversed flow" if at is None else f"reversed flow from {100.0 * at:.0f} %"
            console.print(
                f"  {one[f'speed_{per}']:.0f} {unit}: {counts['attached']} attached, {counts['unsteady']}"
                f" unsteady, {counts['reversed']} reversed; {measured}; {_separation(one['predicted'])}"
            )
        if not film["calibrated"]:
            console.print("  speeds are INDICATED: the panel is not calibrated at this setting")
        checked = film["confusion"]
        unchecked = "not scored by eye: nothing says how well it is read"
        console.print(f"  {checked['words'] if checked else unchecked}")
    for file in record["files"]:
        console.print(f"Written: {file}")
    for line in record["next"]:
        console.print(f"Next: {line}")
    _print_cautions(console, record)


def _separation(predicted: Mapping[str, Any] | None) -> str:
    if predicted is None:
        return "nothing predicted"
    if predicted["past_stall"]:
        return "predicted to be stalled"
    if predicted["station"] is None:
        return "none predicted"
    return f"predicted from {100.0 * predicted['station']:.0f} %"


def print_demo_flights(record: Mapping[str, Any]) -> None:
    """Print how the demonstration's invented flights came out, in a few lines."""
    console = _console()
    if record["note"]:
        console.print(f"Flights: {record['note']}.")
    decision = record["decision"]
    if decision is not None:
        console.print(f"Flights: {decision['verdict']} (measured)")
        for line in decision["headlines"]:
            console.print(f"Flights: {line}")
        if decision["next_flight"]:
            console.print(f"Next flight: {decision['next_flight']}")


def print_flights(record: Mapping[str, Any], *, sources: Sequence[str]) -> None:
    """Print verdict, gains, predicted beside measured, handling, cruise, and every flight's stalls."""
    console = _console()
    decision = record["decision"]
    if record["note"]:
        console.print(record["note"])
    if decision is None:
        console.print(f"{record['aircraft']}: no verdict (measured)")
        for ask in record["asks"]:
            console.print(f"- {ask}")
    else:
        _print_decision(console, record, decision)
    for line in performance_lines(record):
        console.print(line)
    for flight in record["flights"]:
        _print_flight(console, flight, record["unit"])
    for remark in record["remarks"]:
        console.print(f"Note: {remark}")
    for source in sources:
        console.print(f"Source: {source}")
    _print_cautions(console, record)


def _print_decision(console: Console, record: Mapping[str, Any], decision: Mapping[str, Any]) -> None:
    unit = record["unit"]
    console.print(f"{record['aircraft']}: {decision['verdict']} (measured, owner's flights, not approved)")
    for line in decision["headlines"]:
        console.print(f"{line}")
    for reason in decision["reasons"]:
        console.print(f"- {reason}")
    if decision["next_flight"]:
        console.print(f"Next flight: {decision['next_flight']}")
    for one in record["stall_speeds"]:
        console.print(_stall_speeds(one, unit))
    for one in record["stall_angles"]:
        console.print(f"Angle of attack at the stall, {one['name']}: {one['words']}")
    for one in record["predicted"]:
        console.print(_beside(one, unit))
    for finding in decision["handling"] or ():
        if finding["level"] != "green":
            console.print(f"Handling, {finding['level']}: {finding['item']}: {finding['words']}")
    if decision["handling"] is None:
        console.print("Handling: not written down")
    elif all(finding["level"] == "green" for finding in decision["handling"]):
        console.print("Handling: all green")
    console.print(_cruise(decision["cruise"], unit))
    if record["approach"]:
        console.print(f"Approach: {record['approach']}")


def _stall_speeds(one: Mapping[str, Any], unit: str) -> str:
    per = _per(unit)
    sides = "; ".join(
        f"{words} {side[f'calibrated_{per}']:.1f} ({side[f'low_{per}']:.1f} to {side[f'high_{per}']:.1f})"
        f" {unit} calibrated, {side['panel']}"
        for words, side in (("clean", one["clean"]), ("with vanes", one["vanes"]))
    )
    return f"Stall at 1 g and reference mass, {one['name']}: {sides}"


def _beside(one: Mapping[str, Any], unit: str) -> str:
    per = _per(unit)
    clean = f"clean {_banded(one[f'measured_clean_{per}'])} {unit} measured"
    if one[f"predicted_clean_{per}"]:
        clean += f", {_banded(one[f'predicted_clean_{per}'])} predicted"
    gain = f"gain {_banded(one[f'measured_gain_{per}'])} measured"
    if one[f"anchored_gain_{per}"]:
        gain += f", {_banded(one[f'anchored_gain_{per}'])} predicted for this clean stall"
    return f"Predicted beside measured, {one['name']}: {clean}; {gain}; {one['sentence']}"


def _cruise(cruise: Mapping[str, Any] | None, unit: str) -> str:
    if cruise is None:
        return "Cruise: not flown"
    per = _per(unit)
    change, low, high = (cruise[f"{key}_{per}"] for key in ("change", "low", "high"))
    shown = "shown" if cruise["no_loss_shown"] else "not shown, which is not the same as a loss"
    return (
        f"Cruise: {change:+.1f} {unit} ({low:+.1f} to {high:+.1f}); no loss beyond"
        f" {cruise[f'margin_{per}']:.1f} {unit}: {shown}"
    )


def performance_lines(record: Mapping[str, Any]) -> list[str]:
    """Return climb and ground rolls in words; empty where neither was flown."""
    lines = []
    climb = record.get("climb")
    if climb is not None:
        band = (
            "no band"
            if climb["low_ft_per_min"] is None
            else f"{climb['low_ft_per_min']:+.0f} to {climb['high_ft_per_min']:+.0f}"
        )
        lines.append(
            f"Climb: {climb['change_ft_per_min']:+.0f} ft/min ({band}) at reference mass and sea level,"
            f" {len(climb['before_ft_per_min'])} flights before and {len(climb['after_ft_per_min'])} after"
        )
        lines += [f"Climb: {remark}" for remark in climb["remarks"]]
    for one in record.get("ground_rolls", {}).values():
        lines.append(one["words"][0].upper() + one["words"][1:])
        lines += [f"- {remark}" for remark in one["remarks"]]
    return lines


def _print_flight(console: Console, flight: Mapping[str, Any], unit: str) -> None:
    per = _per(unit)
    console.print()
    console.print(f"{flight['name']} ({flight['side']}): {flight['log'] or 'typed from cards'}")
    if flight["problem"]:
        console.print(f"NOT USED: {flight['problem']}")
        return
    for curve in flight["calibration"]:
        whose = "its own legs" if curve["own"] else f"legs of {', '.join(curve['from_flights'])}"
        points = ", ".join(
            f"{point[f'add_{per}']:+.1f} at {point[f'indicated_{per}']:.0f}" for point in curve["points"]
        )
        console.print(f"Panel, flap {curve['flap_deg']:g} deg, from {whose}: add {points} {unit} indicated")
    for ask in flight["asks"]:
        console.print(f"FLY: {ask}")
    for one in flight["stalls"]:
        console.print(_stall(one, unit))
    if not flight["stalls"]:
        console.print("No stalls found.")
    for remark in flight["remarks"]:
        console.print(f"Note: {remark}")


def _stall(one: Mapping[str, Any], unit: str) -> str:
    per = _per(unit)
    return (
        f"{one['stall']:3d}  flap {one['flap_deg']:g}  {one['ending']}, {one['entry_rate_kt_per_s']:.1f}"
        f" kt/s, panel {one[f'indicated_{per}']:.1f}, {'calibrated' if one['calibrated'] else 'INDICATED'} at"
        f" 1 g and reference mass {one[f'reference_{per}']:.1f}"
        f" ± {one[f'standard_uncertainty_{per}']:.1f} {unit};"
        f" {'counts' if one['accepted'] else 'DOES NOT COUNT'}: {one['reason']}"
    )


def _banded(value: Mapping[str, float]) -> str:
    return f"{value['value']:.1f} ({value['low']:.1f} to {value['high']:.1f})"


def _per(unit: str) -> str:
    return unit.replace("/", "_per_")


def _print_cautions(console: Console, record: Mapping[str, Any]) -> None:
    for caution in record["cautions"]:
        console.print(f"Caution: {caution}")
