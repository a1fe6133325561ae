"""From all that was flown to one decision: the door for callers, and its plain record for files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from slowflight import units
from slowflight.flights.cruise.speed_power import CruiseAnswer
from slowflight.flights.handling.observation import Observation
from slowflight.flights.handling.scorecard import Finding, Scorecard, score, together
from slowflight.flights.stall_record import CLEAN, STALL_ENDINGS, VANES, StallRecord
from slowflight.flights.statistics.cross_checks import cross_check
from slowflight.flights.statistics.gain import Gain, measure_gain
from slowflight.flights.statistics.headline import LIKELY
from slowflight.flights.statistics.scatter import WORSE_ASSUMED, Scatter
from slowflight.flights.statistics.speed_rule import SpeedRule, speed_finding
from slowflight.flights.statistics.stall_sets import FLAP_RANGE_DEG
from slowflight.flights.statistics.stall_terms import POSITION_SHIFT, difference_terms
from slowflight.flights.verdict.cautions import VERDICT_CAUTIONS
from slowflight.flights.verdict.judge import FlightVerdict, Setting, Situation, judge_flights

SOURCES = ("PattersonThompson1971", "GUM2008", "CFR23stall", "Schuirmann1987", "Armitage1969")


@dataclass(frozen=True, kw_only=True)
class FlapSetting:
    """A flap setting that matters.

    Parameters
    ----------
    name : str
        Such as ``"flap up"``.
    flap_deg : float
        [degrees].
    landing : bool
        Whether it is the landing setting.
    """

    name: str
    flap_deg: float
    landing: bool = False


@dataclass(frozen=True, kw_only=True)
class Decision:
    """Everything the verdict rests on, and the verdict.

    Parameters
    ----------
    verdict : FlightVerdict
        In words.
    settings : tuple of Setting
        Gains by flap setting.
    handling : Scorecard or None
        Of all settings together.
    cruise : CruiseAnswer or None
        If flown.
    rule : SpeedRule
        As fixed beforehand.
    cautions : tuple of str
        To stand beside it wherever it is shown.
    """

    verdict: FlightVerdict
    settings: tuple[Setting, ...]
    handling: Scorecard | None
    cruise: CruiseAnswer | None
    rule: SpeedRule
    cautions: tuple[str, ...] = VERDICT_CAUTIONS


def decide(
    records: Sequence[StallRecord],
    *,
    flaps: Sequence[FlapSetting],
    reference_mass: float,
    handling: Mapping[str, tuple[Observation, Observation]],
    other_findings: Sequence[Finding] = (),
    cruise: CruiseAnswer | None = None,
    rule: SpeedRule | None = None,
    situation: Situation | None = None,
    again: str | None = None,
    position_shift: float = POSITION_SHIFT,
    air_unknown: float = 0.0,
    assumed: Scatter = WORSE_ASSUMED,
    unit: str = "kt",
) -> Decision:
    """Decide about a campaign.

    Parameters
    ----------
    records : sequence of StallRecord
        Of all flights, struck ones too.
    flaps : sequence of FlapSetting
        Every setting that matters, one of them the landing setting.
    reference_mass : float
        To which the records were brought [kg].
    handling : mapping of str to (Observation, Observation)
        Before and after, by name of setting; a setting without one counts as not flown.
    other_findings : sequence of Finding, optional
        Such as those of the roll test.
    cruise : CruiseAnswer, optional
        From `compare_cruise`.
    rule, situation, again, position_shift, air_unknown, assumed, unit : optional
        As for `judge_flights`, `measure_gain` and `difference_terms`.

    Returns
    -------
    Decision

    Raises
    ------
    InputError
        As for `measure_gain` and `judge_flights`.
    """
    chosen = rule or SpeedRule()
    settings = tuple(
        Setting(
            name=flap.name,
            gain=_gain(
                records,
                flap.flap_deg,
                reference_mass=reference_mass,
                again=again,
                position_shift=position_shift,
                air_unknown=air_unknown,
                assumed=assumed,
            ),
            landing=flap.landing,
        )
        for flap in flaps
    )
    nothing = Observation()
    cards = []
    for flap in flaps:
        before, after = handling.get(flap.name, (nothing, nothing))
        cards.append((flap.name, score(before=before, after=after, landing=flap.landing)))
    card = together(cards, other_findings) if handling or other_findings else None
    return Decision(
        verdict=judge_flights(
            settings, handling=card, cruise=cruise, rule=chosen, situation=situation, unit=unit
        ),
        settings=settings,
        handling=card,
        cruise=cruise,
        rule=chosen,
    )


def to_record(decision: Decision, *, unit: str = "kt") -> dict[str, Any]:
    """Return a decision as plain numbers and words.

    Parameters
    ----------
    decision : Decision
        As made.
    unit : str, optional
        Of speeds; it is part of their keys, with ``/`` written ``_per_``.

    Returns
    -------
    dict
        Without NaN; what was not flown is None.
    """
    verdict = decision.verdict
    return {
        "verdict": verdict.finding,
        "headlines": list(verdict.headlines),
        "reasons": list(verdict.reasons),
        "next_flight": None if verdict.next_flight is None else verdict.next_flight.words,
        "settings": [_setting(setting, decision.rule, unit) for setting in decision.settings],
        "handling": None
        if decision.handling is None
        else [
            {"item": one.item, "level": one.level, "words": one.words} for one in decision.handling.findings
        ],
        "cruise": None if decision.cruise is None else _cruise(decision.cruise, unit),
        "cautions": list(decision.cautions),
        "sources": list(SOURCES),
    }


def _gain(
    records: Sequence[StallRecord],
    flap_deg: float,
    *,
    reference_mass: float,
    again: str | None,
    position_shift: float,
    air_unknown: float,
    assumed: Scatter,
) -> Gain | None:
    stalls = [
        record
        for record in records
        if record.accepted
        and record.ending in STALL_ENDINGS
        and abs(record.flap_deg - flap_deg) <= FLAP_RANGE_DEG
    ]
    flown = {record.configuration for record in stalls}
    if not {CLEAN, VANES} <= flown:
        return None
    mean = sum(record.speed_reference for record in stalls) / len(stalls)
    return measure_gain(
        records,
        again=again if again in flown else None,
        flap_deg=flap_deg,
        terms=difference_terms(
            speed=mean, mass=reference_mass, position_shift=position_shift, air_unknown=air_unknown
        ),
        assumed=assumed,
    )


def _setting(setting: Setting, rule: SpeedRule, unit: str) -> dict[str, Any]:
    gain = setting.gain
    found: dict[str, Any] = {"name": setting.name, "landing": setting.landing, "gain": None}
    if gain is None:
        return found
    per = unit.replace("/", "_per_")

    def in_unit(speed: float) -> float:
        return units.express(speed, unit)

    low, high = gain.band(LIKELY)
    found["gain"] = {
        f"value_{per}": in_unit(gain.value),
        f"low_{per}": in_unit(low),
        f"high_{per}": in_unit(high),
        "band": LIKELY,
        "probability_worth_having": gain.probability_above(rule.worth_having),
        "finding": speed_finding(gain, rule),
        "flights": list(gain.flights),
        f"between_flights_{per}": in_unit(gain.between),
        f"within_flights_{per}": in_unit(gain.within),
        "scatter_assumed": gain.scatter_assumed,
        f"drift_{per}": None if gain.drift is None else in_unit(gain.drift[0]),
        "budget": [
            {"name": term.name, f"standard_uncertainty_{per}": in_unit(term.contribution)}
            for term in gain.budget.terms
        ],
        "cancels": [term.name for term in gain.budget.canceled],
        "readings": [
            {
                "flight": one.flight,
                "configuration": one.configuration,
                f"stall_speed_{per}": in_unit(one.speed),
                "stalls": one.stalls,
            }
            for one in gain.readings
        ],
        "unlike": [one.words for one in gain.unlike],
        "checks": _checks(gain, rule),
    }
    return found


def _checks(gain: Gain, rule: SpeedRule) -> dict[str, Any] | None:
    checks = cross_check(gain, threshold=rule.worth_having)
    if checks is None:
        return None
    return {
        "flights_only_p": checks.difference.p,
        "relabeling_p": checks.relabeling_p,
        "rank_p": checks.rank_p,
        "probability_worth_having_flights_only": checks.worth_having,
    }


def _cruise(answer: CruiseAnswer, unit: str) -> dict[str, Any]:
    per = unit.replace("/", "_per_")
    low, high = answer.difference.band(LIKELY)
    return {
        f"change_{per}": units.express(answer.difference.value, unit),
        f"low_{per}": units.express(low, unit),
        f"high_{per}": units.express(high, unit),
        f"margin_{per}": units.express(answer.equivalence.margin, unit),
        "no_loss_shown": answer.equivalence.not_worse,
        "equivalent_shown": answer.equivalence.equivalent,
        "flights": list(answer.flights),
    }
