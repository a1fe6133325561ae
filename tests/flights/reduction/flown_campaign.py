"""A simulated campaign of six flights whose truth is known, as tests of the reduction use it."""

from __future__ import annotations

from collections.abc import Callable

from slowflight.flights.reduction.campaign import ReducedCampaign
from slowflight.flights.reduction.flown import AircraftFacts

KNOT = 1852.0 / 3600.0
FACTS = AircraftFacts(area=12.7, mass=550.0, stall_guess=31.0 * KNOT, cruise_speed=42.0, density_altitude=0.0)
Reduce = Callable[..., ReducedCampaign]


def without(flight: str) -> tuple[str, str]:
    """Take a flight out of the book; the first of each side is the one with legs."""
    return rf'\[\[flight\]\]\nname = "{flight}"(?s:.*?)# end {flight}\n', ""
