"""The aircraft in the air, added to a prediction: no section is computed for it alone."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np

from slowflight.compare.row_answer import RowAnswer
from slowflight.compare.spans import cut_at
from slowflight.errors import SlowflightError, Unconverged
from slowflight.flight_state import lost_vane, propeller, structure, trim
from slowflight.flight_state.curve import WingCurve, curve_of
from slowflight.flight_state.glide import extra_drag_area
from slowflight.flight_state.power_on import Body
from slowflight.flow.lifting_line import SpanCurve, WingLift, ground, whole
from slowflight.sources import cite
from slowflight.verbs.in_the_air_cruise import cruise_record, maneuvering_record
from slowflight.verbs.in_the_air_cuffs import NO_NOSE, cuff_changes
from slowflight.verbs.in_the_air_elevator import elevator_record
from slowflight.verbs.in_the_air_gaps import NO_GAP, gap_changes
from slowflight.verbs.in_the_air_lost import lost_record
from slowflight.verbs.in_the_air_roll import roll_record
from slowflight.verbs.in_the_air_setting import AtSetting
from slowflight.verbs.in_the_air_slip import slip_record
from slowflight.verbs.in_the_air_small import small_changes
from slowflight.verbs.in_the_air_thrust import descents, power_record
from slowflight.verbs.in_the_air_touchdown import touchdown_record
from slowflight.verbs.prediction_answers import Answers
from slowflight.verbs.prediction_cases import flap_words, is_up
from slowflight.verbs.prediction_setting import attitude_doubt
from slowflight.verbs.prediction_settings import Crew, Settings
from slowflight.verbs.prediction_wing import (
    Results,
    clean_cases,
    clean_spans,
    clean_wing,
    row_cases,
    row_spans,
)
from slowflight.wing.in_the_air import InTheAir
from slowflight.wing.own_airfoil_flap_file import OWN_AIRFOIL

T = TypeVar("T")
CAUTIONS = (
    "Predicted from a model of the whole aircraft that leaves out fuselage, swirl and all unsteady motion."
    " None"
    " of these speeds, attitudes or heights is one to fly to: slow flight is tried high up, from fast to"
    " slow, and"
    " stopped at the first thing that is odd.",
    "A steep slow approach near the stall leaves no room for gusts, wind shear or a late engine: its height"
    " to"
    " recover has to fit under you the whole way down.",
)
NO_POWER: dict[str, Any] = {
    "why": "",
    "idle": None,
    "level_clean": None,
    "level_vanes": None,
    "full_throttle_clean": None,
    "full_throttle_vanes": None,
    "note": "",
}
SPREAD_PAST = math.radians(3.0)
# What is asked for, by keys of [in_the_air] (any missing), and what it would tell.
ASKED: tuple[tuple[tuple[str, ...], str], ...] = (
    (("glides",), "rate of sink, margin to climb away and height to recover beside a slow approach"),
    (("static_thrust", "propeller_diameter"), "how slow it flies with power, and whether it climbs away"),
    (("stick",), "whether the elevator runs out before the wing stalls"),
    (("tail_arm", "balance"), "what the load on the tail does to the stall speed"),
    (("wing_height",), "the touchdown speed with the ground's help"),
    (("over_the_nose",), "how slow you still see where you will land"),
    (("dihedral",), "what a sideslip does when slow"),
    (("load_factor", "maneuvering_speed"), "the maneuvering speed, which goes down with the stall speed"),
    (("roll_up", "roll_down"), "roll control for your own stick travel"),
    (("on_rib",), "the wing's angle on three wheels without the phone's own error"),
    (("gear",), "whether the attitude on the ground is that of three wheels or of a tail skid"),
    (("approach_speed",), "the margin between your own approach and the touchdown"),
)


def add_in_the_air(record: dict[str, Any], found: Settings, crew: Crew) -> None:
    """Add what the aircraft does in the air to a prediction, to every predicted setting and to the whole.

    Parameters
    ----------
    record : dict
        As `prediction_record` made it; gets a key ``in_the_air`` here and in each predicted setting.
    found : Settings
    crew : Crew
        Whose store has the section results.
    """
    settings = {s: a for s, a in found.by_setting.items() if not isinstance(a, str)}
    written = {entry["flap_deg"]: entry for entry in record["settings"] if entry["predicted"]}
    shown = {s: _shown(a, found.decided.best) for s, a in settings.items()}
    rows = {s: row for s, row in shown.items() if row is not None}
    cases = [case for answers in settings.values() for case in clean_cases(answers.study)]
    cases += [case for answers in settings.values() for case in clean_cases(answers.study.bare)]
    cases += [case for s, row in rows.items() for case in row_cases(settings[s].study, row.row)]
    results = crew.run(cases, "the aircraft in the air")
    clean, vanes = _halves(settings, rows, results)
    bare = _bare(settings, results)
    cautions: list[str] = []
    made: dict[float, AtSetting] = {}
    for setting, answers in settings.items():
        entry = written.get(math.degrees(setting))
        at = None if entry is None else _at(setting, answers, rows.get(setting), entry, clean, vanes, bare)
        if at is not None:
            made[setting] = at
    drag = _extra_drag(made, cautions)
    made = {setting: _with_drag(at, drag) for setting, at in made.items()}
    for setting, at in made.items():
        written[math.degrees(setting)]["in_the_air"] = _setting(at, clean, vanes)
    asked = []
    for changes in (gap_changes, cuff_changes):
        more, unset = changes(made, crew)
        asked += more
        cautions += unset
    record["in_the_air"] = _whole(made, found, cautions, asked)


def _shown(answers: Answers, chosen: RowAnswer | None) -> RowAnswer | None:
    """The row that is shown at a setting: the prediction's, else the best there."""
    same = next(
        (
            a
            for a in answers.rows
            if chosen is not None and a.candidate == chosen.candidate and a.row == chosen.row
        ),
        None,
    )
    row = answers.best if same is None else same
    return None if row is None or row.lift is None else row


