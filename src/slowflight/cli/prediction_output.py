"""Predictions and layouts on the terminal, for people. What limits the wing comes before any speed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.console import Console

if TYPE_CHECKING:
    from slowflight.verbs import DemoResult

SHOWN_TIES = 6
SHOWN_INPUTS = 4
LEAST_REMOVED = 0.05  # [kt]


def _console() -> Console:
    return Console(highlight=False, markup=False, emoji=False, soft_wrap=True)


def print_prediction(record: Mapping[str, Any], *, sources: Sequence[str]) -> None:
    """Print a prediction: verdict, limits, claim, speeds, best row, ties, warnings, sources, cautions."""
    console = _console()
    _print_findings(console, record)
    for warning in record["warnings"]:
        console.print(f"Note: {warning}")
    for assumption in record["assumptions"]:
        console.print(f"Taken: {assumption['field']} = {assumption['value']} ({assumption['why']})")
    for source in sources:
        console.print(f"Source: {source}")
    for caution in record["cautions"]:
        console.print(f"Caution: {caution}")


def print_layout(record: Mapping[str, Any]) -> None:
    """Print how many vanes stand where, the files, warnings and cautions."""
    console = _console()
    _print_row(console, record)
    for file in record["files"]:
        console.print(f"Written: {file}")
    for warning in record.get("warnings", ()):
        console.print(f"Note: {warning}")
    for caution in record.get("cautions", ()):
        console.print(f"Caution: {caution}")


def print_demo(made: DemoResult) -> None:
    """Print the findings of the demonstration and where everything is."""
    console = _console()
    console.print("The aircraft is invented; the computation is real.")
    _print_findings(console, made.prediction)
    if made.layout is not None:
        _print_row(console, made.layout)
    console.print(f"Report:   {made.report}")
    if made.layout is not None:
        sheets = [Path(file) for file in made.layout["files"] if file.endswith(".pdf")]
        console.print(f"Template: {', '.join(str(sheet) for sheet in sheets)}")
    console.print(f"Results:  {made.folder / 'runs'}")
    console.print(f"Caution: {made.prediction['cautions'][0]}")


def _print_findings(console: Console, record: Mapping[str, Any]) -> None:
    verdict = record["verdict"]
    console.print(f"{record['aircraft']}: {verdict['finding']} (predicted, {record['tier']} tier)")
    # Whether the gear lets the wing reach its stall is said before any speed.
    console.print(record["attitude"]["sentence"])
    for reason in verdict["reasons"]:
        console.print(f"- {reason}")
    console.print(f"Your slowest speed: {record['claim']['sentence']}")
    for setting in record["settings"]:
        decided = record.get("decided_at_deg") in (None, setting["flap_deg"])
        _print_setting(console, setting, decided=decided)
    _print_in_the_air(console, record)
    for item in verdict["would_settle"]:
        console.print(f"Would settle it: {item}")
    for entry in [e for e in record["measure_next"] if _removed(e) >= LEAST_REMOVED][:SHOWN_INPUTS]:
        console.print(
            f"Measure next: {entry['name']}, {entry['band_removed_kt']:.1f} kt of the stall speed's band and"
            f" {entry['fall_band_removed_kt']:.1f} kt of the fall's: {entry['measure']}"
        )
    for rival in record["rivals"]:
        if rival["change_kt"] is not None:
            what = "stall speed" if rival["real"] else "reading only, not the speed"
            change = _tenth(rival["change_kt"])
            console.print(f"Another explanation: {rival['name']}: {change:+.1f} kt ({what}; {rival['how']})")


def _print_in_the_air(console: Console, record: Mapping[str, Any]) -> None:
    """Print what the aircraft does in the air, in a few sentences for each flap setting."""
    whole = record.get("in_the_air")
    if whole is None:
        return
    for setting in record["settings"]:
        there = setting.get("in_the_air")
        if there is None:
            continue
        name = f"Flap {setting['flap_deg']:.1f}".removesuffix(".0") + " deg"
        for wing, words in (("clean", "clean"), ("vanes", "with the row")):
            touch = there["touchdown"][wing]
            if touch is not None:
                ends = there["limit"].get(wing, "")
                console.print(
                    f"{name}: slowest touchdown {words} {_knots(touch)}, predicted; what ends it: {ends}"
                )
        idle = there["power"]["idle"]
        parts = [there.get(part) for part in ("touchdown", "elevator", "roll", "slip", "lost_vane")]
        for said in (part["sentence"] for part in (*parts, idle) if part is not None):
            if said:
                console.print(f"{name}: {said}")
    if whole["maneuvering"] is not None and whole["maneuvering"]["sentence"]:
        console.print(whole["maneuvering"]["sentence"])
    for change in whole["changes"]:
        console.print(f"Other small change: {_small_change(change)}")
    for entry in whole["asked"]:
        console.print(f"Not known: {entry['tells']}; give {entry['keys']}")


def _small_change(change: Mapping[str, Any]) -> str:
    """Write one change of the wing beside the row, with its bands."""
    row = change.get("with_row")
    with_row = "" if row is None else f", with the row {_moves(row)}"
    flap = f"{change['flap_deg']:.1f}".removesuffix(".0")
    return f"{change['name']}, flap {flap} deg: stall {_moves(change)} clean{with_row}; {change['how']}"


def _moves(change: Mapping[str, Any]) -> str:
    low, high = (_tenth(change[name]) for name in ("low_kt", "high_kt"))
    return f"{_tenth(change['change_kt']):+.1f} kt ({low:+.1f} to {high:+.1f})"


def _removed(entry: Mapping[str, Any]) -> float:
    """By how much both bands would narrow; what tells on the fall alone counts as well [kt]."""
    return float(entry["band_removed_kt"] + entry["fall_band_removed_kt"])


def _print_setting(console: Console, setting: Mapping[str, Any], *, decided: bool) -> None:
    name = f"Flap {setting['flap_deg']:.1f}".removesuffix(".0") + " deg"
    if not setting["predicted"]:
        console.print(f"{name}: {setting['sentence']}")
        return
    clean, best = setting["stall_speed_clean"], setting["best"]
    console.print(
        f"{name}: predicted stall speed clean {_knots(clean)}, as calibrated airspeed; {setting['panel']}"
    )
    for row in setting.get("as_written", ()):
        # Asked for by name: it is answered whether or not it is any good.
        console.print(f"{name}: Row as written in wing.toml: {_row(row)}")
    row = setting["row"]
    if row is not None and setting["stall_speed_vanes"] is not None:
        console.print(
            f"{name}: predicted with the row at {_place(row)} {_knots(setting['stall_speed_vanes'])}"
        )
    both = setting["two_rows"]
    if both is not None:
        first, second = (f"{100 * station:.0f}" for station in both["stations"])
        console.print(
            f"{name}: with two rows, at {first} and {second} %, {_falls(both['fall'])}, uncalibrated"
        )
    if best is None:
        console.print(f"{name}: no row lowers it at the accepted price")
        return
    if not decided:
        console.print(f"{name}: best row there: {_row(best)}")
        return
    console.print(f"Best row: {'; '.join(filter(None, (_row(best), best['reason'])))}")
    ties = setting["ties"]
    for tie in ties[:SHOWN_TIES]:
        console.print(f"As good within the band: {_row(tie)}")
    if len(ties) > SHOWN_TIES:
        console.print(f"... and {len(ties) - SHOWN_TIES} more")


def _place(row: Mapping[str, Any]) -> str:
    return f"{100 * row['station']:.0f} %"


def _row(row: Mapping[str, Any]) -> str:
    what = f"{row['candidate']}, {row['height_mm']:.1f} mm high at {_place(row)} of chord"
    if row["fall"] is None or row["cruise_loss"] is None:
        return f"{what}: no answer ({'; '.join(row['warnings']) or 'not predicted'})"
    said, loss = _falls(row["fall"]), _knots(row["cruise_loss"])
    if _tenth(row["fall"]["kt"]) < 0.0:
        said = f"does not lower the stall speed, it {said}"
    return f"{what}: {said}, costs {loss} in cruise, uncalibrated"


def _falls(fall: Mapping[str, float]) -> str:
    """A fall of stall speed, one below zero as the rise it is."""
    if _tenth(fall["kt"]) >= 0.0:
        return f"falls by {_knots(fall)}"
    return f"RISES by {_knots({'kt': -fall['kt'], 'low_kt': -fall['high_kt'], 'high_kt': -fall['low_kt']})}"


def _knots(speed: Mapping[str, float]) -> str:
    value, low, high = (_tenth(speed[key]) for key in ("kt", "low_kt", "high_kt"))
    return f"{value:.1f} kt ({low:.1f} to {high:.1f})"


def _tenth(value: float) -> float:
    """Round to a tenth, with no minus before a zero."""
    return round(value, 1) + 0.0


def _print_row(console: Console, record: Mapping[str, Any]) -> None:
    vanes = record["vanes"]
    left = sum(vane["side"] == "left" for vane in vanes)
    places = sorted({(v["chord_distance_mm"], v["skin_distance_mm"]) for v in vanes})
    (chord, skin), (last_chord, last_skin) = places[0], places[-1]
    chord_text, skin_text = (
        f"{a:.1f} mm ({a / 25.4:.2f} in)" if abs(a - b) < 0.05 else f"{a:.1f} to {b:.1f} mm"
        for a, b in ((chord, last_chord), (skin, last_skin))
    )
    console.print(
        f"Layout: {len(vanes)} vanes, {left} left and {len(vanes) - left} right; forward tips {chord_text}"
        f" from the nose along the chord, which is {skin_text} along the skin from the foremost point"
    )
