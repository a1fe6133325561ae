"""The cards besides the stalls: plan, before flight, airspeed, handling, roll, cruise."""

from __future__ import annotations

from collections.abc import Sequence

from slowflight import units
from slowflight.flights.campaign.schedule import HELD_ALIKE, PlannedFlight
from slowflight.flights.cards.card import Card, Sheet
from slowflight.flights.cards.rules import CAMERA, CREW
from slowflight.flights.cards.settings import CardSettings, FlapCard
from slowflight.flights.cards.stall_cards import shown
from slowflight.flights.handling.observation import CHOICES

NEAR_STALL = (1.2, 1.1, 1.05)  # times the stall speed
LEGS = (
    "setting",
    "power",
    "{hold}",
    "heading 1",
    "heading 2",
    "heading 3",
    "height",
    "temp.",
)
LEG_WIDTHS = (1.4, 1.2, 1.0, 1.1, 1.1, 1.1, 1.0, 0.9)
FROZEN = (
    "If the needle freezes or blanks, that speed is out of reach of this indicator: write it down, go faster."
)


def plan_card(settings: CardSettings, flights: Sequence[PlannedFlight], settles: Sequence[str]) -> Card:
    """Return the card that fixes plan and rules before the first flight."""
    worth = units.format_speed(settings.worth_having, settings.unit)
    margin = units.format_speed(settings.cruise_margin, settings.unit)
    return Card(
        title="The plan, fixed before the first flight",
        gates=(
            "approval route agreed in writing with authority, association or inspector",
            "log entry made as the rules ask; insurer told",
        ),
        steps=(
            f"Worth having: a stall slower by more than {worth}. Accepted loss of cruise: {margin}. Nobody"
            " changes these after the first flight.",
            "Held alike: " + "; ".join(HELD_ALIKE) + ".",
            "The answer is looked at once, at the end. Who looks more often needs more certainty each time.",
            "A red handling finding ends it, whatever the speed.",
            *settles,
        ),
        sheet=Sheet(
            columns=("flight", "wing", "block", "date", "time", "pilot", "mass", "c.g.", "done"),
            widths=(0.7, 1.4, 0.7, 1.2, 0.9, 1.4, 1.0, 0.9, 0.7),
            rows=tuple(
                (str(one.number), one.configuration, one.block, "", "", "", "", "", "") for one in flights
            ),
        ),
        note="Flights of one block letter: same pilot, mass and time of day. Signed before the first flight:"
        " ______________________",
    )


def before_flight_card(settings: CardSettings) -> Card:
    """Return the card that is filled in on the ground before every flight."""
    checks = (
        ("vanes counted, left / right", ""),
        ("each vane pulled by hand; spares aboard", ""),
        ("wing clean and dry, no frost; covers off", ""),
        ("mass and center of gravity of this flight", ""),
        ("   within 10 kg and 1 % chord of its pair", ""),
        ("fuel, and how it will be read at each stall", ""),
        ("pitot, static ports and stall warning checked", ""),
        ("air: wind at height, turbulence 0 to 3", ""),
        ("outside temperature and pressure setting", ""),
        ("observer told: place, time, time to call", ""),
        ("logger, phone, camera running; clap done", ""),
    )
    return Card(
        title="Before each flight",
        gates=("plan card signed",),
        steps=(*CREW, *CAMERA),
        sheet=Sheet(columns=("check", "written down"), widths=(1.4, 2.0), rows=checks),
        note="Flaps up is flown before half, and half before full, on every flight.",
    )


def airspeed_card(settings: CardSettings) -> Card:
    """Return the card of legs for wind and airspeed, none of them slow."""
    clean = settings.flaps[0]
    rows = [_leg(clean, "level", factor, settings) for factor in (1.8, 1.5)]
    rows += [_leg(flap, "glide, idle", 1.3, settings) for flap in settings.flaps]
    rows.append(_leg(clean, "level", 1.8, settings))
    return Card(
        title="Airspeed and wind",
        gates=("before-flight card complete",),
        steps=(
            "Three headings 120 degrees apart, or four square ones; 30 seconds each once steady, one height"
            " band of 500 ft, wings level.",
            "Hold the indicated speed of the line on every heading. The log holds ground speed and track;"
            " write down what the indicator shows.",
            "The last line repeats the first: it shows how the wind changed.",
            FROZEN,
        ),
        sheet=_legs(rows, settings),
    )


def near_stall_card(settings: CardSettings) -> Card:
    """Return the card of idle glides close above the stall, where the airspeed indicator is least known."""
    rows = [_leg(flap, "glide, idle", factor, settings) for flap in settings.flaps for factor in NEAR_STALL]
    return Card(
        title="Airspeed close above the stall",
        gates=(
            "slow flight and warning cards flown today, nothing on the stop list",
            "with vanes: this card flown clean before",
        ),
        steps=(
            "Idle glides, wings level, three headings or four; 30 seconds each once steady. The answer"
            " hangs on"
            " these: stalls more than 2 kt below the slowest line that was held do not count as calibrated.",
            "Each setting from its fastest line to its slowest, flap up first. At the first warning that is"
            " the"
            " slowest: write its speed down and go no slower.",
            "Turn from heading to heading at 1.5 times the stall speed or faster, never at the speed of the"
            " line. Climb back before the floor comes near.",
            "Fully drooped ailerons: rudder only.",
            FROZEN,
        ),
        sheet=_legs(rows, settings),
    )


