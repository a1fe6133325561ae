"""Whether the elevator runs out before the wing stalls, and what could be tried then."""

from __future__ import annotations

import math
from typing import Any

from slowflight import units
from slowflight.air import SEA_LEVEL_DENSITY
from slowflight.flight_state import trim
from slowflight.verbs.in_the_air_setting import AtSetting
from slowflight.verbs.prediction_answers import at_section_angle, seen_at
from slowflight.verbs.prediction_cases import is_up

RUNS_OUT = "the elevator runs out before the wing stalls"
HOLDS = "the wing stalls before the elevator runs out"
OPEN = "cannot tell whether wing or elevator comes first"
# Of rows under the tail (common practice, no source) [m].
AHEAD_OF_HINGE, TAIL_PITCH = 0.08, 0.030
BY_STICK = "stick positions, carried on as a straight line against lift"
BY_TAIL = "the tail's sizes; fuselage, slipstream and the bend near the tail's own stall are left out"


def elevator_record(at: AtSetting) -> dict[str, Any] | None:
    """Return what the elevator permits, as plain data; nothing where neither stick nor tail is described."""
    found: dict[str, Any] = {}
    for name, _ in at.wings():
        one = _stick(at, name) or _tail(at, name)
        if one is not None:
            found[name] = one
    load = _tail_load(at)
    if not found and load is None:
        return None
    doubtful = any(one["finding"] != HOLDS for one in found.values())
    said = [*([_sentence(found)] if found else []), *([] if load is None else [load["sentence"]])]
    return {
        **found,
        "tail_load": load,
        "sentence": " ".join(said),
        "next_steps": _next_steps(at) if doubtful else [],
    }


def _balances(at: AtSetting) -> list[float]:
    """Centers of gravity flown, the foremost first [mean chords]."""
    if at.said.balance is not None:
        return list(at.said.balance)
    one = at.study.file.aircraft.centre_of_gravity
    return [] if one is None else [one]


def _tail_load(at: AtSetting) -> dict[str, Any] | None:
    """What the load on the tail does to the clean stall speed; nothing without arm and balance."""
    arm, wing = at.said.tail_arm, at.study.file.wing
    moment = _wing_moment(at, at.clean.stall_angle)
    balances = _balances(at)
    if arm is None or moment is None or not balances:
        return None
    stall = at.record["stall_speed_clean"]["kt"]
    changes = [
        stall
        * (
            trim.stall_with_tail_load(
                cl=at.clean.cl_max, wing_moment=moment, balance=h, arm=arm, wing_chord=wing.mean_chord
            )
            - 1.0
        )
        for h in balances
    ]
    shown = " to ".join(f"{change:+.1f}" for change in changes)
    return {
        "balance": balances,
        "change_kt": changes,
        "sentence": (
            f"The load on the tail moves the clean stall speed by {shown} kt with the center of gravity at"
            f" {' and '.join(f'{100 * h:.0f} %' for h in balances)} of the mean chord: compare before and"
            " after at one loading."
        ),
    }


def _finding(low: float, high: float) -> str:
    """Judge by the share of travel that the stall takes, between its ends."""
    return RUNS_OUT if low > 1.0 else HOLDS if high < 1.0 else OPEN


def _stick(at: AtSetting, name: str) -> dict[str, Any] | None:
    if len(at.said.stick) < 2 or not is_up(at.setting):
        return None
    curve = at.clean if name == "clean" else at.vanes
    assert curve is not None
    # calibrated speeds: those of the sea level's density
    line = trim.stick_line(at.said.stick, mass=at.body.mass, area=at.body.area, density=SEA_LEVEL_DENSITY)
    value, low, high = line.back(curve.cl_max)
    stop = trim.speed_of_stop(line, mass=at.body.mass, area=at.body.area, density=at.body.density)
    finding = _finding(low, high)
    return {
        "back_at_stall": {"value": value, "low": low, "high": high},
        "finding": finding,
        "stops_at": at.speed(stop, like=name) if finding != HOLDS else None,
        "from": BY_STICK,
    }


