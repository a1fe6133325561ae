"""Read the study to make from the ``[question]`` table of a wing.toml."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, RangeError, UnitError
from slowflight.wing.answers import Answers, Notebook, StandIn
from slowflight.wing.candidate import VaneCandidate
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.planform import Wing
from slowflight.wing.quantity import ANGLE, LENGTH, SHARE, SPEED, read_quantity
from slowflight.wing.question import Question
from slowflight.wing.vane_row import TALLEST_M, TALLEST_SHARE

POSITIONS = (0.02, 0.03, 0.05, 0.07, 0.10, 0.15, 0.20, 0.30)
HEIGHT_FACTORS = (0.7, 1.0, 1.4)
MOST_POSITIONS, MOST_FACTORS = 40, 9
SMALLEST_FACTOR, LARGEST_FACTOR = 0.1, 5.0
OUTER_SHARE = 0.97
SAME_SETTING = math.radians(0.5)
DENSITY_ALTITUDE = StandIn("0 ft", "standard air at sea level")
CRUISE_PRICE = StandIn("2 kt", "guess: what most owners would pay")
NEEDED_POSITIONS = 'a list of shares of chord such as ["5 %", "15 %"]'
NEEDED_FACTORS = "a list of numbers such as [0.8, 1.0, 1.5]"


def read_question(
    values: object, *, place: Path, wing: Wing, flap: FlapPlan | None,
    candidates: Sequence[VaneCandidate], notebook: Notebook,
) -> Question:  # fmt: skip
    """Read the question.

    Parameters
    ----------
    values : object
        The table ``question`` as the TOML library gives it, ``None`` where there is none.
    place : Path
        The file.
    wing : Wing
        On which the row is to stand.
    flap : FlapPlan or None
        Whose settings may be asked about.
    candidates : sequence of VaneCandidate
        Whose heights are to be tried.
    notebook : Notebook
        Where assumptions and cautions go.

    Returns
    -------
    Question

    Raises
    ------
    InputError
        Where a key is unknown or a list is none.
    UnitError, RangeError
        Where a unit is missing or a number makes no sense, or a height to try is too large for the chord.
    """
    empty: dict[str, object] = {}
    table = Answers(
        empty if values is None else values, where=f"{place}: question", key="question", notebook=notebook
    )
    row_from, row_to = _row_ends(table, wing=wing)
    question = Question(
        positions=_positions(table),
        height_factors=_height_factors(table),
        density_altitude=table.quantity(
            "density_altitude", LENGTH, "-3000 ft", "20000 ft", stand_in=DENSITY_ALTITUDE
        ),
        cruise_price=table.quantity("cruise_price", SPEED, "0 kt", "20 kt", stand_in=CRUISE_PRICE),
        row_from=row_from,
        row_to=row_to,
        flap_setting=_flap_setting(table, flap=flap),
    )
    table.finish()
    _check_heights(question, wing=wing, candidates=candidates, where=table.table.field("height_factors"))
    if row_from < 0.5 * wing.cabin_width:
        notebook.cautions.append(
            "question.row_from puts vanes over the cabin: the air there comes off the windscreen,"
            " and the study does not know it"
        )
    return question


def _positions(table: Answers) -> tuple[float, ...]:
    found = table.listed("positions", needed=NEEDED_POSITIONS)
    if found is None:
        shown = ", ".join(f"{100 * position:g}" for position in POSITIONS)
        table.notebook.assume(
            "question.positions",
            StandIn(f"{shown} %", "common practice, no source: the forward third"),
        )
        return POSITIONS
    where = table.table.field("positions")
    positions = [read_quantity(text, SHARE, low="1 %", high="90 %", where=where).value for text in found]
    return _rising(positions, where=where, most=MOST_POSITIONS)


def _height_factors(table: Answers) -> tuple[float, ...]:
    found = table.listed("height_factors", needed=NEEDED_FACTORS)
    if found is None:
        shown = ", ".join(f"{factor:g}" for factor in HEIGHT_FACTORS)
        table.notebook.assume(
            "question.height_factors", StandIn(shown, "guess: about root two smaller and larger")
        )
        return HEIGHT_FACTORS
    where = table.table.field("height_factors")
    return _rising([_factor(value, where=where) for value in found], where=where, most=MOST_FACTORS)


def _factor(value: object, *, where: str) -> float:
    try:
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise ValueError
        factor = float(value)
    except ValueError:
        raise UnitError(
            where=where, found=repr(value), needed=NEEDED_FACTORS, fix="a factor has no unit"
        ) from None
    if not SMALLEST_FACTOR <= factor <= LARGEST_FACTOR:
        raise RangeError(
            where=where,
            found=repr(value),
            needed=f"{SMALLEST_FACTOR:g} to {LARGEST_FACTOR:g} times the candidate's own height",
        )
    return factor


def _rising(values: Sequence[float], *, where: str, most: int) -> tuple[float, ...]:
    if len(values) > most:
        raise InputError(
            where=where, found=f"{len(values)} of them", needed=f"at most {most}", fix="leave some out"
        )
    if len(set(values)) < len(values):
        raise InputError(where=where, found="one value twice", needed="each once")
    return tuple(sorted(values))


def _flap_setting(table: Answers, *, flap: FlapPlan | None) -> float | None:
    if not table.given("flap_setting"):
        return None
    where = table.table.field("flap_setting")
    found = table.table.value("flap_setting", needed='a setting such as "30 deg"')
    asked = read_quantity(found, ANGLE, low="-20 deg", high="60 deg", where=where).value
    settings = () if flap is None else flap.settings
    nearest = min(settings, key=lambda setting: abs(setting - asked), default=None)
    if nearest is None or abs(nearest - asked) > SAME_SETTING:
        shown = ", ".join(units.format_angle(setting) for setting in settings) or "no flap"
        raise InputError(
            where=where, found=repr(found), needed=f"one of the flap's settings: {shown}",
            fix="add it to flap.settings, or ask at one that is there",
        )  # fmt: skip
    return nearest


def _row_ends(table: Answers, *, wing: Wing) -> tuple[float, float]:
    tip = _m(wing.semi_span)
    inner = StandIn(_m(0.5 * wing.cabin_width), "half the cabin width")
    outer = StandIn(_m(OUTER_SHARE * wing.semi_span), "guess: 97 % of the semi-span, clear of the tip bow")
    row_from = table.quantity("row_from", LENGTH, "0 m", tip, stand_in=inner)
    row_to = table.quantity("row_to", LENGTH, "0 m", tip, stand_in=outer)
    if row_to <= row_from:
        raise RangeError(
            where=table.table.field("row_to"),
            found=f"a row from {_m(row_from)} to {_m(row_to)}",
            needed="the end outboard of the start",
            fix="both count from the centerline",
        )
    return row_from, row_to


def _check_heights(
    question: Question, *, wing: Wing, candidates: Sequence[VaneCandidate], where: str
) -> None:
    chord = min(wing.chord_at(question.row_from), wing.chord_at(question.row_to))
    largest = question.height_factors[-1]
    for candidate in candidates:
        height = largest * candidate.height
        if height > min(TALLEST_M, TALLEST_SHARE * chord):
            raise RangeError(
                where=where,
                found=f"{largest:g}, a height of {units.format_length(height, 'mm')} for {candidate.name!r}",
                needed=f"at most {units.format_length(min(TALLEST_M, TALLEST_SHARE * chord), 'mm')}",
                fix="try smaller factors, or check the candidate's height",
            )


def _m(value: float) -> str:
    return units.format_length(value, "m", decimals=4)