def _halves(
    settings: Mapping[float, Answers], rows: Mapping[float, RowAnswer], results: Results
) -> tuple[dict[float, Sequence[SpanCurve]], dict[float, Sequence[SpanCurve]]]:
    """Sections of one half at every setting, clean and with the row, cut at the same places."""
    places: set[float] = set()
    for setting, answers in settings.items():
        flap = answers.study.file.flap
        if flap is not None:
            places |= set(answers.study.flap_span)
        if setting in rows:
            row = rows[setting].row
            places |= {y for y in (row.span_from, row.span_to) if y is not None}
    clean: dict[float, Sequence[SpanCurve]] = {}
    vanes: dict[float, Sequence[SpanCurve]] = {}
    for setting, answers in settings.items():
        words = flap_words(setting)
        clean[setting] = cut_at(
            clean_spans(answers.study, results, name=f"the clean wing, flap {words}"), sorted(places)
        )
        if setting in rows:
            spans = row_spans(answers.study, results, row=rows[setting].row, name=f"the row, flap {words}")
            vanes[setting] = cut_at(spans, sorted(places))
    return clean, vanes


def _at(
    setting: float,
    answers: Answers,
    row: RowAnswer | None,
    entry: Mapping[str, Any],
    clean: Mapping[float, Sequence[SpanCurve]],
    vanes: Mapping[float, Sequence[SpanCurve]],
    bare: WingCurve | None,
) -> AtSetting | None:
    curve = curve_of(answers.clean)
    if curve is None:
        return None
    study = answers.study
    wing, flight, said = study.file.wing, study.flight, study.file.in_the_air
    pulls = None
    immersed = 0.0
    if said.static_thrust is not None and said.propeller_diameter is not None:
        pulls = propeller.Propeller(
            static_thrust=said.static_thrust, diameter=said.propeller_diameter, line=said.thrust_line
        )
        immersed = max(0.0, said.propeller_diameter - wing.cabin_width) * wing.chord_at(0.0)
    return AtSetting(
        setting=setting,
        answers=answers,
        clean=curve,
        vanes=None if row is None or row.lift is None else curve_of(row.lift),
        rough=None if answers.rough is None else curve_of(answers.rough),
        bare=None if study.setting is None else bare,
        row=row,
        clean_spans=clean[setting],
        row_spans=vanes.get(setting, ()),
        record=entry,
        body=Body(
            mass=flight.mass,
            area=flight.area,
            density=flight.density,
            extra_drag=0.0,
            incidence=wing.incidence,
            immersed=immersed,
        ),
        propeller=pulls,
        drag_known=False,
        # read on the rib itself, or put together
        attitude_doubt=0.0 if said.on_rib is not None else attitude_doubt(study.file),
    )