def _leg(flap: FlapCard, power: str, factor: float, settings: CardSettings) -> tuple[str, ...]:
    return (flap.name, power, shown(factor * flap.expected_stall, settings), "", "", "", "", "")


def _legs(rows: Sequence[tuple[str, ...]], settings: CardSettings) -> Sheet:
    columns = tuple(name.format(hold=f"hold {settings.unit}") for name in LEGS)
    return Sheet(columns=columns, widths=LEG_WIDTHS, rows=tuple(rows))


def handling_card(settings: CardSettings) -> Card:
    """Return the handling scorecard to be ticked in the air or right after."""
    asked = (
        ("largest roll at a stall, degrees; held?", ""),
        ("warning ahead of the stall, " + settings.unit, ""),
        ("elevator at its stop before the stall?", ""),
        ("height lost to level flight, ft", ""),
        ("sink at the lowest steady speed, ft/min", ""),
    )
    words = {
        "wing_drop": "wing drop",
        "flare": "elevator in the flare, forward c.g.",
        "pitch": "pitch",
        "recovery": "recovery",
        "rudder": "rudder, idle and climb",
        "shake": "shake and buffet",
        "ailerons": "ailerons",
    }
    chosen = tuple((label, "   /   ".join(CHOICES[name])) for name, label in words.items())
    return Card(
        title="Handling, one card for each flap setting",
        gates=("stall card of this setting flown",),
        steps=(
            "Flap setting: ______________   wing: clean / vanes   flight: ______",
            "Fill in right after the stalls, from memory of this flight, before looking at any speed.",
            "Ring one word in each line; 'not flown' is written as such.",
            "Red is: the last words of a line (but wing drop), a drop that the clean wing did not have, a"
            " slower"
            " recovery, no warning, roll beyond 15 degrees that is not held, sink above 1,200 ft/min where"
            " the clean wing sank less. Red ends slow flight until an expert has looked.",
        ),
        sheet=Sheet(columns=("question", "answer"), widths=(1.3, 2.0), rows=(*asked, *chosen)),
        note="Amber: watch. Red: outranks any gain of speed.",
    )


def roll_card(settings: CardSettings) -> Card:
    """Return the card of the home roll test."""
    rows = [
        (flap.name, f"{factor:.1f}", shown(factor * flap.expected_stall, settings), "", "", "")
        for flap in settings.flaps
        if not flap.full_droop
        for factor in (1.3, 1.2)
    ]
    return Card(
        title="Bank to bank",
        gates=("slow flight card flown today, nothing on the stop list",),
        steps=(
            "Phone strapped with one edge along the aircraft, logging its gyroscope.",
            "Wings level, steady, for five seconds: that is the sensor's zero.",
            "Bank 35 degrees left; full smooth aileron through to 35 right; and back. Three times each way,"
            " rudder keeping the ball in, no pulling.",
            "1.3 times the stall speed first; 1.2 only if 1.3 was crisp. Hold speed: lower the nose before"
            " rolling.",
            "Never slower, and never with fully drooped ailerons.",
        ),
        sheet=Sheet(
            columns=(
                "setting",
                "times stall",
                f"indicated {settings.unit}",
                "time in log",
                "crisp?",
                "notes",
            ),
            widths=(1.4, 0.9, 1.1, 1.4, 0.9, 2.2),
            rows=tuple(rows),
        ),
        note="Speeds are times this configuration's own stall speed; with vanes fly them after that is"
        " measured.",
    )


def cruise_card(settings: CardSettings) -> Card:
    """Return the card of level runs."""
    rows = tuple(
        (str(number), shown(factor * settings.cruise_speed, settings), "", "", "", "", "", "")
        for number, factor in enumerate((0.95, 0.75, 1.05, 0.85, 1.0), start=1)
    )
    return Card(
        title="Cruise: is any speed lost?",
        gates=("before-flight card complete", "no tufts on the wing"),
        steps=(
            "One height, smooth air, mixture by one rule. Three minutes steady at each: speed within 1 kt,"
            " height within 20 ft, no trend.",
            "Four headings or a circle of legs at each speed; reciprocal pairs at the least.",
            "Write fuel flow, or manifold pressure and rpm. The rpm of a fixed propeller alone hides a loss.",
            "Order as printed: it is shuffled on purpose. Two flights a side at the least; the flight"
            " counts, not the run.",
        ),
        sheet=Sheet(
            columns=(
                "run",
                f"about {settings.unit}",
                "indicated",
                "fuel flow",
                "m.p. / rpm",
                "height",
                "temp.",
                "fuel left",
            ),
            widths=(0.5, 0.9, 1.0, 1.0, 1.2, 1.0, 0.8, 1.0),
            rows=rows,
        ),
    )
