"""What both tiers say about the wing, as plain data."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slowflight.compare.bands import uncalibrated
from slowflight.errors import Unconverged
from slowflight.flow.lifting_line import WingLift
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.opinion_findings import beside_practice, findings
from slowflight.verbs.opinion_rows import OpinionRow
from slowflight.verbs.prediction_answers import row_middle
from slowflight.verbs.prediction_cases import Study
from slowflight.verbs.prediction_curve import calibrated_knots, curve_record
from slowflight.verbs.prediction_wing import (
    Results,
    WingAnswer,
    clean_wing,
    wing_as_computed,
    with_credit,
)
from slowflight.wing.candidate import VaneCandidate

# Two published models of turbulence differ by that much of lift on NACA 4412 at 13.87 deg: 1.72 and 1.616
# (NASA, Turbulence Modeling Resource).
MODELS_APART = 0.06
SOURCES = ("NASATMR",)
TIERS = ("seconds", "minutes")
CAUTIONS = (
    "Slow flight and stalls kill. Everything here is predicted, by two computations; it clears no wing to be"
    " flown slower. Only flights decide.",
    "What vanes do is uncalibrated in both tiers, and both take it from the same march of the vortices: that"
    " they agree is no measurement.",
)
CONDITIONS = (
    "both tiers with layers turbulent from the nose, sections at one Reynolds number, that of the clean"
    " section's largest lift; the same lifting line carries both to the wing; below its lowest angle a lift"
    " curve of the minutes tier is drawn straight on"
)
BANDS = (
    "the band of a stall speed by the minutes tier is half of 6 % of largest lift, by which published models"
    " of turbulence differ, or half of what the two tiers differ by where that is more (own choice); the band"
    " of what a row gains is from nothing to twice the value, a stated default; gains and falls are as"
    " computed, and beside them is what the prediction would credit: no more than a section was ever measured"
    " to gain"
)
NOT_COUNTED = (
    "what the fuselage takes and what was not measured exactly are in the prediction's bands, not here"
)


@dataclass(frozen=True, kw_only=True)
class SettingOpinion:
    """Both tiers' section results at one flap setting.

    Parameters
    ----------
    setting : float
        [rad]
    study : Study or str
        As it was asked of both; text where it could not be.
    rows : tuple of OpinionRow
    seconds, minutes : mapping
        Section results by the key of the seconds tier's case.
    bands : mapping or None
        What the grid leaves open in the gain of the prediction's row, as of `grid_bands`.
    """

    setting: float
    study: Study | str
    rows: tuple[OpinionRow, ...]
    seconds: Results
    minutes: Results
    bands: Mapping[str, Any] | None = None

    def record(self) -> dict[str, Any]:
        """Return it as plain data."""
        flap = {"flap_deg": math.degrees(self.setting)}
        if isinstance(self.study, str):
            return {**flap, "problem": self.study}
        study = self.study
        clean = {tier: _clean(study, self._of(tier)) for tier in TIERS}
        asked = self.rows[0].rows[0]
        y = row_middle(study, asked, tip=study.file.wing.semi_span)
        written = {tier: _wing(study, clean[tier], y=y) for tier in TIERS}
        apart = _apart(*(written[tier]["cl_max"] for tier in TIERS))
        for tier in TIERS:
            written[tier]["stall_speed"] = _stall(study, written[tier]["cl_max"], apart)
        return {
            **flap,
            "problem": "",
            "y_m": y,
            "clean": {**written, "section": self._section(study, None, y)},
            "rows": [self._row(study, one, clean, y, apart) for one in self.rows],
            "on_grids": self.bands,
        }

    def _of(self, tier: str) -> Results:
        return self.seconds if tier == "seconds" else self.minutes

    def _row(
        self,
        study: Study,
        one: OpinionRow,
        clean: Mapping[str, WingAnswer | str],
        y: float,
        apart: float,
    ) -> dict[str, Any]:
        written: dict[str, Any] = {}
        for tier in TIERS:
            there = clean[tier]
            found = _with_row(study, self._of(tier), one)
            told: WingAnswer | str = found
            if not isinstance(there, str) and not isinstance(found, str):
                told = with_credit(study, self._of(tier), found, row=one.rows[0], clean=there.lift)
            written[tier] = {
                **_row_wing(study, there, found, y=y, apart=apart),
                "credited": _row_wing(study, there, told, y=y, apart=apart),
            }
        return {
            "name": one.name,
            "stations": [row.station for row in one.rows],
            "chosen": one.chosen,
            "single": one.single,
            **written,
            "section": self._section(study, one, y),
        }

    def _section(self, study: Study, one: OpinionRow | None, y: float) -> dict[str, Any]:
        """Points of the section in the middle of the row, by both."""
        station = study.file.wing.neighbors(y)[0]
        case = study.vanes(station, *(one.rows if one is not None else ()))
        both: dict[str, Any] = {"chord_m": station.chord}
        for tier in TIERS:
            result = self._of(tier)[case.key]
            keys = ("alpha_deg", "cl", "cd", "converged", "separation_upper", "warnings")
            solved = [point for point in result["points"] if not point.get("drawn")]
            both[tier] = [{key: point[key] for key in keys} for point in solved]
            both[f"{tier}_problem"] = result.get("problem", "")
        both["minutes_s"] = self.minutes[case.key].get("seconds")
        return both


def opinion_record(
    study: Study,
    settings: Sequence[SettingOpinion],
    *,
    prediction: Mapping[str, Any],
    vane: VaneCandidate,
    notes: Sequence[str],
    every: bool,
    grid: str,
) -> dict[str, Any]:
    """Return the whole as plain data.

    Parameters
    ----------
    study : Study
    settings : sequence of SettingOpinion
        In the owner's order.
    prediction : mapping
        On which the opinion is asked.
    vane : VaneCandidate
        In question.
    notes : sequence of str
        What could not be asked.
    every : bool
        Whether the rows of the sceptic's question are there.
    grid : str
    """
    written = [one.record() for one in settings]
    results = [r for one in settings for r in one.minutes.values()]
    warnings = dict.fromkeys([*notes, *(w for r in results for w in r["warnings"])])
    both = [*results, *(r for one in settings for r in one.seconds.values())]
    sources = dict.fromkeys([*SOURCES, *(key for r in both for key in r["sources"])])
    return {
        "kind": "second-opinion",
        "made_on": datetime.date.today().isoformat(),
        "aircraft": prediction["aircraft"],
        "semi_span_m": study.file.wing.semi_span,
        "candidate": vane.name,
        "height_mm": 1e3 * settings[0].rows[0].rows[0].height,
        "edges": vane.edges,
        "grid": grid,
        "conditions": CONDITIONS,
        "bands": f"{BANDS}; {NOT_COUNTED}",
        "three_point_wing_deg": math.degrees(
            study.file.aircraft.three_point_attitude + study.file.wing.incidence
        ),
        "settings": written,
        "findings": findings(written),
        "practice": beside_practice(written) if every else [],
        "cautions": list(CAUTIONS),
        "warnings": list(warnings),
        "sources": list(sources),
    }


def _clean(study: Study, results: Results) -> WingAnswer | str:
    try:
        return clean_wing(study, results, name="the clean wing")
    except Unconverged as problem:
        return str(problem)


def _with_row(study: Study, results: Results, one: OpinionRow) -> WingAnswer | str:
    front, *behind = one.rows
    try:
        return wing_as_computed(study, results, row=front, behind=tuple(behind), name=f"the row {one.name}")
    except Unconverged as problem:
        return str(problem)


def _row_wing(
    study: Study, clean: WingAnswer | str, found: WingAnswer | str, *, y: float, apart: float
) -> dict[str, Any]:
    wing = _wing(study, found, y=y)
    return {**wing, **_gained(study, clean, found), "stall_speed": _stall(study, wing["cl_max"], apart)}


def _wing(study: Study, found: WingAnswer | str, *, y: float) -> dict[str, Any]:
    if isinstance(found, str):
        nothing = {"cl_max": None, "stall_angle_deg": None, "rising": False, "curve": None}
        return {"problem": found, **nothing, "warnings": []}
    lift = found.lift
    most, angle = _largest(lift)
    return {
        "problem": "" if most is not None else "no answered angle",
        "cl_max": most,
        "stall_angle_deg": numbers.degrees(angle),
        # lift still grows where answers or the angles asked for end: the largest is at least this
        "rising": lift.cl_max_continued is None,
        "curve": curve_record(lift, found.sections, study=study, y=y),
        "warnings": list(lift.warnings),
    }


def _largest(lift: WingLift) -> tuple[float | None, float | None]:
    """Largest lift, and its wing angle [rad]; where none is bracketed the largest that is answered."""
    if lift.cl_max_continued is not None:
        return lift.cl_max_continued, lift.angle_continued
    use = lift.converged & np.isfinite(lift.cl)
    if not use.any():
        return None, None
    k = int(np.argmax(np.where(use, lift.cl, -np.inf)))
    return float(lift.cl[k]), float(lift.angles[k])


def _apart(seconds: float | None, minutes: float | None) -> float:
    """How far largest lift is open: by models, or by the two tiers where that is more [share]."""
    if seconds is None or minutes is None:
        return MODELS_APART
    return max(MODELS_APART, abs(minutes - seconds) / max(minutes, seconds))


def _stall(study: Study, cl_max: float | None, apart: float) -> dict[str, float] | None:
    if cl_max is None:
        return None
    shares = {"low_kt": 1.0 + apart, "kt": 1.0, "high_kt": 1.0 - apart}
    return {
        name: calibrated_knots(study, study.flight.speed(share * cl_max)) for name, share in shares.items()
    }


def _gained(study: Study, clean: WingAnswer | str, found: WingAnswer | str) -> dict[str, Any]:
    """What a row adds to largest lift and takes from the stall speed."""
    nothing = {"gain": None, "fall": None}
    if isinstance(clean, str) or isinstance(found, str):
        return nothing
    # against a clean wing whose largest lift was not reached no gain can be told
    before, after = clean.lift.cl_max_continued, _largest(found.lift)[0]
    if before is None or after is None:
        return nothing
    fall = calibrated_knots(study, study.flight.speed(before)) - calibrated_knots(
        study, study.flight.speed(after)
    )
    band = uncalibrated(fall, why="")
    return {"gain": after - before, "fall": {"kt": fall, "low_kt": band.low, "high_kt": band.high}}
