"""What one lost pair of vanes does at one flap setting, stick centered and stick over."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from slowflight.errors import SlowflightError
from slowflight.flight_state import lost_vane
from slowflight.flow.lifting_line import whole_wing
from slowflight.verbs.in_the_air_roll import Spans, flaperon_wing
from slowflight.verbs.in_the_air_setting import AtSetting

WHY = "a lost vane rests on no measured case (0): nothing to twice the predicted"
PAST = (0.0, math.radians(1.0), math.radians(2.0), math.radians(3.0))  # the credited stall [rad]
FELT = 0.02  # of full stick's moment: below this nobody feels it (own choice)
NO_ANSWER = "what a lost vane does is not predicted: no answer near the stall"
RULE = (
    "Count the row before every flight. A vane that stands askew counts as lost. After any loss no slow"
    " flight until both halves are alike again: mend it, or take its mirror image off the other wing. A slip,"
    " a gust or a turn loads one wing more than this level flight does."
)
NOBODY_FEELS = "hardly anything you would feel"


def lost_record(
    at: AtSetting, roll_found: Mapping[str, Any], *, clean: Spans, vanes: Spans
) -> dict[str, Any] | None:
    """Return what one lost pair of vanes does along the row, as plain data; nothing without a row.

    Parameters
    ----------
    at : AtSetting
    roll_found : mapping
        As `roll_record` gives it.
    clean, vanes : mapping of float to sequence of SpanCurve
        One half at every computed flap setting, cut alike.
    """
    if at.row is None or at.vanes is None or not at.row_spans:
        return None
    try:
        angle = _stall_as_computed(at)
        centered = _places(at, angle, vanes=at.row_spans, bare=at.clean_spans, left=None)
        over = _stick_over(at, angle, roll_found, clean=clean, vanes=vanes)
    except SlowflightError:
        return {"places": [], "stick_over": [], "sentence": NO_ANSWER}
    if not centered:
        return {"places": [], "stick_over": [], "sentence": NO_ANSWER}
    control = _control(roll_found)
    return {
        "width_mm": 1e3 * at.row.row.pitch,
        "wing_angle_deg": math.degrees(angle),
        "places": _plain(centered, control),
        "stick_over": _plain(over, control),
        "why": WHY,
        "rule": RULE,
        "sentence": _sentence(centered, over, control),
    }


def _stall_as_computed(at: AtSetting) -> float:
    """Wing angle of largest lift with the row as computed, nothing held back: there a loss does most.

    Where lift as computed still rises when answers end, the farthest answered of a few angles past the stall
    that is credited.
    """
    assert at.vanes is not None
    credited = at.vanes.stall_angle
    asked = credited + np.array(PAST)
    found = whole_wing(at.study.file.wing, right=at.row_spans, angles=asked)
    if found.angle_max is not None:
        return max(found.angle_max, credited)
    answered = asked[found.converged]
    return credited if answered.size == 0 else float(answered[-1])


def _places(
    at: AtSetting, angle: float, *, vanes: Sequence[Any], bare: Sequence[Any], left: Sequence[Any] | None
) -> list[lost_vane.Lost]:
    assert at.row is not None
    row, wing = at.row.row, at.study.file.wing
    return lost_vane.lost_vanes(
        wing,
        vanes=vanes,
        bare=bare,
        row_from=row.span_from or 0.0,
        row_to=row.span_to or wing.semi_span,
        width=row.pitch,
        angle=angle,
        left=left,
    )


def _stick_over(
    at: AtSetting, angle: float, roll_found: Mapping[str, Any], *, clean: Spans, vanes: Spans
) -> list[lost_vane.Lost]:
    """The same on the half whose flaperon is down, as when a pilot picks that wing up."""
    if "up_deg" not in roll_found:
        return []
    up, down = math.radians(roll_found["up_deg"]), math.radians(roll_found["down_deg"])
    lowered, _ = flaperon_wing(at, vanes).half(at.setting, at.setting + down)
    raised, _ = flaperon_wing(at, vanes).half(at.setting, at.setting - up)
    bare, _ = flaperon_wing(at, clean).half(at.setting, at.setting + down)
    return _places(at, angle, vanes=lowered, bare=bare, left=raised)


def _plain(found: Sequence[lost_vane.Lost], control: float | None) -> list[dict[str, Any]]:
    return [
        {"y_m": lost.y, "moment": lost.moment, "share": None if control is None else lost.moment / control}
        for lost in found
    ]


def _control(roll_found: Mapping[str, Any]) -> float | None:
    """Rolling moment of full stick at 1.1 times the stall speed with vanes."""
    one = roll_found.get("vanes")
    if one is None or "problem" in one:
        return None
    moment = one["at"][-1]["moment"]
    return None if moment is None or moment["value"] <= 0.0 else float(moment["value"])


def _sentence(
    centered: Sequence[lost_vane.Lost], over: Sequence[lost_vane.Lost], control: float | None
) -> str:
    order = sorted(centered, key=lambda lost: -abs(lost.moment))
    outer, first = centered[-1], order[0]
    measure = "" if control is None else ", in shares of full stick's moment at 1.1 times the stall speed"
    text = (
        f"Predicted at the stall with the row{measure}: the outermost pair lost, at {outer.y:.1f} m,"
        f" {_does(outer, control)}; a loss matters most at {first.y:.1f} m, where it {_does(first, control)}"
    )
    if over:
        worst = max(over, key=lambda lost: abs(lost.moment))
        text += (
            f", and with that wing's flaperon down to pick it up at {worst.y:.1f} m, where it"
            f" {_does(worst, control)}"
        )
    places = ", ".join(f"{lost.y:.1f}" for lost in order[:3])
    return f"{text} (nothing to twice that). When counting, look first around {places} m from the centerline."


def _does(lost: lost_vane.Lost, control: float | None) -> str:
    if control is None:
        return f"rolls the wing by a coefficient of {lost.moment:+.4f}"
    share = lost.moment / control
    percent = f"{abs(100.0 * share):.0f} %"
    if abs(share) < FELT:
        return f"does {NOBODY_FEELS} ({percent})"
    return f"{'drops' if share > 0.0 else 'lifts'} that wing with {percent}"
