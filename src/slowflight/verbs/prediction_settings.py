"""The clean wing and the rows at every flap setting, computed.

All rows are computed with the flap up, because that is how the aircraft cruises and what a row costs there;
all of them once more where the owner asks for the row that is best at another setting. Elsewhere the clean
wing and the chosen vane at every place are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from slowflight.compare.choice import Choice, choose
from slowflight.compare.row_answer import RowAnswer, row_answer
from slowflight.errors import SlowflightError, Unconverged
from slowflight.flow.lifting_line import WingLift
from slowflight.study import pool
from slowflight.study.store import RunStore
from slowflight.verbs.prediction_answers import Answers
from slowflight.verbs.prediction_cases import RowToTry, Study, at_setting, flap_words, is_up
from slowflight.verbs.prediction_wing import Results, clean_cases, clean_wing, row_cases, wing_with_row
from slowflight.wing.vane_row import VaneRow

Told = Callable[[str, int, int], None]
UP = 0.0
ROWS_APART, AFTMOST = (
    0.12,
    0.5,
)  # of a second row behind the first, and where it may stand [shares of the chord]
NO_FLAP_UP = "no flap setting is up: what a row costs in cruise is computed on the wing without its flap"


@dataclass(frozen=True, kw_only=True)
class Crew:
    """Who computes, where results are kept, and who is told how far it is."""

    store: RunStore
    workers: int | str
    told: Told | None

    def run(self, cases: Iterable[Any], what: str) -> dict[str, Any]:
        """Return the results of cases by key, computing only what is not there."""

        def tell(done: int, total: int) -> None:
            if self.told is not None:
                self.told(what, done, total)

        return pool.run(list(cases), self.store, workers=self.workers, on_done=tell)


@dataclass(frozen=True, kw_only=True)
class Settings:
    """What was found at each flap setting.

    Parameters
    ----------
    by_setting : mapping
        In the owner's order, by deflection [rad]: answers, or text that says why there are none.
    decided : Answers
        At the setting at which the row was chosen.
    notes : tuple of str
        What the reader has to know about how that was done.
    """

    by_setting: Mapping[float, Answers | str]
    decided: Answers
    notes: tuple[str, ...] = ()

    @property
    def answered(self) -> list[Answers]:
        """Answers at the settings that have one, the one that decides among them."""
        return [found for found in self.by_setting.values() if not isinstance(found, str)]

    def setting_of(self, answers: Answers) -> float:
        """Return the setting of answers [rad]."""
        return next((setting for setting, found in self.by_setting.items() if found is answers), UP)


def predicted_settings(study: Study, crew: Crew) -> Settings:
    """Compute every setting of the flap.

    Parameters
    ----------
    study : Study
    crew : Crew

    Returns
    -------
    Settings

    Raises
    ------
    Unconverged
        Where not even the clean wing with the flap up has a lift curve.
    """
    settings = (UP,) if study.file.flap is None else study.file.flap.settings
    notes: list[str] = []
    up_setting = next((setting for setting in settings if is_up(setting)), None)
    up_study = study.bare
    if up_setting is None:
        notes.append(NO_FLAP_UP)
    else:
        there = at_setting(study, up_setting)
        if isinstance(there, str):
            notes.append(f"flap up: {there}; the wing without its flap stands in")
        else:
            up_study = there
    up = _searched(up_study, crew, "lift curves")
    costs = {answer.row: answer for answer in up.rows}

    asked = study.file.question.flap_setting
    if asked is None and up_setting is None:
        asked = settings[0]
    decided = up
    found: dict[float, Answers | str] = dict.fromkeys(settings, "")
    if up_setting is not None:
        found[up_setting] = up
    if asked is not None and not is_up(asked):
        answers = _at(study, asked, None, crew, costs)
        found[asked] = answers
        if isinstance(answers, str):
            notes.append(f"the row was to be chosen at {flap_words(asked)} of flap: {answers}")
        else:
            decided = answers
    if up_setting is None and decided is up:
        notes.append(
            "the row was chosen on the wing without its flap, a setting that wing.toml does not list"
        )
    fewer = _chosen_vane(study, decided)
    for setting in settings:
        if found[setting] == "":
            found[setting] = _at(study, setting, fewer, crew, costs)
    return _with_two_rows(Settings(by_setting=found, decided=decided, notes=tuple(notes)), up, crew)


def _with_two_rows(settings: Settings, up: Answers, crew: Crew) -> Settings:
    """Add to each setting the chosen row with a second one like it behind."""
    best = settings.decided.best
    if best is None:
        return settings
    station = best.row.station + (ROWS_APART if best.row.station + ROWS_APART <= AFTMOST else -ROWS_APART)
    second = replace(best.row, station=station)
    front, back = sorted((best.row, second), key=lambda row: row.station)
    everywhere = [up, *(a for a in settings.answered if a is not up)]
    cases = [case for answers in everywhere for case in row_cases(answers.study, front, back)]
    results = crew.run(
        [*cases, *(c for a in everywhere for c in clean_cases(a.study))], "two rows, one behind the other"
    )
    cruise = _together(up, best.candidate, front, back, results, None)
    made = {id(a): _together(a, best.candidate, front, back, results, cruise) for a in everywhere}

    def added(answers: Answers) -> Answers:
        return replace(answers, two_rows=made[id(answers)])

    fresh = {s: a if isinstance(a, str) else added(a) for s, a in settings.by_setting.items()}
    decided = next(
        (fresh[s] for s, a in settings.by_setting.items() if a is settings.decided), added(settings.decided)
    )
    assert not isinstance(decided, str)
    return replace(settings, by_setting=fresh, decided=decided)


def _together(
    answers: Answers, candidate: str, front: VaneRow, back: VaneRow, results: Results, up: RowAnswer | None
) -> RowAnswer | None:
    name = f"{candidate} in two rows"
    try:
        wing = wing_with_row(
            answers.study, results, row=front, clean=answers.clean, behind=(back,), name=name
        )
    except SlowflightError:
        return None
    found = row_answer(
        candidate=candidate, row=front, lift=wing.lift, clean=answers.clean, flight=answers.study.flight,
        flaps_up=up,
    )  # fmt: skip
    if up is None and answers.study.setting is not None and not is_up(answers.study.setting):
        found = replace(found, drag_counts=None, cruise_loss=None)  # nobody cruises with the flap down
    return replace(found, second=back)


def _at(
    study: Study,
    setting: float,
    rows: Sequence[RowToTry] | None,
    crew: Crew,
    costs: Mapping[VaneRow, RowAnswer],
) -> Answers | str:
    there = at_setting(study, setting)
    if isinstance(there, str):
        return there
    try:
        what = f"flap at {flap_words(setting)}"
        found = (
            _searched(there, crew, what, costs) if rows is None else _answers(there, rows, crew, what, costs)
        )
    except Unconverged as problem:
        return f"no answer: {problem}"
    if found.clean.cl_max_continued is None:
        return "not predicted: the clean wing's maximum lift is not bracketed by answered angles"
    return found


def _searched(
    study: Study, crew: Crew, what: str, costs: Mapping[VaneRow, RowAnswer] | None = None
) -> Answers:
    """Try every vane at its own height at every place, then other heights of the one that was best."""
    first = tuple(t for t in study.rows if t.as_written or t.own_height)
    found = _answers(study, first, crew, what, costs)
    best = found.best
    rest = tuple(
        t for t in study.rows if t not in first and (best is None or t.candidate.name == best.candidate)
    )
    return found if not rest else _answers(study, (*first, *rest), crew, f"{what}, other heights", costs)


def _chosen_vane(study: Study, decided: Answers) -> tuple[RowToTry, ...]:
    """Rows of the vane that was chosen at every place, and those in wing.toml.

    Without a choice, or where a row of wing.toml was best, the first candidate's vane stands in.
    """
    best = decided.best
    vanes = [(t.candidate.name, t.row.height) for t in study.rows if not t.as_written and t.own_height]
    chosen = None if best is None else (best.candidate, best.row.height)
    tried = {(t.candidate.name, t.row.height) for t in study.rows if not t.as_written}
    vane = chosen if chosen in tried else next(iter(vanes), None)
    return tuple(t for t in study.rows if t.as_written or (t.candidate.name, t.row.height) == vane)


def _answers(
    study: Study,
    rows: Sequence[RowToTry],
    crew: Crew,
    what: str,
    costs: Mapping[VaneRow, RowAnswer] | None = None,
) -> Answers:
    cases = [*clean_cases(study), *clean_cases(study.rough())]
    if study.setting is not None:
        cases += clean_cases(study.bare)
    for tried in rows:
        cases += row_cases(study, tried.row)
    results = crew.run(cases, what)
    clean = clean_wing(study, results, name="the clean wing")
    answers = [_row_answer(study, results, row, clean.lift, costs) for row in rows]
    return Answers(
        study=study,
        tried=tuple(rows),
        clean=clean.lift,
        clean_sections=clean.sections,
        without_flap=None if study.setting is None else _maximum(study.bare, results),
        rough=_rough(study, results),
        rows=tuple(answers),
        row_sections={
            number: tuple(results[case.key] for case in row_cases(study, row.row)[: len(clean.sections)])
            for number, row in enumerate(rows)
        },
        choice=_choice(study, clean.lift, answers),
    )


def _maximum(study: Study, results: Results) -> float | None:
    try:
        return clean_wing(study, results, name="the wing without flap").lift.cl_max_continued
    except Unconverged:
        return None


def _rough(study: Study, results: Results) -> WingLift | None:
    try:
        return clean_wing(study.rough(), results, name="the rough wing").lift
    except Unconverged:
        return None


def _choice(study: Study, clean: WingLift, answers: Sequence[RowAnswer]) -> Choice | None:
    if clean.cl_max_continued is None:
        return None
    return choose(answers, cruise_price=study.file.question.cruise_price)


def _row_answer(
    study: Study,
    results: Results,
    tried: RowToTry,
    clean: WingLift,
    costs: Mapping[VaneRow, RowAnswer] | None,
) -> RowAnswer:
    name = f"{tried.candidate.name} at {100 * tried.row.station:.0f} %"
    try:
        wing = wing_with_row(study, results, row=tried.row, clean=clean, name=name)
    except SlowflightError as problem:
        return RowAnswer(
            candidate=tried.candidate.name, row=tried.row, lift=None, cl_max=None, stall_angle=None,
            stall_speed=None, fall=None, drag_counts=None, cruise_loss=None, problem=str(problem),
        )  # fmt: skip
    return row_answer(
        candidate=tried.candidate.name, row=tried.row, lift=wing.lift, clean=clean, flight=study.flight,
        flaps_up=None if costs is None else costs.get(tried.row),
    )  # fmt: skip
