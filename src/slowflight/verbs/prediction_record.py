"""A prediction as plain data: what ``--json`` prints, what the project keeps, what the report renders."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from typing import Any

from slowflight import __version__, units
from slowflight.compare import bands
from slowflight.compare.cautions import PREDICTION_CAUTIONS
from slowflight.compare.choice import TIE_BAND
from slowflight.compare.claim import MASS_BAND, SPEED_BAND, SPEED_WHY, Claim, check_claim
from slowflight.compare.input_effects import worth_knowing
from slowflight.compare.row_answer import RowAnswer
from slowflight.compare.verdict import AtSetting, judge
from slowflight.flow.lift_curve import NOSE
from slowflight.sources import cite
from slowflight.uncertainty import exactly, plus_minus
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.prediction_answers import Answers, Inputs, PicturedPair
from slowflight.verbs.prediction_cases import NO_FLAP_BEHIND, ROUGH_NOSE, Study, flap_words
from slowflight.verbs.prediction_likeness import measured_alike
from slowflight.verbs.prediction_rows import gain_map
from slowflight.verbs.prediction_setting import SettingWriter
from slowflight.verbs.prediction_settings import Settings
from slowflight.verbs.section_sweep import formula_sources

REFERENCE = (
    "area and chord of the main wing without flap; angles of the wing from the root's chord line to the"
    " flight "
    "path; stall speeds calibrated, engine idling, no thrust or tail load counted; cruise speeds true"
)
# Half-band of a stall speed flown with care on three flights (common practice, no source) [m/s].
FLOWN_BAND = 0.514
EFFECTS_ELSEWHERE = (
    "what is not known exactly was moved at one flap setting; at the others its effect is taken in proportion"
    " to the stall speed"
)
FLAP_ENDS = (
    "at ends of flaps along the span the air turned down is corrected for the step; what flows around the"
    " flap's end is not computed"
)


def prediction_record(
    study: Study,
    found: Settings,
    pictures: Sequence[PicturedPair],
    inputs: Inputs | None,
    *,
    tier: str,
) -> dict[str, Any]:
    """Write a prediction down.

    Parameters
    ----------
    study : Study
    found : Settings
    pictures : sequence of PicturedPair
    inputs : Inputs or None
        ``None`` where the clean wing has no maximum.
    tier : str

    Returns
    -------
    dict
        Of dicts, lists, text, numbers, booleans and None only.
    """
    return _Writer(study, found, inputs).record(pictures, tier=tier)


class _Writer:
    """Holds what every part of the record needs."""

    def __init__(self, study: Study, found: Settings, inputs: Inputs | None) -> None:
        self.study, self.found, self.inputs = study, found, inputs
        self.effects = () if inputs is None else inputs.effects
        self.flight = study.flight
        self.answers = found.decided
        self.best = found.decided.best
        self.decided = self._writer(found.setting_of(found.decided), found.decided)
        self.writers = {
            setting: answers if isinstance(answers, str) else self._writer(setting, answers)
            for setting, answers in found.by_setting.items()
        }

    def _writer(self, setting: float, answers: Answers) -> SettingWriter:
        cl_max = self.found.decided.clean.cl_max_continued
        return SettingWriter(
            answers,
            setting=setting,
            effects=self.effects,
            chosen=_same_row(answers, self.found.decided.best),
            decided_speed=None if cl_max is None else self.flight.speed(cl_max),
        )

    def record(self, pictures: Sequence[PicturedPair], *, tier: str) -> dict[str, Any]:
        file, decided = self.study.file, self.decided
        attitude = decided.attitude()
        claim = self._claim()
        unpredicted = tuple(flap_words(s) for s, w in self.writers.items() if self._settled(w) is None)
        choice = self.answers.choice
        judged = self.best if choice is None or self.best is not None else choice.nearest
        fall = None if judged is None else decided.fall(judged)
        verdict = judge(
            choice=choice,
            fall=fall,
            attitude=attitude,
            claim_finding=claim.finding,
            price=file.question.cruise_price,
            unpredicted=unpredicted,
            nose_stall=any(NOSE in s["warnings"] for s in self.answers.clean_sections),
            others=self._others(),
            notes=(*self._trend_note(), *self.found.notes),
        )
        settings = [self._setting(setting) for setting in self.writers]
        return {
            "kind": "prediction",
            "version": __version__,
            "predicted_on": datetime.date.today().isoformat(),
            "aircraft": file.aircraft.name,
            "tier": tier,
            # No factor of a measured case with vanes goes into it yet.
            "calibrated": False,
            "verdict": {
                "finding": verdict.finding,
                "reasons": list(verdict.reasons),
                "would_settle": list(verdict.would_settle),
            },
            "decided_at_deg": math.degrees(decided.setting),
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
            "attitude": decided.attitude_record(attitude),
            "claim": self._claim_record(claim),
            "settings": settings,
            "gain_map": self._gain_map(settings),
            "measure_next": self._measure_next(),
            "rivals": self._rivals(),
            "marks": decided.marks(attitude),
            "pictures": [p for p in (self._picture(pair) for pair in pictures) if p is not None],
            "cautions": list(dict.fromkeys((*PREDICTION_CAUTIONS, *file.cautions))),
            "measured_alike": measured_alike(self.study, self.answers.clean.cl_max_continued),
            "warnings": self._warnings(),
            "sources": list(self._sources()),
        }

    # flap settings

    def _trend_note(self) -> tuple[str, ...]:
        """Say in the verdict that the setting it is judged at is marked as a trend."""
        if not self.decided.trend():
            return ()
        words = flap_words(self.decided.setting)
        return (f"with the flap at {words}, where this is judged, the stall is a trend, not a prediction",)

    @staticmethod
    def _settled(writer: SettingWriter | str) -> SettingWriter | None:
        """Return the writer of a setting that has numbers to show."""
        return None if isinstance(writer, str) or writer.clean_max is None else writer

    def _setting(self, setting: float) -> dict[str, Any]:
        writer = self.writers[setting]
        settled = self._settled(writer)
        if settled is not None:
            return settled.record()
        sentence = (
            writer
            if isinstance(writer, str)
            else "not predicted: the clean wing's maximum lift is not bracketed by answered angles"
        )
        return {"flap_deg": math.degrees(setting), "predicted": False, "sentence": sentence}

    def _gain_map(self, settings: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
        """One vane over place, angle and flap setting: that which has a table at every setting."""
        shown = [setting for setting in settings if setting["predicted"] and setting["gain_tables"]]
        if not shown:
            return []
        kept = [{(t["candidate"], t["height_mm"]): t for t in setting["gain_tables"]} for setting in shown]
        everywhere = [vane for vane in kept[-1] if all(vane in tables for tables in kept)]
        best = None if self.best is None else (self.best.candidate, 1e3 * self.best.row.height)
        vane = best if best in everywhere else next(iter(everywhere), None)
        if vane is None:
            return []
        return [
            gain_map(
                tables[vane],
                setting=f"flap {flap_words(math.radians(setting['flap_deg']))}",
                clean=setting["clean"],
                marks=setting["marks"],
            )
            for setting, tables in zip(shown, kept, strict=True)
        ]

    def _others(self) -> tuple[AtSetting, ...]:
        """The settings beside the one that decides."""
        made = []
        for setting, writer in self.writers.items():
            there = self._settled(writer)
            if there is None or there.answers is self.answers:
                continue
            same, best = there.chosen, there.best
            fall = None if same is None else there.fall(same)
            attitude = there.attitude()
            made.append(
                AtSetting(
                    words=flap_words(setting),
                    fall=fall,
                    best_station=None if best is None else best.row.station,
                    best_fall=None if best is None else fall if best is same else there.fall(best),
                    reaches=None if attitude.clean_is_close else attitude.reaches_clean_stall,
                    trend=bool(there.trend()),
                )
            )
        return tuple(made)

    def _picture(self, pair: PicturedPair) -> dict[str, Any] | None:
        for writer in (self.decided, *self.writers.values()):
            if not isinstance(writer, str) and math.degrees(writer.setting) == pair.flap_deg:
                return writer.picture(pair)
        return None

    # the claim

    def _claim(self) -> Claim:
        aircraft, wing = self.study.file.aircraft, self.study.file.wing
        flown = aircraft.slowest_flap_setting
        there = next((w for s, w in self.writers.items() if abs(s - flown) <= NO_FLAP_BEHIND), "")
        writer = self._settled(there)
        return check_claim(
            mass=aircraft.mass,
            area=wing.area,
            indicated_speed=aircraft.slowest_indicated_speed,
            speed_band=self._speed_band(),
            mass_band=max(MASS_BAND, self._half_range("aircraft.mass") / aircraft.mass),
            predicted_cl_max=None if writer is None else writer.clean_max,
        )

    def _speed_band(self) -> float:
        return max(SPEED_BAND, self._half_range("aircraft.slowest_indicated_speed"))

    def _half_range(self, key: str) -> float:
        low, high = self.study.file.ranges.get(key, (0.0, 0.0))
        return 0.5 * (high - low)

    def _claim_record(self, found: Claim) -> dict[str, Any]:
        aircraft = self.study.file.aircraft
        speed = aircraft.slowest_indicated_speed
        return {
            "speed": numbers.speed(plus_minus(speed, self._speed_band(), why=SPEED_WHY)),
            "flap_deg": math.degrees(aircraft.slowest_flap_setting),
            "implied_cl": numbers.banded(found.implied_cl),
            "predicted_cl_max": None if found.predicted is None else numbers.banded(found.predicted),
            "needed_speed": None if found.needed_speed is None else numbers.speed(found.needed_speed),
            "finding": found.finding,
            "sentence": found.sentence,
            "explanations": list(found.explanations),
        }

    # what is not known exactly, and what else it could be

    def _measure_next(self) -> list[dict[str, Any]]:
        """What to measure next, by knots of band removed; the model's own doubt is the first entry's."""
        if self.decided.clean_max is None:
            return []
        # Inputs alone: beside the wide band of the model their differences drown in the noise of the draws.
        ranked = worth_knowing(self.effects, others=exactly(0.0), fall_others=exactly(0.0))
        now = self.decided.stall(None)
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

    # what the reader has to know

    def _warnings(self) -> list[str]:
        study, answers = self.study, self.answers
        file = study.file
        found: list[str] = [*self.found.notes, *self._at_the_edge()]
        settled = [self._settled(writer) for writer in self.writers.values()]
        shown = [writer for writer in settled if writer is not None] or [self.decided]
        for writer in shown:
            found += writer.warnings()
        found += [bands.WING_WHY, bands.GAIN_WHY, bands.COST_WHY, TIE_BAND, study.drag_note]
        found.append(
            "how far loss of lift spreads along the span is our own choice (0.2 chords); between 0.1 and 0.8"
            " chords the gain of a row that leaves the cabin bare changes by about a fifth either way"
        )
        if any(writer.study.setting is not None for writer in shown):
            found.append(FLAP_ENDS)
        if len(shown) > 1:
            found.append(EFFECTS_ELSEWHERE)
        found.append(
            f"skin and air are taken as '{file.wing.surface.words}': {file.wing.surface.basis}; with both"
            f" layers tripped at {100 * ROUGH_NOSE[0]:.0f} % of chord (bugs, rain, a lap) the stall speed"
            " is given beside it"
        )
        for candidate in file.candidates:
            if candidate.edges == "rounded":
                found.append(
                    f"{candidate.name!r} has rounded edges: this version computes sharp ones, a rounded"
                    " edge sheds less"
                )
        if len(file.candidates) > 1 and len(file.question.height_factors) > 1:
            found.append(
                "every vane was tried at its own height at every place, other heights only of the one that"
                " was best there"
            )
        if len(file.rows) > 1:
            found.append("the rows of wing.toml are predicted one by one, not together")
        if self.inputs is not None:
            found += self.inputs.missing
        unanswered = 0 if answers.choice is None else answers.choice.unanswered
        if unanswered:
            found.append(f"{unanswered} of {len(answers.rows)} rows tried have no answer and are left out")
        for station in file.wing.stations:
            found += station.section.cautions
        return list(dict.fromkeys(found))

    def _at_the_edge(self) -> list[str]:
        """Say that the best row is the last that was tried, one way or another."""
        if self.best is None:
            return []
        tried = [
            t for t in self.answers.tried if t.candidate.name == self.best.candidate and not t.as_written
        ]
        best, said = self.best.row, []
        if not tried:
            return []
        for what, value, values, key in (
            ("place", best.station, {t.row.station for t in tried}, "positions"),
            ("height", best.height, {t.row.height for t in tried}, "height_factors"),
        ):
            if len(values) > 1 and value in (min(values), max(values)):
                end = "last" if value == max(values) else "first"
                said.append(
                    f"the best row's {what} is the {end} that was tried: one beyond may be better; add it to"
                    f" question.{key}"
                )
        return said

    def _sources(self) -> tuple[str, ...]:
        keys: list[str] = []
        for station in self.study.file.wing.stations:
            keys += formula_sources(station.airfoil)
        keys += self.study.file.wing.surface.sources
        for answers in (self.answers, *self.found.answered):
            for results in (answers.clean_sections, *answers.row_sections.values()):
                for result in results:
                    keys += result["sources"]
            keys += answers.clean.sources
        return cite(*dict.fromkeys(keys))


def _same_row(answers: Answers, chosen: RowAnswer | None) -> RowAnswer | None:
    if chosen is None:
        return None
    return next((a for a in answers.rows if a.candidate == chosen.candidate and a.row == chosen.row), None)
