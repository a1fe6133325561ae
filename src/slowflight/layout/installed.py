"""What was really bonded against what was laid out, and left against right.

Left and right that differ block the next test card: `InstalledVerdict` is what other rooms ask.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from slowflight.layout.installed_form import InstalledVane

# Common practice, no source: along the skin [mm], along the span [mm], toe [deg].
OFF_SKIN, OFF_SPAN, OFF_TOE = 2.0, 3.0, 1.0
APART_SKIN, APART_SPAN, APART_TOE = 2.0, 3.0, 1.0
# What rounding may add: to a difference of two readings, and to one from the form, which has tenths.
READING, PRINTED = 1e-6, 0.051


@dataclass(frozen=True, kw_only=True)
class InstalledVerdict:
    """Whether test cards may go on, for whoever hands them out.

    Parameters
    ----------
    measured : bool
        Whether what is on the wing was measured for this layout.
    blocked : bool
        Whether it was, and left and right differ: no test card until they match.
    reasons : tuple of str
        Why it is blocked, or why nothing is known; empty where left and right were found equal.
    revision : str
        Of the layout that was measured.
    """

    measured: bool
    blocked: bool
    reasons: tuple[str, ...]
    revision: str


def revision_of(record: Mapping[str, Any]) -> str:
    """Return what tells one layout from another, of a record of one row or several."""
    rows = record.get("rows") or [record]
    return "-".join(str(row.get("revision")) for row in rows)


def out_of_tolerance(vanes: Sequence[InstalledVane]) -> list[str]:
    """Say which vanes stand too far from where they were laid out."""
    found = []
    for vane in vanes:
        if vane.skin is None or vane.toe is None or vane.span is None:
            continue
        off = []
        if abs(vane.skin - vane.planned_skin) > OFF_SKIN + PRINTED:
            off.append(f"{vane.skin - vane.planned_skin:+.1f} mm along the skin")
        if abs(vane.span - vane.planned_span) > OFF_SPAN + PRINTED:
            off.append(f"{vane.span - vane.planned_span:+.1f} mm along the span")
        if vane.toe * vane.planned_toe < 0.0:
            off.append("toes the WRONG WAY: it has the other hand")
        elif abs(vane.toe - vane.planned_toe) > OFF_TOE + PRINTED:
            off.append(f"{vane.toe - vane.planned_toe:+.1f} deg of toe")
        if off:
            found.append(f"row {vane.row}, {vane.label}: {', '.join(off)}")
    return found


def unequal(vanes: Sequence[InstalledVane]) -> list[str]:
    """Say where left and right differ, or a vane toes the wrong way: what blocks the next test card.

    Parameters
    ----------
    vanes : sequence of InstalledVane
        Of both wings.

    Returns
    -------
    list of str
        Empty where the wings are equal within 2 mm along the skin, 3 mm along the span and 1 degree (common
        practice, no source) and the same vanes are there.
    """
    reasons = []
    by_place = {(vane.row, vane.number, vane.side): vane for vane in vanes}
    for row, number in sorted({(vane.row, vane.number) for vane in vanes}):
        left, right = (by_place.get((row, number, side)) for side in ("left", "right"))
        if left is None or right is None:
            continue
        name = f"row {row}, number {number}"
        if left.missing != right.missing:
            bare = "left" if left.missing else "right"
            reasons.append(f"{name}: missing on the {bare} wing only")
        elif left.skin is not None and right.skin is not None:
            apart = _apart(left, right)
            if apart:
                reasons.append(f"{name}: left and right {', '.join(apart)} apart")
    for vane in vanes:
        if vane.toe is not None and vane.toe * vane.planned_toe < 0.0:
            reasons.append(f"row {vane.row}, {vane.label}: toes the wrong way")
    return reasons


def _apart(left: InstalledVane, right: InstalledVane) -> list[str]:
    pairs = (
        (left.skin, right.skin, APART_SKIN, "mm along the skin"),
        (left.span, right.span, APART_SPAN, "mm along the span"),
        (left.toe, right.toe, APART_TOE, "deg of toe"),
    )
    return [
        f"{abs(one - other):.1f} {words}"
        for one, other, limit, words in pairs
        if one is not None and other is not None and abs(one - other) > limit + READING
    ]


def gaps_in_a_row(vanes: Sequence[InstalledVane]) -> list[str]:
    """Say where more than one vane of a wing is missing: no flight until it is whole."""
    found = []
    for side, group in itertools.groupby(
        sorted((v for v in vanes if v.missing), key=lambda v: v.side), key=lambda v: v.side
    ):
        gone = list(group)
        if len(gone) > 1:
            found.append(f"{len(gone)} vanes missing on the {side} wing: no flight until it is whole")
    return found


def installed_verdict(record: Mapping[str, Any] | None, *, revision: str) -> InstalledVerdict:
    """Judge a saved as-installed record for the layout that is current.

    Parameters
    ----------
    record : mapping or None
        As kept in ``layout/installed.json``; None where nobody measured.
    revision : str
        Of the current layout.

    Returns
    -------
    InstalledVerdict
    """
    if record is None:
        why = "what was installed has not been measured: 'slowflight installed' takes the completed form"
        return InstalledVerdict(measured=False, blocked=False, reasons=(why,), revision=revision)
    if record.get("revision") != revision:
        why = f"the as-installed record is of layout revision {record.get('revision')}, not {revision}"
        return InstalledVerdict(measured=False, blocked=False, reasons=(why,), revision=revision)
    if not isinstance(record.get("blocked_because"), list):
        why = "the as-installed record is damaged: run 'slowflight installed' again"
        return InstalledVerdict(measured=False, blocked=False, reasons=(why,), revision=revision)
    reasons = tuple(str(reason) for reason in record["blocked_because"])
    return InstalledVerdict(measured=True, blocked=bool(reasons), reasons=reasons, revision=revision)
