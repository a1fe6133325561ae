"""What two tiers' answers come to, in sentences, and beside what common practice says."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from slowflight.verbs.prediction_cases import WING_ANGLES_DEG

LITTLE = 0.02  # share of largest lift that counts as a change nobody would notice (own choice)
CLEAR = 0.05  # share that a pilot would (own choice: 2.5 % of speed, 1 kt of 40)
SAME_KT = 0.2  # falls this near each other are no order of merit (own choice) [kt]
FEW_KT = 0.5  # tiers this near agree (own choice) [kt]
TIERS = ("seconds", "minutes")
NAMES = {"seconds": "quick tier", "minutes": "minutes tier"}
Record = Mapping[str, Any]
Answer = tuple[str, bool | None]  # in words, and whether it agrees
NO_ANSWER: Answer = ("no answer", None)


def changes_at(setting: Record, row: Record, tier: str, angle: float) -> float | None:
    """Change of the wing's lift by a row at a wing angle, as a share of the clean wing's largest lift.

    Parameters
    ----------
    setting, row : mapping
        Of a second opinion's record.
    tier : str
        ``"seconds"`` or ``"minutes"``.
    angle : float
        Wing angle [deg], one of those computed.

    Returns
    -------
    float or None
        ``None`` where either wing has no answer there.
    """
    clean, vanes = setting["clean"][tier], row[tier]
    if clean["curve"] is None or vanes["curve"] is None or not clean["cl_max"]:
        return None
    k = WING_ANGLES_DEG.index(angle)
    pair = [curve["curve"]["cl"][k] for curve in (clean, vanes)]
    if pair[0] is None or pair[1] is None:
        return None
    return float((pair[1] - pair[0]) / clean["cl_max"])


def best_place(setting: Record, tier: str) -> tuple[Record, float] | None:
    """The single row with the largest fall of stall speed at a setting, and the fall [kt]."""
    found = [
        (row, row[tier]["fall"]["kt"])
        for row in setting["rows"]
        if row["single"] and row[tier]["fall"] is not None
    ]
    return max(found, key=lambda pair: pair[1], default=None)


def findings(settings: Sequence[Record]) -> list[str]:
    """Return what the tiers say and where they disagree, a sentence or two for each flap setting."""
    return [sentence for setting in settings for sentence in _of_setting(setting)]


def _of_setting(setting: Record) -> Iterator[str]:
    flap = f"Flap {setting['flap_deg']:.0f}°"
    if setting["problem"]:
        yield f"{flap}: {setting['problem']}."
        return
    clean = [setting["clean"][tier] for tier in TIERS]
    if None in (clean[0]["cl_max"], clean[1]["cl_max"]):
        why = "; ".join(
            f"{NAMES[tier]}: {one['problem']}"
            for tier, one in zip(TIERS, clean, strict=True)
            if one["problem"]
        )
        yield f"{flap}, without vanes: no largest lift ({why})."
    else:
        said = [
            f"by the {NAMES[tier]} {one['stall_speed']['kt']:.1f} kt at {one['stall_angle_deg']:.1f}°"
            + (
                ", where answers end while lift still rises: its stall is not reached"
                if one["rising"]
                else ""
            )
            for tier, one in zip(TIERS, clean, strict=True)
        ]
        yield f"{flap}, without vanes, stall (wing angle) {'; '.join(said)}."
    if setting.get("on_grids"):
        yield from _grids_say(flap, setting["on_grids"])
    best = [best_place(setting, tier) for tier in TIERS]
    several = sum(row["single"] for row in setting["rows"]) > 1
    for tier, found in zip(TIERS, best, strict=True):
        if found is None:
            yield f"{flap}, {NAMES[tier]}: no gain of a row can be told."
    if best[0] is None or best[1] is None:
        return
    quick, long = best[0][1], best[1][1]
    row = [found[0]["name"] for found in best if found is not None]
    if several:
        where = (
            f"both tiers put the best place {row[0]}"
            if row[0] == row[1]
            else f"the quick tier puts the best place {row[0]}, the minutes tier {row[1]}"
        )
    else:
        where = f"the row {row[0]}"
    smaller = min(zip(TIERS, best, strict=True), key=lambda pair: pair[1][1] if pair[1] is not None else 0.0)
    rising = any(
        found is not None and found[0][tier]["rising"] for tier, found in zip(TIERS, best, strict=True)
    )
    least = "; lift still rises where answers end, so at least that is computed" if rising else ""
    if abs(quick - long) <= FEW_KT:
        agree = "they agree"
    elif smaller[1] is not None and smaller[1][0][smaller[0]]["rising"]:
        agree = "how far they differ cannot be told there"
    else:
        agree = "they disagree: believe the smaller fall"
    yield (
        f"{flap}: {where}; stall speed falls by {quick:.1f} kt and {long:.1f} kt as computed,"
        f" uncalibrated{least}; {agree}."
    )


def _grids_say(flap: str, bands: Record) -> Iterator[str]:
    """What the grid alone leaves open in the gain of a row, near the clean section's largest lift."""
    last = bands["gain_at"][-1]
    where = f"the row at {100 * bands['station']:.0f} %, section lift at {last['alpha_deg']:.0f}°"
    grids = ", ".join(bands["grids"])
    if last["band"] is None:
        yield f"{flap}, {where}: {last['remark']} ({grids})."
        return
    values = ", ".join(f"{value:+.3f}" for value in last["values"])
    yield (
        f"{flap}, {where}: the minutes tier's gain is {values} on the grids {grids}; the grid alone leaves"
        f" \u00b1{last['band']:.3f} open."
    )


