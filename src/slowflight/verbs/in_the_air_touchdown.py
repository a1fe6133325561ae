"""Approach, touchdown, view over the nose: what the attitude permits at one flap setting."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from slowflight import units
from slowflight.air import equivalent_airspeed, true_airspeed
from slowflight.errors import SlowflightError
from slowflight.flight_state import held_off, landing, phone
from slowflight.flight_state.curve import WingCurve
from slowflight.flow.lifting_line import wing_lift
from slowflight.uncertainty import Banded, exactly
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.in_the_air_setting import AtSetting
from slowflight.verbs.prediction_cases import WING_ANGLES_DEG
from slowflight.verbs.prediction_wing import SMOOTHING
from slowflight.wing.in_the_air import NOSE_WHEEL

FREE = (
    "the height of the wing is not known: no ground effect, touchdown is shown too fast rather than too slow"
)
NEAR = "with the ground's mirror image at the height of the wing standing; its largest lift is not credited"
WHEELS, SKID = "on all wheels", "with the tail skid on the ground"
STEP = math.radians(1.0)  # over which the slope of a lift curve is taken
STRAIGHT = (math.radians(3.0), math.radians(6.0))  # short of the stall, where a lift curve is still straight
STAND_IN = "1.3 times the clean stall speed (common practice, no source)"


def touchdown_record(at: AtSetting) -> dict[str, Any]:
    """Return what the undercarriage permits, as plain data."""
    wing, aircraft, said = at.study.file.wing, at.study.file.aircraft, at.said
    on_wheels = aircraft.three_point_attitude + wing.incidence
    cautions: list[str] = []
    if said.on_rib is not None:
        turned = phone.turned_round(*said.on_rib, expected=on_wheels)
        if turned.caution:
            cautions.append(turned.caution)
        else:
            on_wheels = turned.angle  # read on the rib itself
    found: dict[str, Any] = {
        "gear": said.gear,
        "wing_angle_deg": math.degrees(on_wheels),
        "fuselage_deg": math.degrees(on_wheels - wing.incidence),
        "ground_effect": NEAR if said.wing_height is not None else FREE,
        "words": SKID if said.gear == NOSE_WHEEL else WHEELS,
        "cautions": cautions,
    }
    found["bands"] = held_off.WHY
    touched: dict[str, Banded] = {}
    held: dict[str, float] = {}
    doubt = 0.0
    strikes = landing.TAIL if said.gear == NOSE_WHEEL else landing.GEAR
    for name, free in at.wings():
        try:
            near = _near_the_ground(at, name, free)
        except SlowflightError as problem:
            near, found["ground_effect"] = free, FREE
            cautions.append(f"{problem}; the ground is left out")
        touch = landing.touchdown(near, free, on_wheels=on_wheels, **at.air)
        if touch is not None:
            doubt = _doubt(at, near, angle=touch.angle)
            held[name] = _held(at, near, angle=on_wheels)
            touched[name] = held_off.slowest(held[name], doubt=doubt, stall=at.stall_banded(name))
        found[name] = numbers.speed(touched[name]) if name in touched else None
        found[f"limit_{name}"] = (
            None if touch is None else strikes if touch.limit == landing.GEAR else touch.limit
        )
    found.setdefault("vanes", None)
    found.setdefault("limit_vanes", None)
    change = _change(at, held, doubt) if len(touched) == 2 else None
    found["change"] = change
    found["change_kt"] = None if change is None else change["kt"]
    found["tail_first"] = _tail_first(at, found)
    approach = _approach(at, held.get("clean"), doubt)
    return {**found, **approach, **_felt(at, on_wheels), "view": _view(at)}


def _held(at: AtSetting, near: WingCurve, *, angle: float) -> float:
    """Calibrated speed at an attitude by lift short of the stall, drawn on straight beyond it [m/s]."""
    cl = near.lift(min(angle, near.stall_angle))
    assert cl is not None
    if angle > near.stall_angle:
        high, low = (near.lift(near.stall_angle - back) for back in STRAIGHT)
        slope = 0.0 if high is None or low is None else (high - low) / (STRAIGHT[1] - STRAIGHT[0])
        cl += max(slope, 0.0) * (angle - near.stall_angle)
    return equivalent_airspeed(true=at.study.flight.speed(cl), density=at.body.density)


def _doubt(at: AtSetting, curve: WingCurve, *, angle: float) -> float:
    """Half-band of the speed at an attitude short of the stall [share of it]."""
    cl, below = curve.lift(angle), curve.lift(angle - STEP)
    free, bare = (None if one is None else one.lift(angle) for one in (at.clean, at.bare))
    assert cl is not None
    return held_off.speed_doubt(
        cl=cl,
        slope=0.0 if below is None else (cl - below) / STEP,
        angle=at.attitude_doubt,
        flap_adds=0.0 if bare is None or free is None else free - bare,
        mass_share=at.mass_doubt,
    )


def _change(at: AtSetting, held: dict[str, float], doubt: float) -> dict[str, float] | None:
    """What the row changes in the slowest touchdown."""
    row = at.record["row"]
    if row is None or row["fall"] is None:
        return None
    return numbers.speed(
        held_off.changed(
            clean=held["clean"], vanes=held["vanes"], doubt=doubt,
            stall=at.stall_banded("clean"), fall=at.banded(row["fall"]),
        )
    )  # fmt: skip


def _tail_first(at: AtSetting, found: dict[str, Any]) -> str:
    """Say below what speed, close to the ground, the tail touches before the main wheels."""
    ends = [
        f"{found[name]['kt']:.0f} kt {words}"
        for name, words in (("clean", "clean"), ("vanes", "with the row"))
        if found[name] is not None and found[f"limit_{name}"] in (landing.GEAR, landing.TAIL)
    ]
    if not ends:
        return ""
    what = "tail skid" if at.said.gear == NOSE_WHEEL else "tail wheel"
    return f"Held off to less than {' and '.join(ends)}, predicted, the {what} touches first."


def _near_the_ground(at: AtSetting, name: str, free: WingCurve) -> WingCurve:
    height = at.said.wing_height
    if height is None:
        return free
    lift = wing_lift(
        at.study.file.wing,
        curve_at=at.clean_spans if name == "clean" else at.row_spans,
        angles=np.radians(WING_ANGLES_DEG),
        smoothing=SMOOTHING,
        ground_height=height,
        dihedral=at.said.dihedral or 0.0,
    )
    use = lift.converged & np.isfinite(lift.cl)
    angles, cl = lift.angles[use], lift.cl[use]
    if angles.size < 2:
        return free
    # the angle at which it lifts as much as it ever does in free air; more is not credited
    over = np.flatnonzero(cl >= free.cl_max)
    last = lift.angle_continued if lift.angle_continued is not None else float(angles[-1])
    return WingCurve(
        angles=angles,
        cl=cl,
        cd=(lift.cd_induced + lift.cd_profile)[use],
        cd_profile=lift.cd_profile[use],
        cl_max=free.cl_max,
        stall_angle=float(angles[over[0]]) if over.size else last,
    )


def _approach(at: AtSetting, held: float | None, doubt: float) -> dict[str, Any]:
    """The slow approach, and how much faster it is than the touchdown."""
    stall, slow = at.true_stall("clean"), at.stall_banded("clean")
    assert stall is not None
    given = at.said.approach_speed
    true = (
        landing.APPROACH * stall
        if given is None
        else true_airspeed(equivalent=given, density=at.body.density)
    )
    angle = at.clean.angle_of(2.0 * at.body.weight / (at.body.density * at.body.area * true**2))
    over = None
    if held is not None:
        over = held_off.margin(held=held, doubt=doubt, stall=slow, approach=given, over=landing.APPROACH)
    return {
        "approach": at.speed(true, like="clean") if given is None else numbers.speed(exactly(given)),
        "approach_from": STAND_IN if given is None else "as flown, by wing.toml",
        "approach_wing_angle_deg": None if angle is None else math.degrees(angle),
        "approach_over_stall": true / stall,
        "approach_less_touchdown": None if over is None else numbers.speed(over),
        "approach_less_touchdown_kt": None if over is None else units.express(over.value, "kt"),
    }


def _felt(at: AtSetting, on_wheels: float) -> dict[str, Any]:
    if at.vanes is None:
        return {"felt_from_deg": None, "sentence": ""}
    incidence = at.study.file.wing.incidence
    felt = landing.felt_from(at.clean, at.vanes, **at.air)
    speed = None
    if felt is not None:
        true = landing.speed_at(at.clean, angle=min(felt, at.clean.stall_angle), **at.air)
        speed = None if true is None else (at.speed(true, like="clean") or {}).get("m_s")
    return {
        "felt_from_deg": None if felt is None else math.degrees(felt),
        "sentence": landing.below_this_attitude(
            felt,
            on_wheels=on_wheels,
            incidence=incidence,
            speed=speed,
            standing=SKID if at.said.gear == NOSE_WHEEL else WHEELS,
        ),
    }


def _view(at: AtSetting) -> dict[str, Any] | None:
    """How slow the place to land is still seen over the nose."""
    below = at.said.over_the_nose
    if below is None:
        return None
    limit = landing.sees_the_spot_up_to(over_the_nose=below, incidence=at.study.file.wing.incidence)
    speeds: dict[str, Any] = {}
    for name, curve in at.wings():
        hidden = limit < curve.stall_angle
        true = landing.speed_at(curve, angle=limit, **at.air) if hidden else None
        slow = at.stall_banded(name)
        if true is not None:
            calibrated = equivalent_airspeed(true=true, density=at.body.density)
            slow = held_off.slowest(calibrated, doubt=_doubt(at, curve, angle=limit), stall=slow)
        speeds[name] = numbers.speed(slow)
        speeds[f"{name}_hides_first"] = hidden
    return {"wing_angle_deg": math.degrees(limit), **speeds}