def _bare(settings: Mapping[float, Answers], results: Results) -> WingCurve | None:
    """The wing without its flap; nothing where no flap is computed, or without an answer."""
    study = next((a.study for a in settings.values() if a.study.setting is not None), None)
    if study is None:
        return None
    try:
        return curve_of(clean_wing(study.bare, results, name="the wing without flap").lift)
    except Unconverged:
        return None


def _extra_drag(made: Mapping[float, AtSetting], cautions: list[str]) -> float | None:
    """Drag area of all but the wing, from glides with the flap up [m2]."""
    up = next((at for setting, at in made.items() if is_up(setting)), None)
    if up is None or not up.said.glides:
        return None
    try:
        drag = extra_drag_area(up.said.glides, up.clean, body=up.body)
    except SlowflightError as problem:
        cautions.append(f"{problem}; what needs the aircraft's drag is left out")
        return None
    if drag is None:
        cautions.append("in_the_air glides: none lies on the clean wing's lift curve: left out")
    return drag


def _with_drag(at: AtSetting, drag: float | None) -> AtSetting:
    if drag is None:
        return at
    return replace(at, body=replace(at.body, extra_drag=drag), drag_known=True)


def _setting(
    at: AtSetting,
    clean: Mapping[float, Sequence[SpanCurve]],
    vanes: Mapping[float, Sequence[SpanCurve]],
) -> dict[str, Any]:
    rolls = roll_record(at, clean=clean, vanes=vanes)
    lost = lost_record(at, rolls, clean=clean, vanes=vanes)
    slip = slip_record(at, rolls)
    touch = touchdown_record(at)
    cautions = touch["cautions"]
    elevator = _unless_refused(lambda: elevator_record(at), cautions)
    power = _unless_refused(lambda: power_record(at), cautions)
    slow = _unless_refused(lambda: descents(at), cautions)
    return {
        "touchdown": touch,
        "power": power or NO_POWER,
        "descents": slow or [],
        "elevator": elevator,
        "roll": rolls,
        "lost_vane": lost,
        "slip": slip,
        "spread": {
            name: _spread(lift, spans)
            for name, lift, spans in (
                ("clean", at.answers.clean, at.clean_spans),
                ("vanes", None if at.row is None else at.row.lift, at.row_spans),
            )
            if lift is not None and spans
        },
        "limit": _limit(touch, elevator),
    }


def _unless_refused(part: Callable[[], T], cautions: list[str]) -> T | None:
    """Return a part of the record, or nothing and a caution where an owner's number makes no sense of it."""
    try:
        return part()
    except SlowflightError as problem:
        cautions.append(f"{problem}; what needs it is left out")
        return None


def _limit(touch: Mapping[str, Any], elevator: Mapping[str, Any] | None) -> dict[str, str]:
    """What ends a touchdown first, clean and with the row."""
    found = {}
    for name in ("clean", "vanes"):
        first = touch[f"limit_{name}"]
        one = None if elevator is None else elevator.get(name)
        if (
            first is not None
            and one is not None
            and "gear" not in first
            and one["finding"] != ("the wing stalls before the elevator runs out")
        ):
            first = one["finding"]
        if first is not None:
            found[name] = first
    return found


