"""A sideslip with dihedral at one flap setting, set beside what full stick does."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from slowflight.errors import SlowflightError
from slowflight.flight_state import slip
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.in_the_air_roll import angles_of, banded
from slowflight.verbs.in_the_air_setting import AtSetting

MULTIPLES = (1.2, 1.1)
WHY = (
    "wing alone: fuselage, fin and rudder are left out, and a wing on top of a fuselage acts like some"
    " degrees of dihedral more; 40 % either way is a stated default"
)


def slip_record(at: AtSetting, rolls: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what a sideslip does, as plain data; nothing without dihedral.

    Parameters
    ----------
    at : AtSetting
    rolls : mapping
        As `roll_record` gives it.
    """
    rise = at.said.dihedral
    if not rise:
        return None
    found: dict[str, Any] = {
        "slip_deg": math.degrees(slip.SLIP),
        "dihedral_deg": math.degrees(rise),
        "why": WHY,
    }
    said = []
    for name, curve in at.wings():
        spans = at.clean_spans if name == "clean" else at.row_spans
        try:
            slipped = slip.slipped(at.study.file.wing, spans=spans, dihedral=rise, angles=angles_of(curve))
        except SlowflightError as problem:
            found[name] = {"problem": str(problem)}
            continue
        found[name] = _one(slipped, name, curve.cl_max, rolls, lambda cl, c=curve: c.angle_of(cl))
        found[name]["stall_angle_deg"] = math.degrees(curve.stall_angle)
        said.append(_said(found[name], name))
    found["sentence"] = (
        f"Predicted, in a slip of {math.degrees(slip.SLIP):.0f} deg with {math.degrees(rise):.1f} deg of"
        f" dihedral: {'; '.join(said)}."
        if said
        else ""
    )
    return found


def _one(
    slipped: slip.Slip, name: str, cl_max: float, rolls: Mapping[str, Any], angle_of: Any
) -> dict[str, Any]:
    full = {row["over_stall"]: row["moment"] for row in (rolls.get(name) or {}).get("at", ())}
    table = []
    for multiple in MULTIPLES:
        angle = angle_of(cl_max / multiple**2)
        moment = None if angle is None else slipped.at(angle)
        stick = full.get(multiple)
        table.append(
            {
                "over_stall": multiple,
                "moment": None if moment is None else banded(moment),
                "of_full_stick": None
                if moment is None or stick is None or stick["value"] <= 0.0
                else moment / stick["value"],
            }
        )
    return {
        "at": table,
        "stalls_first_from_deg": numbers.degrees(slipped.stalls_first_from()),
        "drops_from_deg": numbers.degrees(slipped.drops_from()),
    }


def _said(one: Mapping[str, Any], name: str) -> str:
    words = "without vanes" if name == "clean" else "with the row"
    shares = [row["of_full_stick"] for row in one["at"]]
    text = f"{words} the wing met first is lifted"
    if all(share is not None for share in shares):
        text += (
            f" with {100 * shares[0]:.0f} % of full stick's moment at 1.2 and {100 * shares[1]:.0f} % at 1.1"
            " times the stall speed"
        )
    drops, first = one["drops_from_deg"], one["stalls_first_from_deg"]
    stall = f" (the stall is at {one['stall_angle_deg']:.0f} deg)"
    if drops is not None:
        return f"{text}, and DROPS from a wing angle of {drops:.0f} deg on{stall}"
    if first is not None:
        return f"{text}, and stalls before the other from {first:.0f} deg on{stall}"
    return text
