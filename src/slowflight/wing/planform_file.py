"""Read the wing from the ``[wing]`` table of a wing.toml and its ``[[wing.section]]``."""

from __future__ import annotations

from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, RangeError, SectionError
from slowflight.wing.airfoils import airfoil
from slowflight.wing.answers import Answers, Notebook, StandIn
from slowflight.wing.planform import Wing, WingStation
from slowflight.wing.quantity import ANGLE, LENGTH
from slowflight.wing.section import Section
from slowflight.wing.surface_state import NEEDED, SMOOTH, surface_state

NARROWEST_ANGLE = "0.1 deg"  # nobody measures less; a smaller number is more likely in radians
# A last section this near to the tip is the tip; up to the second share short of it, its chord goes on.
AT_THE_TIP, NEAR_THE_TIP = 0.003, 0.12
LARGEST_TAPER = 5.0
FEWEST_CHORDS, MOST_CHORDS = 4.0, 20.0
SAME_CHORD = 0.02
GUESSED_AIRFOIL = StandIn("naca4415", "guess: a cambered section of middling thickness; trace a rib instead")
INCIDENCE = StandIn("2 deg", "guess: measure the chord line at the root against the fuselage datum")
NO_WASHOUT = StandIn("0 deg", "guess: lay a level on the wing at root and tip, and subtract")
CABIN_WIDTH = StandIn("1.1 m", "guess: two people side by side; no vanes are planned there")


def read_wing(values: object, *, place: Path, notebook: Notebook) -> Wing:
    """Read the wing.

    Parameters
    ----------
    values : object
        The table ``wing`` as the TOML library gives it.
    place : Path
        The file; airfoil files are looked for beside it.
    notebook : Notebook
        Where assumptions, cautions and ranges go.

    Returns
    -------
    Wing

    Raises
    ------
    InputError
        Where a required key is missing, an unknown one is there, or an airfoil cannot be used.
    UnitError, RangeError
        Where a unit is missing or a number makes no sense.
    """
    table = Answers(values, where=f"{place}: wing", key="wing", notebook=notebook)
    span = table.quantity("span", LENGTH, "4 m", "20 m", ranged=True)
    incidence = table.quantity(
        "incidence", ANGLE, "-4 deg", "12 deg", stand_in=INCIDENCE, ranged=True, smallest=NARROWEST_ANGLE
    )
    cabin_width = table.quantity("cabin_width", LENGTH, "400 mm", "2.5 m", stand_in=CABIN_WIDTH)
    surface = SMOOTH
    if table.given("surface"):
        found = table.table.value("surface", needed=NEEDED)
        surface = surface_state(found, where=f"{table.where} surface")
    stations = _stations(table, place=place, semi_span=0.5 * span)
    table.finish()
    wing = Wing(span=span, incidence=incidence, stations=stations, cabin_width=cabin_width, surface=surface)
    _check_shape(wing, where=table.where)
    return wing


def _stations(wing: Answers, *, place: Path, semi_span: float) -> tuple[WingStation, ...]:
    needed = "at least one [[wing.section]] with its chord"
    if not wing.table.has("section"):
        raise InputError(
            where=wing.where, found="no [[wing.section]]", needed=needed, fix="add a table [[wing.section]]"
        )
    found = wing.table.value("section", needed=needed)
    if isinstance(found, dict):
        raise InputError(
            where=str(place),
            found="[wing.section]",
            needed="[[wing.section]]",
            fix="double the square brackets",
        )
    if not isinstance(found, list) or not found:
        raise InputError(where=f"{wing.where} section", found=repr(found), needed=needed)
    stations: list[WingStation] = []
    for index, values in enumerate(found):
        where = f"{wing.where}.section {index + 1}" if len(found) > 1 else f"{wing.where}.section"
        table = Answers(values, where=where, key=f"wing.section.{index}", notebook=wing.notebook)
        before = stations[-1] if stations else None
        stations.append(
            _station(table, place=place, before=before, last=index == len(found) - 1, semi_span=semi_span)
        )
    return _to_the_tip(stations, wing=wing, semi_span=semi_span)


def _station(
    table: Answers, *, place: Path, before: WingStation | None, last: bool, semi_span: float
) -> WingStation:
    chord = table.quantity("chord", LENGTH, "300 mm", "4 m", ranged=True)
    named = table.words("airfoil")
    if named is None:
        inboard = None if before is None else StandIn(before.airfoil, "guess: as at the section inboard")
        stand_in = inboard or GUESSED_AIRFOIL
        table.notebook.assume(f"{table.key}.airfoil", stand_in)
        named = stand_in.value
    section = _airfoil(named, table=table, place=place, chord=chord)
    span_station = _span_station(table, before=before, last=last, semi_span=semi_span)
    washout = _washout(table, first=before is None, last=last)
    table.finish()
    return WingStation(
        span_station=span_station, chord=chord, washout=washout, section=section, airfoil=named
    )


def _span_station(table: Answers, *, before: WingStation | None, last: bool, semi_span: float) -> float:
    stand_in = None
    if before is None:
        stand_in = StandIn("0 m", "the first section is taken as that of the root")
    elif last:
        tip = units.format_length(semi_span, "m", decimals=4)
        stand_in = StandIn(tip, "the last section is taken as that of the tip")
    # Where the wing has one section only, nothing hangs on its place.
    if before is None and last and not table.given("span_station"):
        return 0.0
    return table.quantity("span_station", LENGTH, "0 m", "10 m", stand_in=stand_in)


