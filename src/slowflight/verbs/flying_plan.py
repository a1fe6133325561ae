"""What so many flights can settle, and the cards to fly them by."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.book.entries import BEFORE, Book
from slowflight.flights.book.reading import BOOK, read_book
from slowflight.flights.book.writing import append
from slowflight.flights.campaign.settles import PlanRow, what_flights_settle
from slowflight.flights.cards.deck import deck
from slowflight.flights.cards.settings import CardSettings, FlapCard
from slowflight.flights.reduction.campaign import reduce_campaign
from slowflight.flights.stall_record import StallRecord
from slowflight.flights.statistics.scatter import baseline_scatter
from slowflight.flights.statistics.speed_rule import SpeedRule
from slowflight.flights.statistics.stall_terms import POSITION_SHIFT_CALIBRATED, difference_terms
from slowflight.flights.verdict.cautions import VERDICT_CAUTIONS
from slowflight.project import Project, open_project
from slowflight.verbs.flying import aircraft_facts, flap_settings
from slowflight.verbs.flying_add import blank_book
from slowflight.verbs.installing import verdict_of_installed
from slowflight.verbs.predicting import saved_prediction
from slowflight.wing.wing_file import WingFile, read_wing_file

PAPERS = ("a4", "letter")
CARDS = "cards"
SAME_FLAP = 1.0  # [degrees]


def plan_flights(folder: str | Path, *, flights: int | None = None) -> dict[str, Any]:
    """Say what flights can settle, and print the cards.

    Parameters
    ----------
    folder : str or Path
        A project folder. Rules and flap settings come from its flights.toml, which is begun where it is
        missing. With two clean flights or more in the book their own scatter is planned with.
    flights : int, optional
        On each side; as the book says without it.

    Returns
    -------
    dict
        The table in words and numbers and the files written, plain data.

    Raises
    ------
    InputError
        Where wing.toml or flights.toml cannot be used, or the vanes measured on the wing differ left and
        right: no card is printed for such a wing.
    """
    project = open_project(folder)
    _refuse_unequal_wings(project)
    wing = read_wing_file(project.wing_file)
    project.ready(project.flights)
    if flights is not None and not 1 <= flights <= 12:
        raise InputError(where="--flights", found=str(flights), needed="1 to 12 on each side")
    place = project.flights / BOOK
    begun = not place.is_file()
    if begun:
        append(place, "", fresh=blank_book(wing, flights=flights or 3))
    book = read_book(place)
    count = flights or book.rules.flights_a_side
    baseline = _baseline(book, wing)
    speed, why = _stall_speed(project, wing, book)
    landing = _landing(book, wing)
    scatter = baseline_scatter([one for one in baseline if abs(one.flap_deg - landing) <= SAME_FLAP])
    rule = SpeedRule(worth_having=book.rules.worth_having, looks=book.rules.looks)
    numbers = tuple(sorted({1, 2, 3, 4, count}))
    usual, calibrated = (
        what_flights_settle(
            scatter=scatter,
            terms=difference_terms(speed=speed, mass=wing.aircraft.mass, **shift),
            rule=rule,
            flights=numbers,
            unit=book.rules.unit,
        )
        for shift in ({}, {"position_shift": POSITION_SHIFT_CALIBRATED})
    )
    settings = _card_settings(wing, book, flights=count)
    number = len(book.flights) + 1
    words = tuple(row.words for row in usual)
    files = _write(project, settings, words, number)
    per = book.rules.unit.replace("/", "_per_")
    return {
        "kind": "flight plan",
        "aircraft": wing.aircraft.name,
        "unit": book.rules.unit,
        "book": str(place),
        "begun": begun,
        "flights_a_side": count,
        f"worth_having_{per}": units.express(rule.worth_having, book.rules.unit),
        "stall_speed_taken": f"{units.format_speed(speed, book.rules.unit)} ({why})",
        "scatter": scatter.why,
        "for_flight": number,
        "settles": [_row(row, near, book.rules.unit) for row, near in zip(usual, calibrated, strict=True)],
        "files": [str(file) for file in files],
        "cautions": list(VERDICT_CAUTIONS),
    }


def _refuse_unequal_wings(project: Project) -> None:
    found = verdict_of_installed(project)
    if found is not None and found.blocked:
        raise InputError(
            where="the vanes as installed",
            found="; ".join(found.reasons),
            needed="left and right alike before the next test card",
            fix="mend the row, measure both wings and run 'slowflight installed' again",
        )


def _baseline(book: Book, wing: WingFile) -> list[StallRecord]:
    """Stalls of the owner's own clean flights that count, once there are two."""
    clean = tuple(flight for flight in book.flights if flight.side == BEFORE)
    if len(clean) < 2:
        return []
    only = replace(book, flights=clean, cruise=(), rolls=(), climbs=(), field=())
    reduced = reduce_campaign(only, facts=aircraft_facts(wing), flaps_deg=flap_settings(wing))
    return [record for record in reduced.records if record.accepted]


