"""A prediction as plain data: what ``--json`` prints, what the project keeps, what the report renders."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from slowflight import __version__, units
from slowflight.air import equivalent_airspeed
from slowflight.compare import bands
from slowflight.compare.attitude import Attitude, check_attitude
from slowflight.compare.cautions import PREDICTION_CAUTIONS
from slowflight.compare.choice import TIE_BAND
from slowflight.compare.claim import SPEED_BAND, SPEED_WHY, Claim, check_claim
from slowflight.compare.evidence.recorded import recorded_errors
from slowflight.compare.input_effects import input_band, worth_knowing
from slowflight.compare.row_answer import RowAnswer
from slowflight.compare.verdict import judge
from slowflight.flow.lift_curve import NOSE
from slowflight.flow.lifting_line import WingLift
from slowflight.sources import cite
from slowflight.uncertainty import Banded, combined, exactly, plus_minus
from slowflight.verbs.prediction_answers import (
    Answers,
    Inputs,
    PicturedPair,
    at_section_angle,
    layer_ahead,
    lift_at,
    seen_at,
)
from slowflight.verbs.prediction_cases import ROUGH_NOSE, WING_ANGLES_DEG, Study, flap_words
from slowflight.verbs.section_sweep import formula_sources
from slowflight.wing.skin import skin_station

NO_FLAP_BEHIND = math.radians(0.5)  # a flap within this of neutral is up
LEAST_SPEED_LIFT = 0.2  # below this lift coefficient no speed is shown: the aircraft flies no faster
REFERENCE = (
    "area and chord of the main wing without flap; angles of the wing from the root's chord line to the"
    " flight "
    "path; stall speeds calibrated, engine idling, no thrust or tail load counted; cruise speeds true"
)
# Half-band of a stall speed flown with care on three flights (common practice, no source) [m/s].
FLOWN_BAND = 0.514
PANEL = "your panel is not calibrated there: no speed is given as your indicator would show it"


def prediction_record(
    study: Study,
    answers: Answers,
    pictures: Sequence[PicturedPair],
    inputs: Inputs | None,
    *,
    tier: str,
) -> dict[str, Any]:
    """Write a prediction down.

    Parameters
    ----------
    study : Study
    answers : Answers
    pictures : sequence of PicturedPair
    inputs : Inputs or None
        ``None`` where the clean wing has no maximum.
    tier : str

    Returns
    -------
    dict
        Of dicts, lists, text, numbers, booleans and None only.
    """
    return _Writer(study, answers, inputs).record(pictures, tier=tier)


class _Writer:
    """Holds what every part of the record needs."""

    def __init__(self, study: Study, answers: Answers, inputs: Inputs | None) -> None:
        self.study, self.answers = study, answers
        self.effects = () if inputs is None else inputs.effects
        self.inputs = inputs
        file = study.file
        self.flight = study.flight
        cl_max = answers.clean.cl_max_continued
        behind = file.flap.chord if file.flap is not None and file.flap.kind in ("hung", "slotted") else 0.0
        self.clean_max = (
            None
            if cl_max is None
            else bands.clean_maximum(cl_max, errors=recorded_errors(tier="integral"), left_out_chord=behind)
        )
        self.best = None if answers.choice is None else answers.choice.best

    def record(self, pictures: Sequence[PicturedPair], *, tier: str) -> dict[str, Any]:
        file, answers = self.study.file, self.answers
        settings = (0.0,) if file.flap is None else file.flap.settings
        attitude = self._attitude()
        claim = self._claim()
        unpredicted = tuple(flap_words(s) for s in settings if abs(s) > NO_FLAP_BEHIND)
        fall = None if self.best is None else self._fall(self.best)
        verdict = judge(
            choice=answers.choice,
            fall=fall,
            attitude=attitude,
            claim_finding=claim.finding,
            price=file.question.cruise_price,
            unpredicted=unpredicted,
            nose_stall=any(NOSE in s["warnings"] for s in answers.clean_sections),
        )
        return {
            "kind": "prediction",
            "version": __version__,
            "predicted_on": datetime.date.today().isoformat(),
            "aircraft": file.aircraft.name,
            "tier": tier,
            "verdict": {
                "finding": verdict.finding,
                "reasons": list(verdict.reasons),
                "would_settle": list(verdict.would_settle),
            },
            "conditions": {
                "mass_kg": self.flight.mass,
                "density_altitude_m": file.question.density_altitude,
                "density_kg_m3": self.flight.density,
                "wing_area_m2": file.wing.area,
                "span_m": file.wing.span,
                "aspect_ratio": file.wing.aspect_ratio,
                "mean_chord_m": file.wing.mean_chord,
                "cruise_speed_kt": units.express(self.flight.cruise_speed, "kt"),
                "reference": REFERENCE,
            },
            "assumptions": [{"field": a.field, "value": a.value, "why": a.why} for a in file.assumptions],
            "attitude": self._attitude_record(attitude),
            "claim": self._claim_record(claim),
            "settings": [self._setting(s, attitude) for s in settings],
            "measure_next": self._measure_next(),
            "rivals": self._rivals(),
            "marks": self._marks(attitude),
            "pictures": [p for p in (self._picture(pair) for pair in pictures) if p is not None],
            "cautions": list(dict.fromkeys((*PREDICTION_CAUTIONS, *file.cautions))),
            "warnings": self._warnings(),
            "sources": list(self._sources()),
        }

    # the wing and the ground

    def _attitude(self) -> Attitude:
        clean, best = self.answers.clean, self.best
        aircraft, wing = self.study.file.aircraft, self.study.file.wing
        stands = aircraft.three_point_attitude + wing.incidence
        vanes = None if best is None else best.lift
        return check_attitude(
            three_point_attitude=aircraft.three_point_attitude,
            incidence=wing.incidence,
            stall_angle_clean=clean.angle_continued,
            stall_angle_vanes=None if best is None else best.stall_angle,
            cl_max_clean=clean.cl_max_continued,
            cl_max_vanes=None if best is None else best.cl_max,
            cl_vanes_on_three_wheels=None if vanes is None else lift_at(vanes, stands),
        )

    def _attitude_record(self, found: Attitude) -> dict[str, Any]:
        aircraft, wing = self.study.file.aircraft, self.study.file.wing
        return {
            "three_point_deg": math.degrees(aircraft.three_point_attitude),
            "incidence_deg": math.degrees(wing.incidence),
            "wing_angle_deg": math.degrees(found.wing_angle),
            "stall_angle_clean_deg": _degrees(self.answers.clean.angle_continued),
            "stall_angle_vanes_deg": None if self.best is None else _degrees(self.best.stall_angle),
            "reaches_clean_stall": found.reaches_clean_stall,
            "reaches_vane_stall": found.reaches_vane_stall,
            "usable_share": found.usable_share,
            "sentence": found.sentence,
        }

    # the claim

    def _claim(self) -> Claim:
        aircraft, wing = self.study.file.aircraft, self.study.file.wing
        up = abs(aircraft.slowest_flap_setting) <= NO_FLAP_BEHIND
        return check_claim(
            mass=aircraft.mass,
            area=wing.area,
            indicated_speed=aircraft.slowest_indicated_speed,
            predicted_cl_max=self.clean_max if up else None,
        )

    def _claim_record(self, found: Claim) -> dict[str, Any]:
        aircraft = self.study.file.aircraft
        speed = aircraft.slowest_indicated_speed
        return {
            "speed": _speed(plus_minus(speed, SPEED_BAND, why=SPEED_WHY)),
            "flap_deg": math.degrees(aircraft.slowest_flap_setting),
            "implied_cl": _banded(found.implied_cl),
            "predicted_cl_max": None if found.predicted is None else _banded(found.predicted),
            "needed_speed": None if found.needed_speed is None else _speed(found.needed_speed),
            "finding": found.finding,
            "sentence": found.sentence,
            "explanations": list(found.explanations),
        }

    # what is not known exactly, and what else it could be

    def _measure_next(self) -> list[dict[str, Any]]:
        """What to measure next, by knots of band removed; the model's own doubt is the first entry's."""
        if self.clean_max is None:
            return []
        # Inputs alone: beside the wide band of the model their differences drown in the noise of the draws.
        ranked = worth_knowing(self.effects, others=exactly(0.0), fall_others=exactly(0.0))
        now = self._stall(None)
        flown = 2.0 * FLOWN_BAND
        first = {
            "name": "the clean wing's stall in flight",
            "key": "aircraft.baseline_stalls",
            "low": None,
            "high": None,
            "measure": "stalls at idle, slowing 1 kt a second, speed by GPS legs, three flights or more",
            "band_removed_kt": units.express(max(0.0, now.high - now.low - flown), "kt"),
            "fall_band_removed_kt": 0.0,
            "clean_kt": None,
            "fall_kt": None,
        }
        rest = [
            {
                "name": worth.effect.name,
                "key": worth.effect.key or None,
                "low": worth.effect.low,
                "high": worth.effect.high,
                "measure": worth.effect.measure,
                "band_removed_kt": units.express(worth.clean, "kt"),
                "fall_band_removed_kt": units.express(worth.fall, "kt"),
                "clean_kt": [units.express(change, "kt") for change in worth.effect.clean],
                "fall_kt": [units.express(change, "kt") for change in worth.effect.fall],
            }
            for worth in ranked
            if worth.effect.measure  # the computation's own panels are nothing to measure
        ]
        return sorted(
            [first, *rest], key=lambda entry: -(entry["band_removed_kt"] + entry["fall_band_removed_kt"])
        )

    def _rivals(self) -> list[dict[str, Any]]:
        if self.inputs is None:
            return []
        return [
            {
                "name": rival.name,
                "change_kt": None if rival.change is None else units.express(rival.change, "kt"),
                "real": rival.real,
                "how": rival.how,
            }
            for rival in self.inputs.rivals
        ]

    # flap settings

    def _setting(self, setting: float, attitude: Attitude) -> dict[str, Any]:
        flap = self.study.file.flap
        kind = "flap" if flap is None else f"{flap.kind} flap"
        if abs(setting) > NO_FLAP_BEHIND:
            return {
                "flap_deg": math.degrees(setting),
                "predicted": False,
                "sentence": f"not yet predicted: this version computes no {kind} that is down",
            }
        if self.clean_max is None:
            return {
                "flap_deg": math.degrees(setting),
                "predicted": False,
                "sentence": "not predicted: the clean wing's maximum lift is not bracketed by answered"
                " angles",
            }
        answers = self.answers
        choice = answers.choice
        left_out = flap is not None and flap.kind in ("hung", "slotted")
        gain = self._gain(self.best)
        return {
            "flap_deg": math.degrees(setting),
            "predicted": True,
            "sentence": "the flap behind the wing is left out: the main wing alone is computed"
            if left_out
            else "",
            "panel": PANEL,
            "binding_limit": "three-point attitude" if attitude.reaches_clean_stall is False else "wing",
            "stall_speed_clean": _speed(self._stall(None)),
            "stall_speed_rough_nose": self._rough(),
            "stall_speed_vanes": None if gain is None else _speed(self._stall(gain)),
            "clean": self._curve(answers.clean, answers.clean_sections, None),
            "vanes": None
            if self.best is None or self.best.lift is None
            else self._curve(self.best.lift, self._sections(self.best), self.best),
            "best": None if self.best is None else self._row(self.best),
            "ties": [] if choice is None else [self._row(tie) for tie in choice.ties],
            "stations_within_band": self._stations(),
            "panels_kt": self._panels(),
            "tie_band_kt": None if choice is None else self._calibrated_knots(choice.band),
            "gain_tables": self._gain_tables(),
            "as_written": [
                self._row(answer)
                for tried, answer in zip(self.study.rows, answers.rows, strict=True)
                if tried.as_written
            ],
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
        found = next((e for e in self.effects if not e.measure), None)
        if found is None:
            return None
        return {
            "clean": units.express(found.clean[1], "kt"),
            "fall": units.express(found.fall[1], "kt"),
        }

    def _stall(self, gain: Banded | None) -> Banded:
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
            moved = [effect.clean for effect in self.effects]
        else:
            # what an input does to the wing with vanes: to the clean wing, less what it does to the fall
            moved = [(e.clean[0] - e.fall[0], e.clean[1] - e.fall[1]) for e in self.effects]
        return combined(model.value, model, input_band(model.value, moved, why=bands.INPUTS_WHY))

    def _rough(self) -> dict[str, float] | None:
        rough = self.answers.rough
        if rough is None or rough.cl_max_continued is None or self.clean_max is None:
            return None
        shift = exactly(rough.cl_max_continued - self.clean_max.value)
        return _speed(self._stall(shift))

    def _gain(self, answer: RowAnswer | None) -> Banded | None:
        if answer is None or answer.cl_max is None or self.clean_max is None:
            return None
        return bands.uncalibrated(answer.cl_max - self.clean_max.value, why=bands.GAIN_WHY)

    def _fall(self, answer: RowAnswer) -> Banded | None:
        if answer.fall is None:
            return None
        model = bands.uncalibrated(self._signed_equivalent(answer.fall), why=bands.GAIN_WHY)
        moved = [effect.fall for effect in self.effects]
        return combined(model.value, model, input_band(model.value, moved, why=bands.INPUTS_WHY))

    def _signed_equivalent(self, change: float) -> float:
        return math.copysign(self._equivalent(abs(change)), change)

    # rows

    def _sections(self, answer: RowAnswer) -> tuple[Mapping[str, Any], ...]:
        return self.answers.row_sections[self.answers.rows.index(answer)]

    def _row(self, answer: RowAnswer) -> dict[str, Any]:
        row = answer.row
        fall = self._fall(answer)
        gain = self._gain(answer)
        places = self._places(answer)
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
            "stall_angle_deg": _degrees(answer.stall_angle),
            "stall_speed": None if gain is None else _speed(self._stall(gain)),
            "fall": None if fall is None else _speed(fall),
            "cruise_loss": None if loss is None else _speed(loss),
            "cruise_drag_counts": None if counts is None else _banded(counts),
            **places,
            "warnings": [answer.problem] if answer.problem else [],
        }

    def _places(self, answer: RowAnswer) -> dict[str, Any]:
        """Where the row and the separation lie along the skin, at the clean wing's stall."""
        nothing = dict.fromkeys(("layer_mm", "separation_mm", "skin_to_separation_mm"))
        stall, row = self.answers.clean.angle_continued, answer.row
        if stall is None:
            return {**nothing, "reason": ""}
        angle = self.answers.section_angle(stall, row)
        wing = self.study.file.wing
        inner = wing.neighbors(self.answers.middle_of(row))[0]
        index = wing.stations.index(inner)
        if angle is None:
            return {**nothing, "reason": ""}
        degrees = math.degrees(angle)
        chord = inner.chord
        layer = layer_ahead(self._sections(answer)[index], degrees) if answer.lift is not None else None
        let_go = at_section_angle(self.answers.clean_sections[index], degrees, "separation_upper")
        if layer is None or let_go is None:
            return {**nothing, "reason": ""}
        here = skin_station(inner.section, station=row.station, surface=row.surface, chord_m=chord)
        words = f"layer here {1e3 * layer * chord:.0f} mm, your vane {1e3 * row.height:.1f} mm"
        if let_go >= 0.99:
            return {
                "layer_mm": 1e3 * layer * chord,
                "separation_mm": None,
                "skin_to_separation_mm": None,
                "reason": f"{words}; at the clean wing's stall the air is still on up to the trailing edge",
            }
        there = skin_station(inner.section, station=let_go, surface=row.surface, chord_m=chord)
        assert here.skin_distance_m is not None
        assert there.skin_distance_m is not None
        ahead = there.skin_distance_m - here.skin_distance_m
        where = f"row {1e3 * ahead:.0f} mm ahead of that" if ahead > 0 else "the row stands behind that"
        return {
            "layer_mm": 1e3 * layer * chord,
            "separation_mm": 1e3 * there.skin_distance_m,
            "skin_to_separation_mm": 1e3 * ahead,
            "reason": f"{words}; at the clean wing's stall the air lets go at"
            f" {1e3 * there.skin_distance_m:.0f} mm along the skin; {where}",
        }

    def _gain_tables(self) -> list[dict[str, Any]]:
        tables: dict[tuple[str, float], list[RowAnswer]] = {}
        for tried, answer in zip(self.study.rows, self.answers.rows, strict=True):
            if not tried.as_written:
                tables.setdefault((answer.candidate, answer.row.height), []).append(answer)
        angles = [a for a in WING_ANGLES_DEG if float(a).is_integer()]
        clean = self.answers.clean
        written = []
        for (candidate, height), found in tables.items():
            gain = []
            for answer in found:
                line: list[float | None] = []
                for degrees in angles:
                    angle = math.radians(degrees)
                    pair = [None if w is None else _at(w, angle) for w in (answer.lift, clean)]
                    both = pair[0] is not None and pair[1] is not None
                    line.append(pair[0] - pair[1] if both else None)  # type: ignore[operator]
                gain.append(line)
            falls = [self._fall(answer) for answer in found]
            written.append(
                {
                    "candidate": candidate,
                    "height_mm": 1e3 * height,
                    "stations": [answer.row.station for answer in found],
                    "angles_deg": angles,
                    "gain": gain,
                    "fall_kt": [None if f is None else units.express(f.value, "kt") for f in falls],
                    "cruise_loss_kt": [
                        None if a.cruise_loss is None else units.express(a.cruise_loss, "kt") for a in found
                    ],
                    "answered": [answer.answered for answer in found],
                    "problems": [answer.problem for answer in found],
                }
            )
        return written

    # curves, marks and pictures

    def _curve(
        self, lift: WingLift, sections: Sequence[Mapping[str, Any]], answer: RowAnswer | None
    ) -> dict[str, Any]:
        wing = self.study.file.wing
        row = answer.row if answer is not None else (self.best.row if self.best is not None else None)
        y = 0.5 * wing.semi_span if row is None else self.answers.middle_of(row)
        index = wing.stations.index(wing.neighbors(y)[0])
        seen = [
            seen_at(lift, float(a), y=y) if ok else None
            for a, ok in zip(lift.angles, lift.converged, strict=True)
        ]
        section = [
            None if s is None else at_section_angle(sections[index], math.degrees(s), "separation_upper")
            for s in seen
        ]
        local = [
            None if s is None else at_section_angle(sections[index], math.degrees(s), "cl") for s in seen
        ]
        return {
            "cl_max": lift.cl_max_continued,
            "cl_max_first_station": lift.cl_max_first_station,
            "stall_starts_at_m": lift.y_first_station,
            "wing_angles_deg": list(WING_ANGLES_DEG),
            "cl": _plain(lift.cl),
            "cd": _plain(lift.cd_induced + lift.cd_profile),
            "speed_kt": [
                None
                if not ok or not cl > LEAST_SPEED_LIFT
                else self._calibrated_knots(self.flight.speed(float(cl)))
                for cl, ok in zip(lift.cl, lift.converged, strict=True)
            ],
            "separation": [None if s is None or s >= 0.995 else s for s in section],
            "section_angles_deg": [_degrees(s) for s in seen],
            "section_cl": local,
            "converged": [bool(ok) for ok in lift.converged],
        }

    def _marks(self, attitude: Attitude) -> list[dict[str, Any]]:
        approach = self.answers.approach_angle()
        marks = [
            ("three-point", attitude.wing_angle),
            ("approach, 1.3 times the clean stall speed", approach),
            ("stall, clean", self.answers.clean.angle_continued),
            ("stall, with the best row", None if self.best is None else self.best.stall_angle),
        ]
        return [
            {"name": name, "wing_angle_deg": math.degrees(angle)}
            for name, angle in marks
            if angle is not None
        ]

    def _picture(self, pair: PicturedPair) -> dict[str, Any] | None:
        if "problem" in pair.clean or "problem" in pair.vanes or self.best is None or self.best.lift is None:
            return None
        speeds = []
        for lift in (self.answers.clean, self.best.lift):
            cl = lift_at(lift, pair.wing_angle)
            speeds.append(None if cl is None or cl <= 0.0 else self._calibrated_knots(self.flight.speed(cl)))

        def side(field: Mapping[str, Any], name: str) -> dict[str, Any]:
            shown = {key: field[key] for key in ("cl", "cd")}
            return {"field": name, **shown, "separation": field["separation_upper"]}

        clean, vanes = pair.clean, pair.vanes
        return {
            "section_angle_deg": pair.section_angle_deg,
            "wing_angle_deg": math.degrees(pair.wing_angle),
            "speed_kt": speeds[0],
            "speed_vanes_kt": speeds[1],
            "clean": side(clean, pair.clean_file),
            "vanes": {
                **side(vanes, pair.vanes_file),
                "station": self.best.row.station,
                "height_mm": 1e3 * self.best.row.height,
            },
            "lift_change_percent": 100.0 * (vanes["cl"] / clean["cl"] - 1.0),
            "drag_change_counts": 1e4 * (vanes["cd"] - clean["cd"]),
        }

    # what the reader has to know

    def _warnings(self) -> list[str]:
        study, answers = self.study, self.answers
        found: list[str] = []
        for result in answers.clean_sections:
            found += result["warnings"]
        found += answers.clean.warnings
        if self.best is not None and self.best.lift is not None:
            for result in self._sections(self.best):
                found += result["warnings"]
            found += self.best.lift.warnings
        found += [
            *(() if self.clean_max is None else self.clean_max.why),
            bands.WING_WHY,
            bands.GAIN_WHY,
            bands.COST_WHY,
            TIE_BAND,
            study.drag_note,
        ]
        found.append(
            "how far loss of lift spreads along the span is our own choice (0.2 chords); between 0.1 and 0.8"
            " chords the gain of a row that leaves the cabin bare changes by about a fifth either way"
        )
        flap = study.file.flap
        if flap is not None and flap.kind in ("hung", "slotted"):
            found.append(bands.FLAP_WHY)
        found.append(
            "the clean wing is taken as smooth; with its layers tripped at"
            f" {100 * ROUGH_NOSE[0]:.0f} % of chord (bugs, rain, a lap) its stall speed is given beside it"
        )
        for candidate in study.file.candidates:
            if candidate.edges == "rounded":
                found.append(
                    f"{candidate.name!r} has rounded edges: this version computes sharp ones, a rounded"
                    f" edge sheds"
                    " less"
                )
        if len(study.file.rows) > 1:
            found.append("the rows of wing.toml are predicted one by one, not together")
        if self.inputs is not None:
            found += self.inputs.missing
        unanswered = 0 if answers.choice is None else answers.choice.unanswered
        if unanswered:
            found.append(f"{unanswered} of {len(answers.rows)} rows tried have no answer and are left out")
        for station in study.file.wing.stations:
            found += station.section.cautions
        return list(dict.fromkeys(found))

    def _sources(self) -> tuple[str, ...]:
        keys: list[str] = []
        for station in self.study.file.wing.stations:
            keys += formula_sources(station.airfoil)
        for results in (self.answers.clean_sections, *self.answers.row_sections.values()):
            for result in results:
                keys += result["sources"]
        keys += self.answers.clean.sources
        return cite(*dict.fromkeys(keys))

    # speeds

    def _equivalent(self, speed: float) -> float:
        return equivalent_airspeed(true=speed, density=self.flight.density)

    def _calibrated_knots(self, true: float) -> float:
        return units.express(self._equivalent(true), "kt")


def _speed(value: Banded) -> dict[str, float]:
    return {
        "m_s": value.value,
        "kt": units.express(value.value, "kt"),
        "low_kt": units.express(value.low, "kt"),
        "high_kt": units.express(value.high, "kt"),
    }


def _banded(value: Banded) -> dict[str, float]:
    return {"value": value.value, "low": value.low, "high": value.high}


def _degrees(angle: float | None) -> float | None:
    return None if angle is None else math.degrees(angle)


def _plain(values: Any) -> list[float | None]:
    return [float(v) if np.isfinite(v) else None for v in values]


def _at(lift: WingLift, angle: float) -> float | None:
    k = int(np.argmin(np.abs(lift.angles - angle)))
    return float(lift.cl[k]) if lift.converged[k] else None