def _washout(table: Answers, *, first: bool, last: bool) -> float:
    if first and not last and not table.given("washout"):
        return 0.0  # washout counts from here
    washout = table.quantity(
        "washout", ANGLE, "-4 deg", "8 deg", stand_in=NO_WASHOUT, ranged=True, smallest=NARROWEST_ANGLE
    )
    if first and washout != 0.0:
        raise RangeError(
            where=table.table.field("washout"),
            found=f"{units.format_angle(washout)} at the root",
            needed="none there: washout counts from the root",
            fix="put the root's angle into wing.incidence, and the tip's washout into a section at the tip",
        )
    return washout


def _airfoil(named: str, *, table: Answers, place: Path, chord: float) -> Section:
    try:
        section = _read_airfoil(named, folder=place.parent, chord=chord)
    except InputError as error:
        if error.where != "airfoil":
            raise  # names the airfoil's own file and line
        raise type(error)(
            where=table.table.field("airfoil"), found=error.found, needed=error.needed, fix=error.fix
        ) from None
    table.notebook.cautions += [f"{named}: {caution}" for caution in section.cautions]
    if section.chord_m is not None and abs(section.chord_m / chord - 1.0) > SAME_CHORD:
        table.notebook.cautions.append(
            f"{named} was measured on a chord of {units.format_length(section.chord_m, 'mm', decimals=0)},"
            f" {table.key} has {units.format_length(chord, 'mm', decimals=0)}: the shape is scaled;"
            " check that both are right"
        )
    return section


def _read_airfoil(named: str, *, folder: Path, chord: float) -> Section:
    """Let the file say its own unit, which allows one shape at several chords; else the chord decides."""
    try:
        return airfoil(named, base_folder=folder)
    except (SectionError, RangeError) as error:
        if not error.found.startswith("a chord of"):
            raise  # nothing that knowing the chord would mend, and large files take their time
    return airfoil(named, base_folder=folder, chord=chord)


def _to_the_tip(stations: list[WingStation], *, wing: Answers, semi_span: float) -> tuple[WingStation, ...]:
    """Refuse places beyond the tip or out of order; let the last of several sections reach the tip."""
    for index, station in enumerate(stations):
        if station.span_station > semi_span * (1.0 + AT_THE_TIP):
            raise RangeError(
                where=f"{wing.where}.section {index + 1} span_station",
                found=f"{_m(station.span_station)}, beyond the tip",
                needed=f"at most half the span, {_m(semi_span)}, from the centerline",
                fix="check that the span is tip to tip, and the place from the centerline",
            )
        if index and station.span_station <= stations[index - 1].span_station:
            raise RangeError(
                where=f"{wing.where}.section {index + 1} span_station",
                found=f"{_m(station.span_station)} after {_m(stations[index - 1].span_station)}",
                needed="sections from the root outward, each at a place of its own",
            )
    if len(stations) == 1:
        return tuple(stations)
    last = stations[-1]
    short = 1.0 - last.span_station / semi_span
    if short > NEAR_THE_TIP:
        raise RangeError(
            where=f"{wing.where}.section {len(stations)} span_station",
            found=f"a last section {_m(semi_span - last.span_station)} short of the tip",
            needed="a section at the tip",
            fix=f'add one with span_station = "{_m(semi_span)}"',
        )
    tip = WingStation(
        span_station=semi_span,
        chord=last.chord,
        washout=last.washout,
        section=last.section,
        airfoil=last.airfoil,
    )
    if abs(short) <= AT_THE_TIP:
        return (*stations[:-1], tip)
    wing.notebook.assume(
        f"wing.section.{len(stations)}",
        StandIn(
            f"as at {_m(last.span_station)}",
            "guess: the outermost section goes on to the tip",
        ),
    )
    return (*stations, tip)


def _check_shape(wing: Wing, *, where: str) -> None:
    chords = [station.chord for station in wing.stations]
    if max(chords) > LARGEST_TAPER * min(chords):
        low, high = (units.format_length(chord, "mm", decimals=0) for chord in (min(chords), max(chords)))
        raise RangeError(
            where=f"{where}.section chord",
            found=f"chords of {low} and {high} on one wing",
            needed=f"the largest at most {LARGEST_TAPER:.0f} times the smallest",
            fix="check their units",
        )
    if not FEWEST_CHORDS <= wing.aspect_ratio <= MOST_CHORDS:
        mean = units.format_length(wing.mean_chord, "mm", decimals=0)
        halved = wing.aspect_ratio < FEWEST_CHORDS <= 2.0 * wing.aspect_ratio
        raise RangeError(
            where=f"{where} span",
            found=f"{_m(wing.span)}, {wing.aspect_ratio:.1f} times the mean chord of {mean}",
            needed=f"{FEWEST_CHORDS:.0f} to {MOST_CHORDS:.0f} times",
            fix="give the span from tip to tip, not of one half"
            if halved
            else "check the units of span and chord",
        )
    if wing.cabin_width > 0.5 * wing.span:
        raise RangeError(
            where=f"{where} cabin_width", found=_m(wing.cabin_width), needed="less than half the span"
        )


def _m(value: float) -> str:
    return units.format_length(value, "m", decimals=3)