def _spread(lift: WingLift, spans: Sequence[SpanCurve]) -> dict[str, Any]:
    """Where along the half-span sections are past their own maximum, angle by angle."""
    peaks = np.array([_peak_at(spans, float(y)) for y in lift.y])
    stall = lift.angle_continued
    last = math.inf if stall is None else stall + SPREAD_PAST
    rows = []
    for k, angle in enumerate(lift.angles):
        degrees = math.degrees(float(angle))
        if not lift.converged[k] or angle > last or abs(degrees - round(degrees)) > 1e-6:
            continue
        stalled = lift.effective_angles[k] > peaks
        if np.any(stalled):
            rows.append({"wing_angle_deg": degrees, "stalled_m": _runs(lift.y, stalled)})
    return {
        "first_at_m": lift.y_first_station,
        "first_angle_deg": None
        if lift.angle_first_station is None
        else math.degrees(lift.angle_first_station),
        "cl_max_first": lift.cl_max_first_station,
        "cl_max": lift.cl_max_continued,
        "stall_angle_deg": None if stall is None else math.degrees(stall),
        "several_answers_from_deg": _first_of(lift),
        "rows": rows,
    }


def _first_of(lift: WingLift) -> float | None:
    """Smallest wing angle at which theory alone has several answers [deg]."""
    several = lift.angles[lift.several_answers]
    return None if several.size == 0 else math.degrees(float(np.min(several)))


def _peak_at(spans: Sequence[SpanCurve], y: float) -> float:
    span = next((s for s in spans if s.span_from <= y <= s.span_to), spans[-1])
    share = min(max((y - span.span_from) / (span.span_to - span.span_from), 0.0), 1.0)
    ends = [math.inf if c.peak is None else c.peak[0] for c in (span.inner, span.outer)]
    return ends[0] if span.inner is span.outer else (1.0 - share) * ends[0] + share * ends[1]


def _runs(y: np.ndarray, stalled: np.ndarray) -> list[list[float]]:
    """Stretches of the half-span that are stalled, from inboard outward [m]."""
    edges = np.concatenate([[y[0]], 0.5 * (y[1:] + y[:-1]), [0.0]])
    found: list[list[float]] = []
    for k in reversed(range(y.size)):
        if not stalled[k]:
            continue
        inner, outer = float(edges[k + 1]), float(edges[k])
        if found and abs(found[-1][1] - inner) < 1e-9:
            found[-1][1] = outer
        else:
            found.append([inner, outer])
    return found


def _whole(
    made: Mapping[float, AtSetting], found: Settings, cautions: list[str], asked: list[dict[str, Any]]
) -> dict[str, Any]:
    """What belongs to the aircraft and not to a flap setting."""
    file = found.decided.study.file
    up = next((at for setting, at in made.items() if is_up(setting)), None)
    flap = file.flap
    slot = flap is not None and flap.kind in OWN_AIRFOIL and not flap.other_axes
    sources: tuple[str, ...] = (*whole.SOURCES, *lost_vane.SOURCES)
    if file.in_the_air.wing_height is not None:
        sources += ground.SOURCES
    if file.in_the_air.static_thrust is not None:
        sources += propeller.SOURCES
    if file.in_the_air.load_factor is not None:
        sources += structure.SOURCES
    if file.in_the_air.stick or file.in_the_air.tail_span is not None:
        sources += trim.SOURCES
    return {
        "asked": _asked(file.in_the_air),
        "cruise": None if up is None else _unless_refused(lambda: cruise_record(up), cautions),
        "maneuvering": None if up is None else maneuvering_record(up),
        "changes": [*(_unless_refused(lambda: small_changes(made), cautions) or []), *asked],
        "not_predicted": [*([NO_GAP] if slot else []), *([] if file.in_the_air.cuffs else [NO_NOSE])],
        "cautions": [*CAUTIONS, *cautions],
        "sources": list(cite(*dict.fromkeys(sources))),
    }


def _asked(said: InTheAir) -> list[dict[str, str]]:
    """What to measure for what is left out."""
    made = []
    for keys, tells in ASKED:
        missing = [key for key in keys if getattr(said, key) in (None, ())]
        if missing:
            made.append({"keys": ", ".join(f"in_the_air.{key}" for key in missing), "tells": tells})
    return made
