"""Cards of what is described more than tested: climb, take-off and landing roll, tufts."""

from __future__ import annotations

from slowflight.flights.cards.card import Card, Sheet
from slowflight.flights.cards.settings import CardSettings
from slowflight.flights.cards.stall_cards import shown
from slowflight.flights.tufts.plan import RULES as TUFT_RULES


def climb_card(settings: CardSettings) -> Card:
    """Return the card of sawtooth climbs."""
    clean = settings.flaps[0]
    rows = tuple(
        (str(number), heading, shown(factor * clean.expected_stall, settings), "", "", "", "", "")
        for number, (factor, heading) in enumerate(
            (
                (1.5, "out"),
                (1.5, "back"),
                (1.3, "out"),
                (1.3, "back"),
                (1.7, "out"),
                (1.7, "back"),
                (1.9, "out"),
                (1.9, "back"),
            ),
            start=1,
        )
    )
    return Card(
        title="Climb",
        gates=("before-flight card complete",),
        steps=(
            "Full power, from 500 ft below a chosen height to 500 ft above it, timed; glide down; repeat.",
            "Each speed on one heading and on the opposite one, across the wind.",
            "Speed within 1 kt, ball centered. Watch temperatures.",
            "Never slower than 1.3 times the stall speed on this card.",
        ),
        sheet=Sheet(
            columns=(
                "run",
                "heading",
                f"hold {settings.unit}",
                "seconds",
                "from",
                "to",
                "temp.",
                "fuel left",
            ),
            widths=(0.5, 0.9, 1.0, 1.0, 1.0, 1.0, 0.8, 1.0),
            rows=rows,
        ),
    )


def tuft_card(settings: CardSettings) -> Card:
    """Return the card of filming tufts, one slow-down for each flap setting."""
    rows = tuple(
        (flap.name, shown(1.3 * flap.expected_stall, settings), "", "", "", "")
        for flap in settings.flaps
        if not flap.full_droop
    )
    return Card(
        title="Tufts: where the air lets go (described, not timed)",
        gates=("stall card of this setting flown, without tufts", "every tuft counted and pulled by hand"),
        steps=(
            *TUFT_RULES,
            "In the air, at the height for stalls: camera on, clap or rock the wings, then from 1.3 times the"
            " stall speed slow by 1 kt each second, wings level, to the first warning. Further only where the"
            " stall card was flown with nothing on the stop list.",
            "The same entry, light and camera place before and after. Nobody watches tufts and flies.",
        ),
        sheet=Sheet(
            columns=("setting", f"begin at {settings.unit}", "clap at", "file", "warning at", "notes"),
            widths=(1.4, 1.0, 1.0, 1.4, 1.0, 2.2),
            rows=rows,
        ),
        note="No speed of this card counts: yarn is roughness. Tufts come off before cruise and the stalls"
        " that count.",
    )


def field_card(settings: CardSettings) -> Card:
    """Return the card of take-off and landing rolls."""
    rows = tuple(
        (str(number), kind, "", "", "", "", "") for kind in ("take-off", "landing") for number in range(1, 7)
    )
    return Card(
        title="Take-off and landing roll (described, not tested)",
        gates=(
            "stall cards done and looked at",
            "approach speed as before: unchanged by anything on these cards",
        ),
        steps=(
            "Cones every 10 m beside, not on, the strip; phone on a tripod abeam the middle; wind below 5"
            " kt.",
            "Speeds of rotation and approach exactly as before the vanes. Same technique every time,"
            " written down.",
            "Nobody lifts off or lands slower 'to see'. A wing that flies at an angle from which it cannot"
            " climb ends in the trees.",
            "Grass, slope, wind and pilot count for more than vanes: numbers are shown side by side, no"
            " more.",
        ),
        sheet=Sheet(
            columns=("no.", "which", "wind along", "speed", "distance", "mass", "grass, notes"),
            widths=(0.5, 0.9, 1.0, 0.9, 1.0, 0.9, 2.2),
            rows=rows,
        ),
    )
