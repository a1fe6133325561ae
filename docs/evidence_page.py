"""Write the page about the evidence, and the errors on record, from the library of published cases.

Run it as ``python docs/evidence_page.py``; a test fails while the page is behind the code. Nothing is tuned
here: what is measured stands in the case files, and what is predicted is computed on the spot.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import slowflight.compare.evidence
from slowflight.compare.evidence.comparison import AIMS
from slowflight.compare.evidence.record import error_record
from slowflight.compare.evidence.recorded import errors_text
from slowflight.sources import describe
from slowflight.verbs.evidence import Evidence, evidence

PAGE = Path(__file__).parent / "evidence.md"
ON_RECORD = Path(slowflight.compare.evidence.__path__[0]) / "recorded" / "integral.csv"
DIGITS = {"-": 3, "deg": 2, "1/deg": 4, "share of chord": 2}

SLOPE_AIM, LIFT_AIM = (f"{100 * AIMS[name]:.0f} %" for name in ("lift slope", "maximum lift"))
ANGLE_AIM = f"{AIMS['angle of maximum lift']:g}°"

HEAD = f"""\
# Evidence

Published cases live in the package as data, one file each, and `slowflight evidence` runs them through \
a tier and sets the numbers side by side. The tables on this page are written from that run.

**None of the cases that can be run has vanes.** There is no measured section here with and without \
vortex generators that this version can compute, so nothing on this page says how right a gain is. Slow \
flight and stalls kill: a computed maximum lift clears no wing to be flown slower.

A case that *calibrates* had a part in setting a constant of the model: the lag constant was set on NACA \
0012 (Ladson) and NACA 4412 (Coles and Wadcock). A case that *checks* had none, though some were printed \
while the method was built ({{doc}}`seconds-tier`). Calibrating code asks the library for its own role \
and is given no other file; a test reads that code and fails where it gets at a published case in any \
other way. A number *from memory* was not read in its source: it calibrates nothing and counts in no \
mean.

The aims, set beforehand: lift slope within {SLOPE_AIM}, maximum lift within {LIFT_AIM}, its angle \
within {ANGLE_AIM}. Where a source says \
tripped and not where, the tier trips at 5 % of chord. Slopes are straight lines through measured and \
computed lift at the measured angles from −4.5° to 8.5°; drag is a mean over the stretch that the case \
names, at equal angle or at equal lift. NACA 0012 is drawn with its trailing edge closed.
"""

MEANS = """\
Each case counts once, however many grits or copies of a number its file has; remembered numbers and \
exact solutions do not count. A kind with fewer than ten cases is pooled with the others that are as \
thin, where there are any, and ten are the least for a statistical band: below, a wide stated default \
stands in. The spread is the standard deviation of one case. The maximum lifts are five cases on three \
sections, all 12 % thick and of four digits: far too few for a band on another wing.
"""

TAIL = """
## What is missed, and why

- **The abrupt stall of NACA 0012.** Measured lift falls by a third within a degree of its maximum, \
because the air lets go at the nose. The tier computes no bursting bubble: its lift falls gently there, \
whatever the numbers at the maximum.
- **Separation of NACA 4412 comes too early** and its lift near the stall is too low, while the 0012 \
fits: one lag constant does not suit both. The measured pressures near its trailing edge are flat at \
−0.4; the tier's are not.
- **The slope of NACA 0012 is steep** on each of the three measurements; why was not found out. The \
tripped one was measured at Mach 0.15, where lift is about 1 % above that of incompressible flow (rule \
of Prandtl and Glauert), so its miss is rather larger than it looks.
- **Drag of the smooth NACA 0012 is about 12 % low**, while that of the tripped one is right: the free \
laminar run is too long, the tunnel less quiet than the amplification factor 9 says, or its skin less \
smooth; which, was not found out.

## A case of your own

A case is a TOML file in `src/slowflight/compare/evidence/cases`, in the folder of its role, with a \
table beside it where there are many numbers. It says what was measured and by whom (`source`, a key of \
the bibliography, and `place`), how the numbers came from there (`how_read`, `provenance`), under which \
conditions, and for each number by how much our reading may be off. What is missing, unknown or \
inconsistent is refused with one line. A case that no tier can compute stays in the library with the \
reason. A changed figure is compared anew without a computation; a changed condition computes that case \
and no other.

