"""Read the aircraft from the ``[aircraft]`` table of a wing.toml."""

from __future__ import annotations

import math
from pathlib import Path

from slowflight import units
from slowflight.errors import RangeError
from slowflight.wing.aircraft import Aircraft
from slowflight.wing.answers import Answers, Notebook, StandIn
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.planform import Wing
from slowflight.wing.quantity import ANGLE, MASS, POWER, SHARE, SPEED

CRUISE_PER_SLOWEST = 1.9
# Mass over wing area of aircraft this program is for [kg/m2]; refused outside, cautioned above the third.
LIGHTEST_LOADING, HEAVIEST_LOADING, USUAL_LOADING = 7.0, 110.0, 70.0
SAME_SETTING = math.radians(0.05)
POUND = 0.45359237


def read_aircraft(
    values: object, *, place: Path, wing: Wing, flap: FlapPlan | None, notebook: Notebook
) -> Aircraft:
    """Read the aircraft.

    Parameters
    ----------
    values : object
        The table ``aircraft`` as the TOML library gives it.
    place : Path
        The file.
    wing : Wing
        Its area is set against the mass.
    flap : FlapPlan or None
        Its settings are those at which the slowest speed can have been read.
    notebook : Notebook
        Where assumptions, cautions and ranges go.

    Returns
    -------
    Aircraft

    Raises
    ------
    InputError
        Where a required key is missing or an unknown one is there.
    UnitError, RangeError
        Where a unit is missing or a number makes no sense.
    """
    table = Answers(values, where=f"{place}: aircraft", key="aircraft", notebook=notebook)
    mass = table.quantity("mass", MASS, "90 kg", "2500 kg", ranged=True)
    slowest = table.quantity("slowest_indicated_speed", SPEED, "12 kt", "65 kt", ranged=True)
    attitude = table.quantity("three_point_attitude", ANGLE, "2 deg", "25 deg", ranged=True, smallest="2 deg")
    setting = _setting(table, flap=flap)
    cruise = _cruise_speed(table, slowest=slowest)
    balance = (
        table.quantity("centre_of_gravity", SHARE, "5 %", "50 %")
        if table.given("centre_of_gravity")
        else None
    )
    aircraft = Aircraft(
        name=_name(table, place=place),
        mass=mass,
        three_point_attitude=attitude,
        slowest_indicated_speed=slowest,
        slowest_flap_setting=setting,
        cruise_speed=cruise,
        centre_of_gravity=balance,
        power=table.quantity("power", POWER, "5 kW", "500 kW") if table.given("power") else None,
        approval_route=table.record("approval_route"),
        baseline_stalls=table.record("baseline_stalls"),
        stall_warning=table.words("stall_warning"),
    )
    table.finish()
    _check_loading(mass, wing=wing, where=table.table.field("mass"), notebook=notebook)
    _caution(aircraft, notebook=notebook)
    return aircraft


def _name(table: Answers, *, place: Path) -> str:
    named = table.words("name")
    if named is not None:
        return named
    stand_in = StandIn(place.absolute().parent.name or "aircraft", "the folder's name")
    table.notebook.assume("aircraft.name", stand_in)
    return stand_in.value


def _setting(table: Answers, *, flap: FlapPlan | None) -> float:
    settings = (0.0,) if flap is None else flap.settings
    largest = units.format_angle(max(settings), decimals=2)
    if flap is None and not table.given("slowest_flap_setting"):
        return 0.0  # there is no other
    found = table.quantity(
        "slowest_flap_setting",
        ANGLE,
        "-20 deg",
        "60 deg",
        stand_in=StandIn(
            largest,
            "guess: the largest setting, at which the slowest speed is usually quoted; say which it was",
        ),
        smallest="1 deg",
    )
    nearest = min(settings, key=lambda setting: abs(setting - found))
    if abs(nearest - found) > SAME_SETTING:
        listed = ", ".join(units.format_angle(setting) for setting in settings)
        raise RangeError(
            where=table.table.field("slowest_flap_setting"),
            found=units.format_angle(found),
            needed=f"one of the flap's settings, {listed}" if flap is not None else "0 deg on a wing without",
            fix="add it to flap.settings, or mend it here" if flap is not None else "",
        )
    return nearest


def _cruise_speed(table: Answers, *, slowest: float) -> float:
    stand_in = StandIn(
        units.format_speed(CRUISE_PER_SLOWEST * slowest, "kt"),
        f"guess, common practice, no source: {CRUISE_PER_SLOWEST} times the slowest indicated speed",
    )
    cruise = table.quantity("cruise_speed", SPEED, "25 kt", "250 kt", stand_in=stand_in, ranged=True)
    if cruise <= slowest:
        raise RangeError(
            where=table.table.field("cruise_speed"),
            found=units.format_speed(cruise, "kt"),
            needed=f"more than the slowest indicated speed, {units.format_speed(slowest, 'kt')}",
            fix="check the units of both",
        )
    return cruise


def _check_loading(mass: float, *, wing: Wing, where: str, notebook: Notebook) -> None:
    loading = mass / wing.area
    said = f"{units.format_mass(mass, 'kg')} on {wing.area:.2f} m2 of wing, {loading:.0f} kg/m2"
    pounds = f'"{units.format_mass(mass, "kg").removesuffix(" kg")} lb"'
    if not LIGHTEST_LOADING <= loading <= HEAVIEST_LOADING:
        slip = f"perhaps {pounds} is meant; " if LIGHTEST_LOADING <= loading * POUND <= USUAL_LOADING else ""
        raise RangeError(
            where=where,
            found=said,
            needed=f"{LIGHTEST_LOADING:.0f} to {HEAVIEST_LOADING:.0f} kg/m2",
            fix=f"{slip}check the units of mass, span and chord",
        )
    if loading > USUAL_LOADING:
        notebook.cautions.append(
            f"{said}, is much for a short-field aircraft: check the mass, or whether {pounds} was meant"
        )


def _caution(aircraft: Aircraft, *, notebook: Notebook) -> None:
    missing = [
        words
        for words, value in (
            ("the approval route", aircraft.approval_route),
            ("stalls of the clean wing", aircraft.baseline_stalls),
            ("what warns of the stall", aircraft.stall_warning),
        )
        if not value
    ]
    if missing:
        notebook.cautions.append(
            f"not recorded in [aircraft]: {', '.join(missing)}; papers are stamped TRIAL until they are"
        )
    if aircraft.stall_warning is None:
        notebook.cautions.append(
            "not recorded in [aircraft]: what warns of the stall and where its sensor sits;"
            " vanes move the stall, and a warning set for the clean wing may then come too late or not at all"
        )