def _tail(at: AtSetting, name: str) -> dict[str, Any] | None:
    said, file = at.said, at.study.file
    sizes = (said.tail_span, said.tail_chord, said.tail_arm, said.tail_incidence)
    travel = (said.elevator_share, said.elevator_up)
    balances = _balances(at)
    if not balances or any(size is None for size in (*sizes, *travel)):
        return None
    curve = at.clean if name == "clean" else at.vanes
    assert curve is not None
    tail = trim.Tail(
        span=said.tail_span or 0.0,
        chord=said.tail_chord or 0.0,
        arm=said.tail_arm or 0.0,
        incidence=(said.tail_incidence or 0.0) - file.wing.incidence,
        elevator_share=said.elevator_share or 1.0,
        elevator_up=said.elevator_up or 0.0,
    )
    moment = _wing_moment(at, curve.stall_angle)
    if moment is None:
        return None
    ups = [
        trim.elevator_to_trim(
            tail,
            wing_angle=curve.stall_angle,
            cl=curve.cl_max,
            wing_moment=moment,
            balance=balance,
            wing_area=file.wing.area,
            wing_chord=file.wing.mean_chord,
            aspect_ratio=file.wing.aspect_ratio,
        )
        for balance in balances
    ]
    up = max(ups)  # the foremost loading needs most
    share = up / tail.elevator_up
    doubt = trim.TAIL_BAND * max(1.0, abs(share))
    return {
        "elevator_up_deg": math.degrees(up),
        "elevator_up_by_balance_deg": [math.degrees(one) for one in ups],
        "back_at_stall": {"value": share, "low": share - doubt, "high": share + doubt},
        "finding": _finding(share - doubt, share + doubt),
        "stops_at": None,
        "from": BY_TAIL,
    }


def _wing_moment(at: AtSetting, angle: float) -> float | None:
    """Moment of the section at half of the half-span, at the angle it sees there."""
    wing = at.study.file.wing
    y = 0.5 * wing.semi_span
    seen = seen_at(at.answers.clean, angle, y=y)
    if seen is None:
        return None
    sections = at.answers.clean_sections
    index = wing.stations.index(wing.neighbors(y)[0])
    highest = max(p["alpha_deg"] for p in sections[index]["points"] if p["converged"])
    return at_section_angle(sections[index], min(math.degrees(seen), highest), "cm")


def _sentence(found: dict[str, Any]) -> str:
    said = []
    for name, one in found.items():
        words = "without vanes" if name == "clean" else "with the row"
        back = one["back_at_stall"]
        said.append(
            f"{words} {one['finding']}: at the stall it would take {100 * back['value']:.0f} % of the travel"
            f" ({100 * back['low']:.0f} to {100 * back['high']:.0f} %)"
        )
    return "Predicted, " + "; ".join(said) + f"; by {next(iter(found.values()))['from']}."


def _next_steps(at: AtSetting) -> list[str]:
    said = at.said
    steps = [
        "measure the stick at the slowest steady speed, at the foremost and the aftmost loading you fly: more"
        " aft needs less elevator, inside the limits",
        "check that the elevator reaches its stop with the stick fully back, and the travel with a"
        " protractor",
        "the slowest speed is then one of full back stick, not a stall: compare before and after at one"
        " loading",
    ]
    row = (
        "an option is a row on the underside of the FIXED tail, 80 mm ahead of the elevator's hinge, 30 mm"
        " apart, both halves alike (common practice, no source), never on the elevator; its effect is NOT"
        " predicted here"
    )
    if said.tail_span is not None and said.tail_chord is not None and said.elevator_share is not None:
        hinge = (1.0 - said.elevator_share) * said.tail_chord
        if said.elevator_share < 1.0 and hinge > AHEAD_OF_HINGE:
            count = int(0.5 * said.tail_span / TAIL_PITCH)
            row += (
                f". For your tail: {units.format_length(hinge - AHEAD_OF_HINGE, 'mm', decimals=0)} from its"
                f" nose, {count} on each half, the first"
                f" {units.format_length(0.5 * TAIL_PITCH, 'mm', decimals=0)} from the centerline"
            )
    return [*steps, row]