def _landing(book: Book, wing: WingFile) -> float:
    if book.rules.landing_flap_deg is not None:
        return book.rules.landing_flap_deg
    return max(book.rules.flaps_deg or flap_settings(wing))


def _stall_speed(project: Project, wing: WingFile, book: Book) -> tuple[float, str]:
    """Stall speed of the landing setting, predicted where there is a prediction [m/s]."""
    prediction = saved_prediction(project)
    landing = _landing(book, wing)
    for setting in [] if prediction is None else prediction["settings"]:
        close = abs(setting["flap_deg"] - landing) <= SAME_FLAP
        if close and setting["predicted"] and setting.get("stall_speed_clean"):
            return float(setting["stall_speed_clean"]["m_s"]), "predicted, clean"
    return wing.aircraft.slowest_indicated_speed, "slowest indicated speed of wing.toml"


def _card_settings(wing: WingFile, book: Book, *, flights: int) -> CardSettings:
    angles = book.rules.flaps_deg or flap_settings(wing)
    margin = book.rules.cruise_margin
    names = _names(tuple(sorted(angles)))
    droops = wing.flap is not None and wing.flap.kind == "hung"
    slowest = wing.aircraft.slowest_indicated_speed
    read_at = math.degrees(wing.aircraft.slowest_flap_setting)
    return CardSettings(
        aircraft=wing.aircraft.name,
        flaps=tuple(
            FlapCard(
                name=name,
                flap_deg=angle,
                # Lower settings were not read: the card shows the one speed there is, which begins higher.
                expected_stall=slowest,
                full_droop=droops and angle == max(angles) and angle > read_at,
            )
            for name, angle in zip(names, sorted(angles), strict=True)
        ),
        unit=book.rules.unit,
        flights=flights,
        worth_having=book.rules.worth_having,
        cruise_margin=wing.question.cruise_price if margin is None else margin,
        cruise_speed=wing.aircraft.cruise_speed,
        removable=book.rules.removable,
        made_on=datetime.date.today().isoformat(),
    )


def _names(angles: tuple[float, ...]) -> list[str]:
    return ["flap up" if angle == 0.0 else f"flap {angle:g} deg" for angle in angles]


def _write(project: Project, settings: CardSettings, words: tuple[str, ...], number: int) -> list[Path]:
    # Only now: the library that draws is an extra, and everything else must do without it.
    from slowflight.layout.drawing import paper_writer

    paper_writer()
    from slowflight.flights.cards.write import write_cards

    cards = deck(settings, settles=words, flight=number)
    place = project.ready(project.flights / CARDS)
    return [
        write_cards(cards, place / f"cards-{paper}.pdf", settings=settings, paper=paper) for paper in PAPERS
    ]


def _row(row: PlanRow, near: PlanRow, unit: str) -> dict[str, Any]:
    per = unit.replace("/", "_per_")

    def smallest(one: PlanRow) -> float | None:
        return None if one.smallest_gain is None else units.express(one.smallest_gain, unit)

    return {
        "flights": row.flights,
        "words": row.words,
        f"half_band_{per}": units.express(row.half_band, unit),
        f"smallest_gain_{per}": smallest(row),
        f"smallest_gain_calibrated_{per}": smallest(near),
        "dismissed_at_none": row.dismissed_at_none,
    }
