"""A wing over its angles as plain data: lift, drag, the speed that carries the weight, where air lets go."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from slowflight import units
from slowflight.air import equivalent_airspeed
from slowflight.flow.lifting_line import WingLift
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.prediction_answers import at_section_angle, seen_at
from slowflight.verbs.prediction_cases import WING_ANGLES_DEG, Study

LEAST_SPEED_LIFT = 0.2  # below this lift coefficient no speed is shown: the aircraft flies no faster


def curve_record(
    lift: WingLift, sections: Sequence[Mapping[str, Any]], *, study: Study, y: float
) -> dict[str, Any]:
    """Return a wing's curve as plain data.

    Parameters
    ----------
    lift : WingLift
    sections : sequence of mapping
        Section results, one for each station, root first.
    study : Study
    y : float
        Where along the span the section stands whose separation and lift are told [m].
    """
    wing = study.file.wing
    index = wing.stations.index(wing.neighbors(y)[0])
    seen = [
        seen_at(lift, float(a), y=y) if ok else None
        for a, ok in zip(lift.angles, lift.converged, strict=True)
    ]

    def there(name: str) -> list[float | None]:
        found = sections[index]
        return [None if s is None else at_section_angle(found, math.degrees(s), name) for s in seen]

    return {
        "cl_max": lift.cl_max_continued,
        "cl_max_first_station": lift.cl_max_first_station,
        "stall_starts_at_m": lift.y_first_station,
        "wing_angles_deg": list(WING_ANGLES_DEG),
        "cl": numbers.plain(lift.cl),
        "cd": numbers.plain(lift.cd_induced + lift.cd_profile),
        "speed_kt": [
            calibrated_knots(study, study.flight.speed(float(cl))) if ok and cl > LEAST_SPEED_LIFT else None
            for cl, ok in zip(lift.cl, lift.converged, strict=True)
        ],
        "separation": [None if s is None or s >= 0.995 else s for s in there("separation_upper")],
        "section_angles_deg": [numbers.degrees(s) for s in seen],
        "section_cl": there("cl"),
        "converged": [bool(ok) for ok in lift.converged],
    }  # fmt: skip


def calibrated_knots(study: Study, true: float) -> float:
    """Return a true airspeed [m/s] as the calibrated one [kt]."""
    return units.express(equivalent_airspeed(true=true, density=study.flight.density), "kt")
