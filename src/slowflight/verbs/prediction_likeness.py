"""Measured cases beside the wing of a prediction, in a line each."""

from __future__ import annotations

from slowflight.air import reynolds_number
from slowflight.compare.evidence.recorded import recorded_errors
from slowflight.compare.likeness import likeness
from slowflight.verbs.prediction_cases import Study


def measured_alike(study: Study, clean_maximum: float | None) -> list[str]:
    """Say how many measured cases are like this wing's section at half of each side's span, near the stall.

    Parameters
    ----------
    study : Study
    clean_maximum : float or None
        Lift coefficient of the wing that sets the speed; cruise stands in where there is none.
    """
    wing, flight = study.file.wing, study.flight
    station = min(wing.stations, key=lambda s: abs(s.span_station - 0.25 * wing.span))
    speed = flight.cruise_speed if clean_maximum is None else flight.speed(clean_maximum)
    reynolds = reynolds_number(speed=speed, chord=station.chord, air=study.air)
    found = likeness(station.section, reynolds=reynolds, errors=recorded_errors(tier="integral"))
    return list(found.sentences())
