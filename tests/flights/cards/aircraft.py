"""An invented aircraft for cards."""

from typing import Any

from slowflight import units
from slowflight.flights.cards.settings import CardSettings, FlapCard

KNOT = units.speed("1 kt", where="test")
UP = FlapCard(name="flap up", flap_deg=0.0, expected_stall=38.0 * KNOT)
HALF = FlapCard(name="half flap", flap_deg=18.0, expected_stall=34.0 * KNOT, limit_speed=70.0 * KNOT)
FULL = FlapCard(
    name="full flap", flap_deg=34.0, expected_stall=31.0 * KNOT, limit_speed=60.0 * KNOT, full_droop=True
)


def settings(**changes: Any) -> CardSettings:
    values: dict[str, Any] = {
        "aircraft": "Invented two-seater",
        "flaps": (UP, HALF, FULL),
        "unit": "kt",
        "flights": 3,
        "worth_having": 1.0 * KNOT,
        "cruise_margin": 1.0 * KNOT,
        "cruise_speed": 80.0 * KNOT,
        "removable": True,
        "made_on": "2026-11-25",
    }
    return CardSettings(**{**values, **changes})
