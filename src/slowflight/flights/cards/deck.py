"""All cards in the order in which they are flown: build-up first, fully lowered flaps last of the stalls."""

from __future__ import annotations

from collections.abc import Sequence

from slowflight.flights.campaign.schedule import RATES, PlannedFlight, plan_flights
from slowflight.flights.cards.card import Card
from slowflight.flights.cards.described_cards import climb_card, field_card, tuft_card
from slowflight.flights.cards.other_cards import (
    airspeed_card,
    before_flight_card,
    cruise_card,
    handling_card,
    near_stall_card,
    plan_card,
    roll_card,
)
from slowflight.flights.cards.settings import CardSettings
from slowflight.flights.cards.stall_cards import slow_flight_card, stall_card, warning_card


def deck(
    settings: CardSettings,
    *,
    settles: Sequence[str] = (),
    flights: Sequence[PlannedFlight] | None = None,
    flight: int = 1,
) -> tuple[Card, ...]:
    """Return the cards of one aircraft.

    Parameters
    ----------
    settings : CardSettings
        Of the aircraft.
    settles : sequence of str, optional
        What so many flights can settle, in words, for the plan's card.
    flights : sequence of PlannedFlight, optional
        The plan; made from the settings if not given.
    flight : int, optional
        For which flight of the plan, from 1: each has its own order of entry rates.

    Returns
    -------
    tuple of Card
        Turning stalls, stalls with power, stalls at aft center of gravity and spins have no card: the verdict
        needs none of them.
    """
    planned = plan_flights(settings.flights, removable=settings.removable) if flights is None else flights
    rates = next((one.rates for one in planned if one.number == flight), RATES)
    stalls = [
        stall_card(
            settings, flap, order=order, rates=rates[order % len(rates) :] + rates[: order % len(rates)]
        )
        for order, flap in enumerate(settings.flaps)
    ]
    return (
        plan_card(settings, planned, settles),
        before_flight_card(settings),
        airspeed_card(settings),
        slow_flight_card(settings),
        warning_card(settings),
        near_stall_card(settings),
        *stalls,
        handling_card(settings),
        roll_card(settings),
        cruise_card(settings),
        climb_card(settings),
        field_card(settings),
        tuft_card(settings),
    )
