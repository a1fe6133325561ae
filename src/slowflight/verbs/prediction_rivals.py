"""Other explanations of a slower stall, computed on the same wing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from slowflight import air, units
from slowflight.compare.rivals import PRESSURE_ERROR, Rival, lighter, misread
from slowflight.errors import SlowflightError
from slowflight.flow.lifting_line import WingLift
from slowflight.study.section_case import SectionCase
from slowflight.verbs.prediction_answers import lift_at
from slowflight.verbs.prediction_cases import ROUGH_NOSE, Study
from slowflight.verbs.prediction_wing import clean_cases, clean_wing
from slowflight.wing.vane_row import VaneRow

LIGHTER = 20.0  # [kg]
ONE_DEGREE = math.radians(1.0)


def rival_cases(study: Study, row: VaneRow | None) -> list[SectionCase]:
    """Cases that the rival explanations need."""
    return [*clean_cases(_tripped(study, row)), *clean_cases(study.rough())]


def rivals(
    study: Study, results: Mapping[str, Mapping[str, Any]], *, clean: WingLift, row: VaneRow | None
) -> tuple[Rival, ...]:
    """Compute what else would change the speed that is read at the stall.

    Parameters
    ----------
    study : Study
    results : mapping
        Section results by key.
    clean : WingLift
        The clean wing, with its maximum.
    row : VaneRow or None
        The best row, whose place a plain strip takes.

    Returns
    -------
    tuple of Rival
    """
    assert clean.cl_max_continued is not None
    flight = study.flight
    stall = _calibrated(study, flight.speed(clean.cl_max_continued))

    def changed(other: Study, name: str) -> float | None:
        try:
            lift = clean_wing(other, results, name=name).lift
        except SlowflightError:
            return None
        if lift.cl_max_continued is None:
            return None
        return _calibrated(study, flight.speed(lift.cl_max_continued)) - stall

    station = ROUGH_NOSE[0] if row is None else row.station
    found = [
        Rival(
            name=f"a strip of zig-zag tape at {100 * station:.0f} % in place of the row",
            change=changed(_tripped(study, row), "tripped"), real=True,
            how="predicted: the layer made turbulent there, no vortices",
        ),
        Rival(
            name="bugs or rain on the nose", change=changed(study.rough(), "rough"), real=True,
            how=f"predicted: both layers made turbulent at {100 * ROUGH_NOSE[0]:.0f} % of chord",
        ),
        Rival(
            name=f"{LIGHTER:.0f} kg less on board", real=True, how="arithmetic: root of the weight",
            change=_calibrated(
                study,
                lighter(
                    kilograms=LIGHTER, mass=flight.mass, area=flight.area, density=flight.density,
                    cl_max=clean.cl_max_continued,
                ),
            ),
        ),
        _degree(study, clean, stall),
        Rival(
            name="the static port's error changing with the angle", change=misread(stall), real=False,
            how=f"arithmetic: half a pressure coefficient of {PRESSURE_ERROR} (common practice, no source)",
        ),
    ]  # fmt: skip
    flap = study.file.flap
    if flap is not None and flap.kind in ("hung", "slotted"):
        found.append(Rival(name="another flap gap", change=None, real=True, how="not yet predicted"))
    found.append(
        Rival(
            name="slowing faster than 1 kt a second",
            change=None,
            real=False,
            how="not predicted: hold 1 kt a second",
        )
    )
    return tuple(found)


def _degree(study: Study, clean: WingLift, stall: float) -> Rival:
    change = None
    if clean.angle_continued is not None:
        cl = lift_at(clean, clean.angle_continued - ONE_DEGREE)
        if cl is not None:
            change = _calibrated(study, study.flight.speed(cl)) - stall
    return Rival(
        name=f"stopping {units.format_angle(ONE_DEGREE, 'deg', decimals=0)} short of the stall",
        change=change, real=True, how="predicted: the clean wing's lift there",
    )  # fmt: skip


def _tripped(study: Study, row: VaneRow | None) -> Study:
    station = ROUGH_NOSE[0] if row is None else row.station
    return study.tripped(station, None)


def _calibrated(study: Study, speed: float) -> float:
    return air.equivalent_airspeed(true=abs(speed), density=study.flight.density) * (1 if speed >= 0 else -1)