This page is written by `docs/evidence_page.py`, and a test fails when it falls behind the code.
"""


def page(found: Evidence) -> str:
    """Return the whole page."""
    record = found.record()
    lines = record["cases"]
    run = [line for line in lines if line["status"] != "not run" and line["provenance"] != "exact"]
    counted = [line for line in run if line["counts"]]
    remembered = [line for line in run if not line["counts"]]
    columns = "case, quantity, role, how known, Re in million, published, predicted, error, source"
    works = list(dict.fromkeys(line["source"] for line in run))
    parts = [
        HEAD,
        f"## Predicted beside measured: {found.tier} tier\n",
        _table(columns, [_line(line, works) for line in counted]),
        "\nNumbers from memory, in no mean:\n",
        _table(columns, [_line(line, works) for line in remembered]),
        "\nThe sources by number:\n",
        *(f"{number}. {describe(key)}" for number, key in enumerate(works, start=1)),
        "\n## Mean and spread\n",
        MEANS,
        _table("by, group, quantity, cases, mean error, spread", _spreads(record["spreads"])),
        "",
        *(
            f"- {s['note']}."
            for s in record["spreads"]
            if (s["by"], s["quantity"]) == ("kind", "maximum lift")
        ),
        "\n## Exact solutions\n",
        "Straight wings by the linear lifting line, which all tiers share, against Glauert's series: "
        "arithmetic, not air.\n",
        _table("quantity, wings, largest error", _exact(lines)),
        "\n## Published, but not run\n",
        _table("case, kind, source, why not", _left_out(lines)),
        TAIL,
    ]
    return "\n".join(parts)


def _table(columns: str, lines: Iterable[str]) -> str:
    names = columns.split(", ")
    return "\n".join(["| " + " | ".join(names) + " |", "|" + "---|" * len(names), *lines])


def _line(line: dict[str, Any], works: list[str]) -> str:
    variant = f", {line['variant']}" if line["variant"] else ""
    cells = (
        line["of"], line["quantity"] + variant, line["role"], line["provenance"],
        f"{line['reynolds'] / 1e6:g}", _number(line["published"], line), _number(line["predicted"], line),
        _error(line), str(works.index(line["source"]) + 1),
    )  # fmt: skip
    return "| " + " | ".join(cells) + " |"


def _number(value: float | None, line: dict[str, Any]) -> str:
    if value is None:
        return "no answer"
    return _minus(f"{value:.{_digits(line)}f}")


def _error(line: dict[str, Any]) -> str:
    if line["error"] is None:
        return "–"
    if line["relative_error"] is not None:
        error = f"{100.0 * line['relative_error']:+.1f} %"
    elif line["unit"] == "deg":
        error = f"{line['error']:+.1f}°"
    else:
        error = f"{line['error']:+.{_digits(line)}f}"
    if line["scatter"] is not None:
        scatter = (
            f"{100.0 * line['scatter']:.1f} %"
            if line["relative_error"] is not None
            else f"{line['scatter']:.3f}"
        )
        error += f" (rms {scatter})"
    return _minus(error) + (" missed" if line["missed"] else "")


def _digits(line: dict[str, Any]) -> int:
    return 5 if "drag" in line["quantity"] else DIGITS.get(line["unit"], 3)


def _spreads(lines: Iterable[dict[str, Any]]) -> list[str]:
    found = []
    for line in lines:
        if line["by"] == "exact solution":
            continue
        unit, scale = ("°", 1.0) if line["unit"] == "deg" else (" %", 100.0)
        mean = "–" if line["mean"] is None else _minus(f"{scale * line['mean']:+.1f}{unit}")
        spread = "–" if line["deviation"] is None else f"{scale * line['deviation']:.1f}{unit}"
        found.append(
            f"| {line['by']} | {line['group']} | {line['quantity']} | {line['count']} | {mean} | {spread} |"
        )
    return found


def _exact(lines: Iterable[dict[str, Any]]) -> list[str]:
    errors: dict[str, list[float]] = {}
    for line in lines:
        if line["provenance"] == "exact" and line["relative_error"] is not None:
            errors.setdefault(line["quantity"], []).append(abs(line["relative_error"]))
    return [
        f"| {quantity} | {len(found)} | {100.0 * max(found):.3f} % |" for quantity, found in errors.items()
    ]


def _left_out(lines: Iterable[dict[str, Any]]) -> list[str]:
    titles: dict[tuple[str, str, str], list[str]] = {}
    for line in lines:
        if line["status"] == "not run":
            titles.setdefault((line["kind"], line["source"], line["reason"]), []).append(line["of"])
    return [
        f"| {'; '.join(dict.fromkeys(of))} | {kind} | `{source}` | {reason} |"
        for (kind, source, reason), of in sorted(titles.items())
    ]


def _minus(text: str) -> str:
    return text.replace("-", "−")


if __name__ == "__main__":
    run = evidence()
    PAGE.write_text(page(run), encoding="utf-8")
    ON_RECORD.write_text(errors_text(error_record(run.comparisons)), encoding="utf-8")
