"""Write the page on the sceptic's question from a prediction of the demonstration aircraft.

``python docs/sceptic_page.py FOLDER`` with the folder that ``slowflight demo`` made. All numbers on the page
come from its ``runs/prediction.json``; what is set beside them is common practice, and neither is tuned.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

PAGE = Path(__file__).with_name("sceptic.md")
ANGLES = (0, 10, 15, 20, 25)  # wing angles of the table [deg]
LITTLE = 0.02  # share of the lift that counts as a change nobody would notice (own choice)
CLEAR = 0.05  # share that a pilot would (own choice: 2.5 % of speed, 1 kt of 40)

Record = Mapping[str, Any]


def page(record: Record) -> str:
    """Return the text of the page."""
    settings = [setting for setting in record["settings"] if setting["predicted"]]
    parts = [HEAD.format(aircraft=record["aircraft"], tier=record["tier"], day=record["predicted_on"])]
    parts += [_setting(setting) for setting in settings]
    parts.append(_practice(settings))
    parts.append(TAIL)
    return "\n".join(parts)


HEAD = "\n".join(
    (
        ("# The sceptic's question"),
        "",
        (
            "A wing with a hung flaperon, up, half and full down, at angles far past the usual stall, with "
            "rows here or there: where do vanes gain, where not, and can the pilot reach it? This page is "
            "that question put to the demonstration aircraft (`{aircraft}`, invented), as the {tier} tier "
            "answered it on {day}; `docs/sceptic_page.py` writes it."
        ),
        "",
        ("```{{warning}}"),
        (
            "Slow flight and stalls kill. Everything here is predicted, and what vanes do is uncalibrated: "
            "no measured case with vanes on a flapped section stands behind it. It clears no wing to be "
            "flown slower."
        ),
        ("```"),
        "",
        (
            "Angles are those of the wing's root against the flight path. A change of lift is given as a "
            "share of the clean wing's largest lift at that setting; a dash is no answer. 'Trend' marks a "
            "clean stall that lies where this tier is known to be weak, mostly because the wing's wake "
            "stands still over the flap."
        ),
        "",
    )
)

TAIL = "\n".join(
    (
        "",
        (
            "The minutes tier takes the same vortices into another model of the layer. On NACA 4412 without a"
            " flap it finds 43 to 66 % of what this tier gains with rows at 3 to 30 % of chord, with the best"
            " place at about 5 % in both ({doc}`minutes-tier`). On a section like the demo's with the hung"
            " flap up, half and full down, without vanes, it agrees within 4 % in attached air (a tenth"
            " lower full down) and finds 12 to 22 % more maximum lift, 1 to 6 degrees later; with rows it"
            " computes no hung flap yet."
        ),
        "",
        (
            "What common practice says has no source and is no target: nothing was tuned to it, here or "
            "there. Where the two differ, a flight with tufts and one with a taped row decide."
        ),
        "",
    )
)


def _setting(setting: Record) -> str:
    attitude, best, both = setting["attitude"], setting["best"], setting["two_rows"]
    table = _table_of(setting)
    lines = [
        f"## Flap {setting['flap_deg']:.0f}°",
        "",
        f"Clean: largest lift coefficient {setting['clean']['cl_max']:.2f}, stall at"
        f" {attitude['stall_angle_clean_deg']:.1f}° and {_kt(setting['stall_speed_clean'])}"
        f"{', a trend' if setting['trend'] else ''}. On three wheels the wing stands at"
        f" {attitude['wing_angle_deg']:.1f}°: first limit, {setting['binding_limit']}.",
        "",
    ]
    if table is not None:
        lines += [
            f"Change of lift with “{table['candidate']}” vanes {table['height_mm']:.1f} mm high:",
            "",
            "| station | " + " | ".join(f"{a}°" for a in ANGLES) + " | fall of stall speed, uncalibrated |",
            "|---|" + "---|" * (len(ANGLES) + 1),
        ]
        for k, station in enumerate(table["stations"]):
            changes = " | ".join(_share(_change(setting, table, k, a)) for a in ANGLES)
            fall = table["fall_kt"][k]
            lines.append(
                f"| {100 * station:.0f} % | {changes} | {'no answer' if fall is None else f'{fall:.1f} kt'} |"
            )
        lines.append("")
    if best is None:
        lines.append("No row that was tried gains at this setting at the accepted price.")
    else:
        lines.append(
            f"Best: {100 * best['station']:.0f} % of chord, a fall of {_kt(best['fall'])}, uncalibrated."
        )
    if both is not None:
        first, second = both["stations"]
        lines.append(
            f"Two rows, at {100 * first:.0f} and {100 * second:.0f} %: a fall of {_kt(both['fall'])}"
            f" beside {_kt(setting['row']['fall'])} with one, uncalibrated."
        )
    return "\n".join([*lines, ""])


def _practice(settings: Sequence[Record]) -> str:
    full = max(settings, key=lambda setting: setting["flap_deg"])
    lines = [
        "## Beside common practice",
        "",
        "| common practice, no source | predicted here | agree |",
        "|---|---|---|",
    ]
    for said, angle, flap in (
        ("little change at 0°", 0, settings),
        ("little change near 15°", 15, settings),
    ):
        found = [abs(c) for s in flap for c in _changes(s, angle) if c is not None]
        lines.append(_line(said, found and f"at most {_share(max(found))}", found and max(found) < LITTLE))
    far = [c for c in _changes(full, 25) if c is not None]
    lines.append(
        _line(
            "a clear gain near 25° with full flap",
            far and f"at best {_share(max(far))}, flap {full['flap_deg']:.0f}°",
            far and max(far) > CLEAR,
        )
    )
    table = _table_of(full)
    near = None if table is None else dict(zip(table["stations"], table["fall_kt"], strict=True))
    fore, aft = (None, None) if near is None else (near.get(0.03), near.get(0.07))
    known = fore is not None and aft is not None
    lines.append(
        _line(
            "forward rows (3 %) ahead of 7 %, full flap",
            f"{fore:.1f} kt beside {aft:.1f} kt" if known else "",
            fore > aft if fore is not None and aft is not None else None,
        )
    )
    both = [
        (s["two_rows"]["fall"]["kt"], s["row"]["fall"]["kt"])
        for s in settings
        if s["two_rows"] and s["row"]["fall"]
    ]
    lines.append(
        _line(
            "stacked rows no better than one good row",
            "; ".join(f"{two:.1f} kt beside {one:.1f} kt" for two, one in both),
            bool(both) and all(two < one + 0.2 for two, one in both),
        )
    )
    return "\n".join([*lines, ""])


def _line(said: str, found: object, agrees: object) -> str:
    if not found:
        return f"| {said} | no answer | — |"
    return f"| {said} | {found} | {'yes' if agrees else 'no'} |"


def _table_of(setting: Record) -> Record | None:
    """The gain table of the chosen vane."""
    row, tables = setting["row"] or setting["best"], setting["gain_tables"]
    for table in tables:
        if row is not None and (table["candidate"], table["height_mm"]) == (
            row["candidate"],
            row["height_mm"],
        ):
            return dict(table)
    return dict(tables[0]) if tables else None


def _changes(setting: Record, angle: int) -> list[float | None]:
    table = _table_of(setting)
    return [] if table is None else [_change(setting, table, k, angle) for k in range(len(table["stations"]))]


def _change(setting: Record, table: Record, row: int, angle: int) -> float | None:
    if angle not in table["angles_deg"]:
        return None
    gain = table["gain"][row][table["angles_deg"].index(angle)]
    return None if gain is None else float(gain) / float(setting["clean"]["cl_max"])


def _share(value: float | None) -> str:
    return "–" if value is None else f"{100.0 * value:+.1f} %"


def _kt(speed: Record | None) -> str:
    if speed is None:
        return "no answer"
    value, low, high = (round(speed[key], 1) + 0.0 for key in ("kt", "low_kt", "high_kt"))
    return f"{value:.1f} kt ({low:.1f} to {high:.1f})"


if __name__ == "__main__":
    (folder,) = sys.argv[1:]
    written = page(json.loads((Path(folder) / "runs" / "prediction.json").read_text(encoding="utf-8")))
    PAGE.write_text(written, encoding="utf-8")
