"""The cards that lead to a stall: slow flight, warning, full stalls flap up, then each further setting."""

from __future__ import annotations

from slowflight import units
from slowflight.flights.cards.card import Card, Sheet
from slowflight.flights.cards.rules import ENDINGS
from slowflight.flights.cards.settings import CardSettings, FlapCard

BUILD_UP = (1.3, 1.2, 1.1)
KNOT = units.speed("1 kt", where="cards")


def slow_flight_card(settings: CardSettings) -> Card:
    """Return the card of slow flight at 1.3, 1.2 and 1.1 times the expected stall speed."""
    rows = tuple(
        (flap.name, f"{factor:.1f}", shown(factor * flap.expected_stall, settings), "", "", "", "")
        for flap in settings.flaps
        for factor in BUILD_UP
    )
    return Card(
        title="Slow flight, step by step",
        gates=("before-flight card complete", "airspeed and wind card flown today"),
        steps=(
            "Clearing turns; start at or above the starting height; carburetor heat and mixture as for a"
            " glide.",
            "Hold each speed of the table for a minute, level, ball centered. Slowest last; flap up first.",
            "At each: gentle turns of 10 degrees each way, small pitch and rudder inputs. Does it answer?",
            "Go on to the next line only where everything answered as before. With vanes: beside the clean"
            " card.",
            "Fully drooped ailerons: rudder only at 1.2 and 1.1, no turns by aileron.",
            "If a line feels wrong, stop there. That is a result.",
        ),
        sheet=Sheet(
            columns=(
                "setting",
                "times stall",
                f"indicated {settings.unit}",
                "power",
                "pitch",
                "answers?",
                "notes",
            ),
            widths=(1.5, 0.9, 1.2, 1.0, 1.0, 1.0, 2.4),
            rows=rows,
        ),
    )


def warning_card(settings: CardSettings) -> Card:
    """Return the card of approaches that are broken off at the first warning."""
    rows = tuple(
        (flap.name, heading, shown(1.4 * flap.expected_stall, settings), "", "", "", "", "")
        for flap in settings.flaps
        for heading in ("out", "back")
    )
    return Card(
        title="Approach to the stall, broken off at the first warning",
        gates=("slow flight card flown today, nothing on the stop list",),
        steps=(
            "Trim at 1.4 times the stall speed, power idle, wings level, ball centered, heading held by"
            " rudder.",
            f"Slow down by {rate(1.0, settings)} each second, no faster, on one heading out and on the"
            " opposite back.",
            "Call warning and buffet as they come. Recover at whichever is first: stick forward, then power.",
            "Flap up first, and a further setting only after both runs of the one before it.",
        ),
        sheet=Sheet(
            columns=(
                "setting",
                "heading",
                f"trim {settings.unit}",
                "start height",
                "warning at",
                "buffet at",
                "height lost",
                "notes",
            ),
            widths=(1.4, 1.0, 0.9, 1.1, 1.1, 1.0, 1.0, 2.0),
            rows=rows,
        ),
        note="A run that is broken off here bounds the stall speed from above and is no stall.",
    )


def stall_card(settings: CardSettings, flap: FlapCard, *, order: int, rates: tuple[float, ...]) -> Card:
    """Return the card of full stalls at one flap setting.

    Parameters
    ----------
    settings : CardSettings
        Of the aircraft.
    flap : FlapCard
        The setting.
    order : int
        Its place among the settings: later ones are gated by all earlier ones.
    rates : tuple of float
        Entry rates to aim at, in the order to be flown [kt/s].

    Returns
    -------
    Card
    """
    gates = [f"stall card '{earlier.name}' flown, all runs benign" for earlier in settings.flaps[:order]]
    gates.append("warning card flown today at this setting")
    gates.append("with vanes: this card flown clean before, and benign")
    if order == len(settings.flaps) - 1 and order > 0:
        gates.append("height, fuel and calm enough left for another full card")
    limit = (
        f" Flap limit {shown(flap.limit_speed, settings)} {settings.unit}: do not exceed it in the recovery."
        if flap.limit_speed is not None
        else ""
    )
    lateral = (
        "Ailerons droop fully here: NO AILERON from the warning until flying again. Stick centered"
        " sideways, rudder only."
        if flap.full_droop
        else "Keep straight with rudder; no large aileron near the stall."
    )
    rows = tuple(
        (
            str(number),
            "out" if number % 2 else "back",
            rate(aim, settings).split(" ")[0],
            "",
            "",
            "",
            "",
            "N F W E U",
            "",
            "",
            "",
        )
        for number, aim in enumerate(rates, start=1)
    )
    return Card(
        title=f"Full stalls, {flap.name}, power idle",
        gates=tuple(gates),
        steps=(
            f"Trim at {shown(1.4 * flap.expected_stall, settings)} {settings.unit}; throttle closed,"
            f" carburetor heat, propeller as for take-off; wings level, ball centered.{limit}",
            "Slow down at the rate of the line, about "
            f"{rate(1.0, settings)} each second and never more than {rate(2.0, settings)}, smooth elevator"
            " only.",
            lateral,
            "Out on one heading, back on the opposite one, in pairs: wind then cancels.",
            "Call warning, buffet, stall. Stall is: nose drops by itself, or stick fully aft for two"
            " seconds, or a wing drops.",
            "Recover at once: stick forward, then power, then level the wings. Write while climbing back.",
        ),
        sheet=Sheet(
            columns=(
                "run",
                "heading",
                f"aim {settings.unit}/s",
                "start height",
                "fuel",
                f"warning {settings.unit}",
                f"stall {settings.unit}",
                "ended",
                "roll side, deg",
                "height lost",
                "notes",
            ),
            widths=(0.5, 0.8, 0.9, 1.0, 0.7, 1.0, 0.9, 1.2, 1.0, 0.9, 1.5),
            rows=rows,
        ),
        note=f"{ENDINGS} Expected near {shown(flap.expected_stall, settings)} {settings.unit} indicated."
        f" An even number of runs; strike none here: that is decided later, with the reason written down.",
        extra_stops=("any aileron used by reflex at full droop",) if flap.full_droop else (),
    )


def shown(speed: float, settings: CardSettings) -> str:
    """Return a speed in the indicator's unit, as a whole number."""
    return f"{units.express(speed, settings.unit):.0f}"


def rate(knots: float, settings: CardSettings) -> str:
    """Return an entry rate given in knots a second in the indicator's unit."""
    value = units.express(knots * KNOT, settings.unit)
    return f"{value:.1f} {settings.unit}"
