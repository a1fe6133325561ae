"""Handling as the pilot wrote it down, and beside it what the log saw: the worse of the two counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slowflight.flights.book.entries import AFTER, BEFORE, SIDES, Book
from slowflight.flights.handling.observation import Observation
from slowflight.flights.reduction.one_flight import ReducedFlight
from slowflight.flights.stall_record import STALL_ENDINGS
from slowflight.flights.statistics.stall_sets import FLAP_RANGE_DEG
from slowflight.flights.verdict.decision import FlapSetting


def observations(
    book: Book, flights: Sequence[ReducedFlight], settings: Sequence[FlapSetting]
) -> dict[str, tuple[Observation, Observation]]:
    """Return what was seen before and after, by name of flap setting.

    Parameters
    ----------
    book : Book
        With the pilot's cards.
    flights : sequence of ReducedFlight
        Whose logs show roll and height lost.
    settings : sequence of FlapSetting
        That matter.

    Returns
    -------
    dict
        Only settings of which the pilot wrote a card of at least one side: a log alone does not say how the
        aircraft handled.
    """
    found = {}
    for setting in settings:
        cards = {
            one.side: one.seen
            for one in book.handling
            if abs(one.flap_deg - setting.flap_deg) <= FLAP_RANGE_DEG and one.seen != Observation()
        }
        if cards:
            before, after = (
                _with_log(cards.get(side, Observation()), flights, SIDES[side], setting.flap_deg)
                for side in (BEFORE, AFTER)
            )
            found[setting.name] = (before, after)
    return found


def _with_log(
    seen: Observation, flights: Sequence[ReducedFlight], configuration: str, flap_deg: float
) -> Observation:
    rolls, heights = [], []
    for flight in flights:
        for event, record in zip(flight.flown.events, flight.records, strict=False):
            alike = (
                record.configuration == configuration
                and record.ending in STALL_ENDINGS
                and abs(record.flap_deg - flap_deg) <= FLAP_RANGE_DEG
            )
            if alike and event.greatest_roll is not None:
                rolls.append(event.greatest_roll)
            if alike and event.height_lost is not None:
                heights.append(event.height_lost)
    return replace(
        seen,
        roll_at_stall=_worse(seen.roll_at_stall, rolls),
        height_lost=_worse(seen.height_lost, heights),
    )


def _worse(said: float | None, logged: Sequence[float]) -> float | None:
    every = [*logged, *([] if said is None else [said])]
    return max(every, default=None)
