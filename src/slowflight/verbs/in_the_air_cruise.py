"""Cruise and climb with the row, and maneuvering speed, for the whole aircraft."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from slowflight import units
from slowflight.air import standard_air
from slowflight.compare import bands
from slowflight.compare.row_answer import cruise_lift, cruise_loss
from slowflight.flight_state import cruise, structure
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.in_the_air_setting import AtSetting, feet_a_minute
from slowflight.verbs.prediction_answers import at_section_angle, seen_at
from slowflight.verbs.prediction_rows import sections_of

CLIMB = 1.5  # speed of climb over the stall speed, where drag in climb is taken (own choice)
HIGHER = 3000.0 * 0.3048  # [m]


def cruise_record(at: AtSetting) -> dict[str, Any] | None:
    """Return what the row costs in cruise and climb, flaps up, as plain data."""
    if at.vanes is None:
        return None
    flight = at.study.flight
    found, climb = (
        cruise.cruise_cost(at.vanes, at.clean, at.rough, cl=cl, own=_vanes_own(at, cl))
        for cl in (cruise_lift(flight), at.clean.cl_max / CLIMB**2)
    )
    stall = at.true_stall("clean")
    assert stall is not None
    record: dict[str, Any] = {
        "run_worth_counts": found.run_worth,
        "at_density_altitude_m": at.study.file.question.density_altitude,
        "climb_over_stall": CLIMB,
    }
    for name, counts, slow in (
        ("laminar", found.laminar, climb.laminar),
        ("turbulent", found.turbulent, climb.turbulent),
    ):
        lost = None if counts is None else cruise_loss(flight, counts=counts)
        rate = (
            None
            if slow is None
            else cruise.climb_lost(
                counts=slow,
                speed=CLIMB * stall,
                density=flight.density,
                area=flight.area,
                weight=at.body.weight,
            )
        )
        record[name] = {
            "counts": None
            if counts is None
            else numbers.banded(bands.uncalibrated(counts, why=bands.COST_WHY)),
            "cruise_loss": None
            if lost is None
            else numbers.speed(bands.uncalibrated(lost, why=bands.COST_WHY)),
            "climb_lost_ft_min": None
            if rate is None
            else numbers.banded(bands.uncalibrated(feet_a_minute(rate), why=bands.COST_WHY)),
        }
    record["density"] = _density(at)
    return record


def _vanes_own(at: AtSetting, cl: float) -> float | None:
    """Drag coefficient of the vanes themselves at a wing lift, over the wing's area [-]."""
    angle = None if at.vanes is None else at.vanes.angle_of(cl)
    if angle is None or at.row is None or at.row.lift is None:
        return None
    row, wing = at.row.row, at.study.file.wing
    y = at.answers.middle_of(row)
    seen = seen_at(at.row.lift, angle, y=y)
    if seen is None:
        return None
    sections = sections_of(at.answers, at.row)
    own = at_section_angle(
        sections[wing.stations.index(wing.neighbors(y)[0])], math.degrees(seen), "cd_vanes"
    )
    covered = (row.span_to or wing.semi_span) - (row.span_from or 0.0)
    return None if own is None else own * min(1.0, covered / wing.semi_span)


def _density(at: AtSetting) -> list[dict[str, float]]:
    """The clean stall speed as the indicator has it and as the ground has it, at two density altitudes."""
    here = at.study.file.question.density_altitude
    made = []
    for altitude in (here, here + HIGHER):
        speed = replace(at.study.flight, density=standard_air(altitude=altitude).density).speed(
            at.clean.cl_max
        )
        made.append({"density_altitude_m": altitude, "true_kt": units.express(speed, "kt")})
    return made


def maneuvering_record(at: AtSetting) -> dict[str, Any] | None:
    """Return maneuvering speeds, flaps up, as plain data; nothing without the limit load factor."""
    limit = at.said.load_factor
    if limit is None:
        return None
    found: dict[str, Any] = {"load_factor": limit}
    stalls = {}
    for name, _ in at.wings():
        speed = at.record[f"stall_speed_{name}"]
        stalls[name] = speed["m_s"]
        found[name] = {
            key: structure.maneuvering_speed(stall_speed=value, load_factor=limit)
            for key, value in speed.items()
        }
    placard = at.said.maneuvering_speed
    sentences = []
    if "vanes" in stalls:
        sentences.append(
            f"Maneuvering speed goes DOWN with the stall speed: predicted {found['clean']['kt']:.0f} kt"
            " without"
            f" vanes, {found['vanes']['kt']:.0f} kt with them at {limit:g} g."
        )
    if placard is not None:
        loads = {name: structure.load_at(speed=placard, stall_speed=stall) for name, stall in stalls.items()}
        found["load_at_placard"] = loads
        worst = max(loads.values())
        if worst > limit:
            sentences.append(
                f"At the placarded {units.express(placard, 'kt'):.0f} kt full back stick would pull"
                f" {worst:.1f} g, more than the limit of {limit:g} g: it has to come down with the stall."
            )
    found["sentence"] = " ".join(sentences)
    return found
