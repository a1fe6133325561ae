"""One flap setting of a prediction as plain data."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from slowflight import units
from slowflight.air import equivalent_airspeed
from slowflight.compare import bands
from slowflight.compare.attitude import Attitude, check_attitude
from slowflight.compare.evidence.recorded import recorded_errors
from slowflight.compare.input_effects import InputEffect, input_band
from slowflight.compare.row_answer import RowAnswer
from slowflight.flow.lifting_line import WingLift
from slowflight.uncertainty import Banded, combined, exactly
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.prediction_answers import (
    Answers,
    PicturedPair,
    lift_at,
    seen_at,
    trend_at,
)
from slowflight.verbs.prediction_curve import calibrated_knots, curve_record
from slowflight.verbs.prediction_rows import gain_tables, row_places, sections_of
from slowflight.wing.wing_file import WingFile

PANEL = "your panel is not calibrated there: no speed is given as your indicator would show it"
GUESSED_ANGLE = math.radians(2.0)  # doubt of an angle that nobody measured (own choice)
MOST_OF_A_FLAP = 0.5  # of maximum lift, where nothing tells what the flap adds (own choice)
BARE_UNKNOWN = (
    "the wing without its flap has no maximum: for the band, half of the lift is taken to be the flap's (own"
    " choice)"
)
LEFT_OUT = "the flap behind the wing is left out: the main wing alone is computed"
TREND = "near the stall this setting is marked as a trend, not a prediction: {why}"


class SettingWriter:
    """Writes down what was found at one setting of the flap.

    Parameters
    ----------
    answers : Answers
    setting : float
        Of the flap [rad].
    effects : sequence of InputEffect
        How far each input moves the answer, found at the setting that decides: at others they are taken in
        proportion to the stall speed.
    chosen : RowAnswer or None
        The row of the prediction, as answered here.
    decided_speed : float or None
        Clean stall speed at the setting that decides, true [m/s].
    """

    def __init__(
        self,
        answers: Answers,
        *,
        setting: float,
        effects: Sequence[InputEffect],
        chosen: RowAnswer | None,
        decided_speed: float | None,
    ) -> None:
        self.answers, self.setting, self.chosen = answers, setting, chosen
        self.study, self.flight = answers.study, answers.study.flight
        self.best = answers.best
        cl_max = answers.clean.cl_max_continued
        self.clean_max = (
            None
            if cl_max is None
            else bands.clean_maximum(
                cl_max,
                errors=recorded_errors(tier="integral"),
                left_out_chord=self.study.left_out,
                flap_adds=self._flap_adds(cl_max),
            )
        )
        share = 1.0
        if cl_max is not None and decided_speed:
            share = self.flight.speed(cl_max) / decided_speed
        self.clean_effects = [(share * e.clean[0], share * e.clean[1]) for e in effects]
        self.fall_effects = [(share * e.fall[0], share * e.fall[1]) for e in effects]
        self.panels = next((e for e in effects if not e.measure), None)

    def _flap_adds(self, cl_max: float) -> float:
        if self.study.setting is None:
            return 0.0
        bare = self.answers.without_flap
        return MOST_OF_A_FLAP * cl_max if bare is None else cl_max - bare

    @property
    def shown(self) -> RowAnswer | None:
        """The row that curves with vanes are of: the prediction's, else the best here."""
        return self.best if self.chosen is None else self.chosen

    def record(self) -> dict[str, Any]:
        """Return the setting as plain data."""
        attitude = self.attitude()
        answers, shown = self.answers, self.shown
        gain = self.gain(shown)
        choice = answers.choice
        sentences = [LEFT_OUT] if self.study.left_out else []
        trend = self.trend()
        if trend:
            sentences.append(TREND.format(why=trend))
        return {
            "flap_deg": math.degrees(self.setting),
            "predicted": True,
            "sentence": "; ".join(sentences),
            "trend": bool(trend),
            "panel": PANEL,
            "binding_limit": attitude.binding_limit,
            "attitude": self.attitude_record(attitude),
            "marks": self.marks(attitude),
            "stall_speed_clean": numbers.speed(self.stall(None)),
            "stall_speed_rough_nose": self._rough(),
            "stall_speed_vanes": None if gain is None else numbers.speed(self.stall(gain)),
            "clean": self._curve(answers.clean, answers.clean_sections),
            "vanes": None
            if shown is None or shown.lift is None
            else self._curve(shown.lift, sections_of(self.answers, shown)),
            "row": None if shown is None else self._row(shown),
            "best": None if self.best is None else self._row(self.best),
            "ties": [] if choice is None else [self._row(tie) for tie in choice.ties],
            "two_rows": self._two_rows(),
            "stations_within_band": self._stations(),
            "panels_kt": self._panels(),
            "tie_band_kt": None if choice is None else self.calibrated_knots(choice.band),
            "gain_tables": gain_tables(self.answers, fall=self.fall),
            "as_written": [
                self._row(answer)
                for tried, answer in zip(answers.tried, answers.rows, strict=True)
                if tried.as_written
            ],
        }

    def warnings(self) -> list[str]:
        """Return what has to be known of the computation at this setting."""
        found: list[str] = []
        for result in self.answers.clean_sections:
            found += result["warnings"]
        found += self.answers.clean.warnings
        shown = self.shown
        if shown is not None and shown.lift is not None:
            for result in sections_of(self.answers, shown):
                found += result["warnings"]
            found += shown.lift.warnings
        found += () if self.clean_max is None else self.clean_max.why
        if self.study.setting is not None and self.answers.without_flap is None:
            found.append(BARE_UNKNOWN)
        return found

    def trend(self) -> str:
        """Return why the clean wing's stall is a trend only; empty where it is not."""
        stall = self.answers.clean.angle_continued
        if stall is None or self.study.setting is None:
            return ""
        start, end = self.study.flap_span
        y = 0.5 * (start + end)
        seen = seen_at(self.answers.clean, stall, y=y)
        wing = self.study.file.wing
        index = wing.stations.index(wing.neighbors(y)[0])
        return "" if seen is None else trend_at(self.answers.clean_sections[index], math.degrees(seen))

    # the wing and the ground

    def attitude(self) -> Attitude:
        """Whether the gear lets the wing reach its stall at this setting."""
        clean, best = self.answers.clean, self.shown
        aircraft, wing = self.study.file.aircraft, self.study.file.wing
        stands = aircraft.three_point_attitude + wing.incidence
        vanes = None if best is None else best.lift
        return check_attitude(
            three_point_attitude=aircraft.three_point_attitude,
            incidence=wing.incidence,
            doubt=attitude_doubt(self.study.file),
            stall_angle_clean=clean.angle_continued,
            stall_angle_vanes=None if best is None else best.stall_angle,
            cl_max_clean=clean.cl_max_continued,
            cl_max_vanes=None if best is None else best.cl_max,
            cl_vanes_on_three_wheels=None if vanes is None else lift_at(vanes, stands),
        )

    def attitude_record(self, found: Attitude) -> dict[str, Any]:
        """Return that as plain data."""
        aircraft, wing = self.study.file.aircraft, self.study.file.wing
        return {
            "three_point_deg": math.degrees(aircraft.three_point_attitude),
            "incidence_deg": math.degrees(wing.incidence),
            "wing_angle_deg": math.degrees(found.wing_angle),
            "stall_angle_clean_deg": numbers.degrees(self.answers.clean.angle_continued),
            "stall_angle_vanes_deg": None if self.shown is None else numbers.degrees(self.shown.stall_angle),
            "reaches_clean_stall": found.reaches_clean_stall,
            "reaches_vane_stall": found.reaches_vane_stall,
            "usable_share": found.usable_share,
            "sentence": found.sentence,
        }

    def _two_rows(self) -> dict[str, Any] | None:
        """What a second row like the chosen one does, behind it or ahead of it."""
        both = self.answers.two_rows
        if both is None or both.second is None or both.fall is None:
            return None
        fall = self.fall(both)
        loss = both.cruise_loss
        return {
            "stations": [both.row.station, both.second.station],
            "fall": None if fall is None else numbers.speed(fall),
            "cruise_loss": None
            if loss is None
            else numbers.speed(bands.uncalibrated(loss, why=bands.COST_WHY)),
        }

    def _stations(self) -> list[float] | None:
        """Foremost and aftmost place at which the best row's vane is as good within the band."""
        choice = self.answers.choice
        if choice is None or choice.best is None:
            return None
        best = choice.best
        alike = [best, *(t for t in choice.ties if t.candidate == best.candidate)]
        places = [answer.row.station for answer in alike]
        return [min(places), max(places)]

    def _panels(self) -> dict[str, float] | None:
        """What half as many panels again do to the clean stall speed and to the fall [kt]."""
        found = self.panels
        if found is None:
            return None
        return {
            "clean": units.express(found.clean[1], "kt"),
            "fall": units.express(found.fall[1], "kt"),
        }

    def stall(self, gain: Banded | None) -> Banded:
        """Calibrated stall speed with the bands of model and inputs [m/s]."""
        assert self.clean_max is not None
        flight = self.flight
        true = bands.speed_with_band(
            mass=flight.mass, area=flight.area, density=flight.density, clean=self.clean_max, gain=gain
        )
        model = Banded(
            value=self._equivalent(true.value),
            low=self._equivalent(true.low),
            high=self._equivalent(true.high),
            why=true.why,
        )
        if gain is None:
            moved = self.clean_effects
        else:
            # what an input does to the wing with vanes: to the clean wing, less what it does to the fall
            moved = [
                (clean[0] - fall[0], clean[1] - fall[1])
                for clean, fall in zip(self.clean_effects, self.fall_effects, strict=True)
            ]
        return combined(model.value, model, input_band(model.value, moved, why=bands.INPUTS_WHY))

    def _rough(self) -> dict[str, float] | None:
        rough = self.answers.rough
        if rough is None or rough.cl_max_continued is None or self.clean_max is None:
            return None
        shift = exactly(rough.cl_max_continued - self.clean_max.value)
        return numbers.speed(self.stall(shift))

    def gain(self, answer: RowAnswer | None) -> Banded | None:
        """Return what a row adds to the wing's maximum lift coefficient, with its band."""
        if answer is None or answer.cl_max is None or self.clean_max is None:
            return None
        clean = self.clean_max.value
        return bands.uncalibrated(
            answer.cl_max - clean, why=bands.GAIN_WHY, least=bands.LEAST_OF_LIFT * clean
        )

    def fall(self, answer: RowAnswer) -> Banded | None:
        """Return how much slower a row lets the wing stall, calibrated, with all bands [m/s]."""
        if answer.fall is None:
            return None
        clean = self.clean_max
        least = 0.0 if clean is None else bands.LEAST_OF_SPEED * self.flight.speed(clean.value)
        model = bands.uncalibrated(
            self._signed_equivalent(answer.fall), why=bands.GAIN_WHY, least=self._equivalent(least)
        )
        moved = self.fall_effects
        return combined(model.value, model, input_band(model.value, moved, why=bands.INPUTS_WHY))

    def _signed_equivalent(self, change: float) -> float:
        return math.copysign(self._equivalent(abs(change)), change)

    # rows

    def _row(self, answer: RowAnswer) -> dict[str, Any]:
        row = answer.row
        fall = self.fall(answer)
        gain = self.gain(answer)
        places = row_places(self.answers, answer)
        loss = (
            None if answer.cruise_loss is None else bands.uncalibrated(answer.cruise_loss, why=bands.COST_WHY)
        )
        counts = (
            None if answer.drag_counts is None else bands.uncalibrated(answer.drag_counts, why=bands.COST_WHY)
        )
        return {
            "candidate": answer.candidate,
            "station": row.station,
            "height_mm": 1e3 * row.height,
            "length_mm": 1e3 * row.length,
            "pitch_mm": 1e3 * row.pitch,
            "gap_mm": 1e3 * row.gap,
            "incidence_deg": math.degrees(row.incidence),
            "arrangement": row.arrangement,
            "opening": row.opening,
            "shape": row.shape,
            "span_from_m": row.span_from,
            "span_to_m": row.span_to,
            "cl_max": answer.cl_max,
            "stall_angle_deg": numbers.degrees(answer.stall_angle),
            "stall_speed": None if gain is None else numbers.speed(self.stall(gain)),
            "fall": None if fall is None else numbers.speed(fall),
            "cruise_loss": None if loss is None else numbers.speed(loss),
            "cruise_drag_counts": None if counts is None else numbers.banded(counts),
            **places,
            "warnings": [answer.problem] if answer.problem else [],
        }

    # curves, marks and pictures

    def _curve(self, lift: WingLift, sections: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
        row = None if self.shown is None else self.shown.row
        y = 0.5 * self.study.file.wing.semi_span if row is None else self.answers.middle_of(row)
        return curve_record(lift, sections, study=self.study, y=y)

    def marks(self, attitude: Attitude) -> list[dict[str, Any]]:
        """Return the owner's attitudes, as wing angles."""
        approach = self.answers.approach_angle()
        marks = [
            ("three-point", attitude.wing_angle),
            ("approach, 1.3 times the clean stall speed", approach),
            ("stall, clean", self.answers.clean.angle_continued),
            ("stall, with the best row", None if self.shown is None else self.shown.stall_angle),
        ]
        return [
            {"name": name, "wing_angle_deg": math.degrees(angle)}
            for name, angle in marks
            if angle is not None
        ]

    def picture(self, pair: PicturedPair) -> dict[str, Any] | None:
        """Return a pair of flow pictures; nothing where the flow has no answer."""
        if "problem" in pair.clean or "problem" in pair.vanes or self.shown is None:
            return None
        speeds = []
        for lift in (self.answers.clean, self.shown.lift):
            cl = None if lift is None else lift_at(lift, pair.wing_angle)
            speeds.append(None if cl is None or cl <= 0.0 else self.calibrated_knots(self.flight.speed(cl)))

        def side(field: Mapping[str, Any], name: str) -> dict[str, Any]:
            shown = {key: field[key] for key in ("cl", "cd")}
            return {"field": name, **shown, "separation": field["separation_upper"]}

        clean, vanes = pair.clean, pair.vanes
        return {
            "flap_deg": pair.flap_deg,
            "section_angle_deg": pair.section_angle_deg,
            "wing_angle_deg": math.degrees(pair.wing_angle),
            "speed_kt": speeds[0],
            "speed_vanes_kt": speeds[1],
            "clean": side(clean, pair.clean_file),
            "vanes": {
                **side(vanes, pair.vanes_file),
                "station": pair.row.station,
                "height_mm": 1e3 * pair.row.height,
            },
            "lift_change_percent": 100.0 * (vanes["cl"] / clean["cl"] - 1.0),
            "drag_change_counts": 1e4 * (vanes["cd"] - clean["cd"]),
        }

    # speeds

    def _equivalent(self, speed: float) -> float:
        return equivalent_airspeed(true=speed, density=self.flight.density)

    def calibrated_knots(self, true: float) -> float:
        """Return a true airspeed [m/s] as the calibrated one [kt]."""
        return calibrated_knots(self.study, true)


def attitude_doubt(file: WingFile) -> float:
    """Half-band of the wing's angle on the wheels, by what the owner is not sure of [rad]."""
    halves = []
    for key in ("aircraft.three_point_attitude", "wing.incidence"):
        low, high = file.ranges.get(key, (0.0, 0.0))
        guessed = any(assumption.field == key for assumption in file.assumptions)
        halves.append(GUESSED_ANGLE if guessed else 0.5 * (high - low))
    return math.hypot(*halves)