def beside_practice(settings: Sequence[Record]) -> list[dict[str, Any]]:
    """Set both tiers beside what common practice says; neither is tuned to it.

    Returns
    -------
    list of dict
        ``said`` (common practice, no source) and, for each tier, ``found`` in words and ``agrees``, ``None``
        where there is no answer.
    """
    known = [one for one in settings if not one["problem"]]
    if not known:
        return []
    full = max(known, key=lambda one: float(one["flap_deg"]))
    lines: list[tuple[str, Callable[[str], Answer]]] = [
        ("little change at 0°", lambda tier: _little(known, tier, 0.0)),
        ("little change near 15°", lambda tier: _little(known, tier, 15.0)),
        ("a clear gain near 25° with full flap", lambda tier: _clear(full, tier, 25.0)),
        ("rows at 3 % ahead of rows at 7 %, full flap", lambda tier: _ahead(full, tier)),
        ("two rows in tandem no better than one good row", lambda tier: _tandem(known, tier)),
    ]
    return [{"said": said, **{tier: _answer(by(tier)) for tier in TIERS}} for said, by in lines]


def _answer(answer: Answer) -> dict[str, Any]:
    return {"found": answer[0], "agrees": answer[1]}


def _little(settings: Sequence[Record], tier: str, angle: float) -> Answer:
    found = [
        change
        for setting in settings
        for row in setting["rows"]
        if (change := changes_at(setting, row, tier, angle)) is not None
    ]
    if not found:
        return NO_ANSWER
    most = max(found, key=abs)
    return f"at most {100 * most:+.1f} %", abs(most) < LITTLE


def _clear(setting: Record, tier: str, angle: float) -> Answer:
    found = [c for row in setting["rows"] if (c := changes_at(setting, row, tier, angle)) is not None]
    return NO_ANSWER if not found else (f"at best {100 * max(found):+.1f} %", max(found) > CLEAR)


def _ahead(setting: Record, tier: str) -> Answer:
    falls = {
        round(row["stations"][0], 4): row[tier]["fall"]["kt"]
        for row in setting["rows"]
        if row["single"] and row[tier]["fall"] is not None
    }
    fore, aft = falls.get(0.03), falls.get(0.07)
    if fore is None or aft is None:
        return NO_ANSWER
    return f"{fore:.1f} kt beside {aft:.1f} kt", fore > aft + SAME_KT


def _tandem(settings: Sequence[Record], tier: str) -> Answer:
    words, agrees = [], []
    for setting in settings:
        both = next((row for row in setting["rows"] if len(row["stations"]) > 1), None)
        one = best_place(setting, tier)
        if both is None or one is None or both[tier]["fall"] is None:
            continue
        fall = both[tier]["fall"]["kt"]
        words.append(f"{fall:.1f} kt beside {one[1]:.1f} kt")
        agrees.append(fall <= one[1] + SAME_KT)
    return ("; ".join(words), all(agrees)) if words else NO_ANSWER
