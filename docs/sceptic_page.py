"""Write the page on the sceptic's question from a prediction of the demonstration aircraft.

``python docs/sceptic_page.py FOLDER`` with the folder that ``slowflight demo`` made and ``slowflight
second-opinion FOLDER --all-rows`` was asked about. All numbers on the page come from its ``runs``; what is
set beside them is common practice, and neither is tuned.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from slowflight.report.pictures.canvas import also_pixels
from slowflight.report.pictures.two_tiers import draw_two_tiers
from slowflight.verbs.opinion_findings import TIERS, changes_at

PAGE = Path(__file__).with_name("sceptic.md")
ANGLES = (0, 10, 15, 20, 25)  # wing angles of the table [deg]
FAR = (0, 15, 20, 25)  # wing angles where both tiers are compared [deg]
PICTURE = Path(__file__).parent / "images" / "two-tiers.png"

Record = Mapping[str, Any]


def page(record: Record, opinion: Record) -> str:
    """Return the text of the page."""
    settings = [setting for setting in record["settings"] if setting["predicted"]]
    parts = [HEAD.format(aircraft=record["aircraft"], tier=record["tier"], day=record["predicted_on"])]
    parts += [_setting(setting) for setting in settings]
    parts.append(_both(opinion))
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
            "Both tiers take a row from the same march of its vortices, so their agreement is no "
            "measurement; what they disagree on is the air about the section: where it lets go, and how "
            "much of a row's mixing that holds back ({doc}`minutes-tier`)."
        ),
        "",
        (
            "**Read the section before the wing.** At a section angle of 18° with the flap full down the "
            "minutes tier's section lifts 2.06 clean and 3.3 with a row at 3 to 10 % of chord, and that "
            "still rises; rows at 15 and 20 % let go earlier, two rows earlier still. The wing does not get "
            "there: its answers end where the section angles that were asked for end (22° up; 18° down in "
            "this run, 22° since), so 'no answer' near 25° is a limit of this study. The flap sees nothing "
            "of the vortices in it, and nobody has measured such a row: do not take these gains for knots. "
            "On three wheels the "
            "wing stands at 15°, where both tiers find next to nothing."
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


def _both(opinion: Record) -> str:
    """What both tiers say, as they computed it."""
    lines = [
        "## By both tiers",
        "",
        f"`slowflight second-opinion DIR --all-rows`, {opinion['made_on']}, grid `{opinion['grid']}`: the"
        f" same wing, settings and rows ({{doc}}`command-line`); {opinion['conditions']}. Falls are as"
        " computed, in brackets what would be credited of them. A plus: lift still rises at the last angle.",
        "",
        "![Lift over wing angle by both tiers, and the fall of stall speed by place](images/two-tiers.png)",
        "",
        *(f"- {sentence}" for sentence in opinion["findings"]),
        "",
    ]
    for setting in opinion["settings"]:
        if not setting["problem"]:
            lines += _both_at(setting)
    lines += [
        "## Beside common practice",
        "",
        "| common practice, no source | seconds tier | agrees | minutes tier | agrees |",
        "|---|---|---|---|---|",
    ]
    for line in opinion["practice"]:
        cells = [str(cell) for tier in TIERS for cell in (line[tier]["found"], _agrees(line[tier]["agrees"]))]
        lines.append(f"| {line['said']} | " + " | ".join(cells) + " |")
    left = [warning for warning in opinion["warnings"] if warning.startswith(("not asked", "rounded"))]
    return "\n".join([*lines, "", *(f"Not told apart: {warning}." for warning in left), ""])


def _both_at(setting: Record) -> list[str]:
    heads = [f"{name} {angle}°" for name in ("seconds", "minutes") for angle in FAR]
    lines = [
        f"### Flap {setting['flap_deg']:.0f}°, both tiers",
        "",
        "Change of the wing's lift as a share of the clean wing's largest, and the fall of stall speed [kt]:",
        "",
        "| row | " + " | ".join(heads) + " | fall, seconds | fall, minutes |",
        "|---|" + "---|" * (len(heads) + 2),
    ]
    for row in setting["rows"]:
        changes = [_share(changes_at(setting, row, tier, float(angle))) for tier in TIERS for angle in FAR]
        falls = [_fall(row[tier]) for tier in TIERS]
        lines.append(f"| {row['name']} | " + " | ".join([*changes, *falls]) + " |")
    clean = [setting["clean"][tier] for tier in TIERS]
    speeds = [_kt(one["stall_speed"]) for one in clean]
    return [*lines, "", f"Clean: {speeds[0]} by the seconds tier, {speeds[1]} by the minutes tier.", ""]


def _fall(wing: Record) -> str:
    if wing["fall"] is None:
        return "no answer"
    told = wing["credited"]["fall"]
    less = told is not None and told["kt"] < wing["fall"]["kt"] - 0.05
    return f"{wing['fall']['kt']:.1f}{'+' if wing['rising'] else ''}" + (
        f" ({told['kt']:.1f})" if less else ""
    )


def _agrees(agrees: object) -> str:
    return "—" if agrees is None else "yes" if agrees else "no"


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


def _draw(opinion: Record) -> None:
    """Draw the picture of both tiers as pixels."""
    sink: list[bytes] = []
    with also_pixels(sink):
        draw_two_tiers(opinion)
    PICTURE.write_bytes(sink[0])


def _read(folder: Path, name: str) -> Record:
    found: Record = json.loads((folder / "runs" / f"{name}.json").read_text(encoding="utf-8"))
    return found


if __name__ == "__main__":
    runs = Path(sys.argv[1])
    both = _read(runs, "second-opinion")
    _draw(both)
    PAGE.write_text(page(_read(runs, "prediction"), both), encoding="utf-8")
