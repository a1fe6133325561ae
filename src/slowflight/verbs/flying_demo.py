"""The demonstration's flights: an invented campaign, so that the loop can be seen closed."""

from __future__ import annotations

import math
from pathlib import Path

from slowflight import units
from slowflight.flights.book.raw_files import digest
from slowflight.flights.book.reading import BOOK
from slowflight.flights.book.writing import flight_text, new_book
from slowflight.flights.logs.mapping import guess_mapping, save_mapping
from slowflight.flights.simulator.demo_campaign import (
    CRUISE_HEIGHT,
    FLAPS,
    LAG,
    cruise_runs,
    cruise_temperature,
    stall_temperature,
    write_campaign,
)
from slowflight.layout.files import replace_file
from slowflight.project import open_project
from slowflight.verbs.flying import aircraft_facts
from slowflight.verbs.flying_files import LOGS
from slowflight.wing.wing_file import read_wing_file

INVENTED = """\
# INVENTED from end to end: no aircraft flew these flights, a simulator wrote their logs. What the invented
# wing gains was set in the simulator; that a prediction agrees with it, or does not, proves nothing.
"""
NOTE = "INVENTED: no aircraft flew these flights; a simulator wrote their logs to show how the loop closes"
ROLLS = {"before": "6 deg", "after": "5 deg"}
MARGINS = {"before": "7 kt", "after": "6 kt"}


def invent_flights(folder: str | Path) -> Path:
    """Write an invented campaign into a demonstration's folder.

    Parameters
    ----------
    folder : str or Path
        A project folder. A campaign that is there already is left as it is.

    Returns
    -------
    Path
        Its flights.toml.

    Raises
    ------
    InputError
        Where wing.toml cannot be used or nothing may be written.
    """
    project = open_project(folder)
    book = project.flights / BOOK
    if book.is_file():
        return book
    wing = read_wing_file(project.wing_file)
    facts = aircraft_facts(wing)
    place = project.ready(project.ready(project.flights) / LOGS)
    columns = project.flights / "columns-1.toml"
    text = INVENTED + new_book(
        unit="kt",
        worth="1 kt",
        margin=f"{units.express(wing.question.cruise_price, 'kt'):.3g} kt",
        flaps=[f"{flap:g} deg" for flap in FLAPS],
        landing=f"{FLAPS[-1]:g} deg",
        lag=f"{LAG:g} s",
        note=NOTE,
        # The simulator's pitch is that of the root's chord line.
        level=f"{math.degrees(wing.wing.incidence):.2f} deg",
        handling=_seen,
    )
    for flight in write_campaign(place, mass=facts.mass, area=facts.area):
        if not columns.is_file():
            save_mapping(guess_mapping(flight.file).confirm(), columns)
        text += flight_text(
            {
                "name": flight.name,
                "side": flight.side,
                "log": f"{LOGS}/{flight.file.name}",
                "columns": columns.name,
                "sha256": digest(flight.file),
                "mass": f"{flight.mass:g} kg",
                "fuel_burn": "15 l/h",
                "temperature": f"{stall_temperature() - 273.15:.1f} C",
                "power": "idle",
                "centre_of_gravity": "27 %",
                "pilot": "nobody",
                "notes": "invented",
            }
        )
    warm = cruise_temperature()
    for name, speed, flow, mass in cruise_runs(mass=facts.mass, cruise_speed=facts.cruise_speed):
        text += (
            f'\n[[cruise]]\nflight = "{name}"\ntrue_speed = "{units.express(speed, "kt"):.1f} kt"\n'
            f'fuel_flow = "{flow:.2f} l/h"\nheight = "{CRUISE_HEIGHT:.0f} m"\n'
            f'temperature = "{warm - 273.15:.1f} C"\nmass = "{mass:.0f} kg"\n'
        )
    # The book comes last: a folder that has it has every log.
    replace_file(book, text.encode())
    return book


def _seen(side: str) -> dict[str, object]:
    """Answers of the handling card, harmless ones: the demonstration is about speeds."""
    return {
        "roll_at_stall": ROLLS[side],
        "roll_held": True,
        "wing_drop": "none",
        "warning": True,
        "warning_margin": MARGINS[side],
        "stick_stop_first": False,
        "flare": "as before",
        "pitch": "as before",
        "height_lost": "140 ft",
        "recovery": "as before",
        "sink": "550 ft/min",
        "rudder": "as before",
        "shake": "none new",
        "ailerons": "as before",
    }
