"""What is not known exactly, moved to the ends of its range: how far the answer moves with it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from slowflight import air, units
from slowflight.compare.input_effects import InputEffect
from slowflight.compare.row_answer import RowAnswer
from slowflight.errors import SlowflightError
from slowflight.study.section_case import SectionCase
from slowflight.verbs.prediction_cases import ROUGH_NOSE, Study
from slowflight.verbs.prediction_wing import clean_cases, clean_wing, row_cases, wing_with_row
from slowflight.wing.airfoils import airfoil
from slowflight.wing.surface_state import SMOOTH
from slowflight.wing.vane_row import VaneRow
from slowflight.wing.wing_file import WingFile

PRACTICE = "common practice, no source"
MASS_SHARE, SPAN_SHARE, CHORD_SHARE = 0.03, 0.002, 0.005
WASHOUT = math.radians(1.0)
ALTITUDE = 600.0  # [m]
HEIGHT_SHARE, TOE, ALONG = 0.05, math.radians(2.0), 0.003  # of the row as built [-], [rad], [m]
FINER_PANELS = 240  # against 160
TURBULENT_AIR = 4.0  # critical amplification factor behind a propeller or on a dull skin
# A section that nobody measured could as well be one of these (own choice: another nose, other camber).
OTHER_AIRFOILS = ("naca23012", "naca4412")

End = Callable[[Study, VaneRow], tuple[Study, VaneRow]]


@dataclass(frozen=True, kw_only=True)
class Variant:
    """One input with the ends of its range.

    Parameters
    ----------
    name, key, low, high, measure : str
        As for `InputEffect`.
    to_low, to_high : callable or None
        From the study and the best row to those at an end; ``None`` where that end is what was computed.
    """

    name: str
    key: str
    low: str
    high: str
    measure: str
    to_low: End | None
    to_high: End | None


def variants(study: Study, best: VaneRow | None) -> tuple[Variant, ...]:
    """List every input that is not exact.

    Parameters
    ----------
    study : Study
    best : VaneRow or None
        The best row; without one, inputs of the row are left out.

    Returns
    -------
    tuple of Variant
    """
    file = study.file
    found = [_mass(file), _span(file), *_chord(file), *_washout(file), _altitude(), *_skin(file)]
    found += _airfoil(file)
    found.append(_grid())
    if best is not None:
        found += [_height(best), _toe(best), _along(study)]
    return tuple(found)


def variant_cases(study: Study, found: Sequence[Variant], best: VaneRow | None) -> list[SectionCase]:
    """Cases that the variants need; many are those of the study itself."""
    cases: list[SectionCase] = []
    row = best if best is not None else PLACEHOLDER
    for variant in found:
        for end in (variant.to_low, variant.to_high):
            if end is None:
                continue
            moved, placed = end(study, row)
            cases += clean_cases(moved)
            cases += row_cases(moved, placed) if best is not None else []
    return cases


def effects(
    study: Study,
    found: Sequence[Variant],
    results: Mapping[str, Mapping[str, Any]],
    *,
    clean_speed: float,
    best: RowAnswer | None,
) -> tuple[tuple[InputEffect, ...], tuple[str, ...]]:
    """Compute how far each input moves the answer.

    Parameters
    ----------
    study : Study
    found : sequence of Variant
    results : mapping
        Section results by key.
    clean_speed : float
        Of the clean wing at the inputs' own values, calibrated [m/s].
    best : RowAnswer or None

    Returns
    -------
    tuple of (tuple of InputEffect, tuple of str)
        The effects, and what could not be computed.
    """
    row = None if best is None else best.row
    fall = None if best is None or best.fall is None else _calibrated(study, best.fall)
    made: list[InputEffect] = []
    missing: list[str] = []
    for variant in found:
        asked = (variant.to_low, variant.to_high)
        ends: list[tuple[float, float] | None] = []
        problems: list[str] = []
        for end in asked:
            try:
                ends.append(
                    (0.0, 0.0) if end is None else _moved(study, end, row, results, clean_speed, fall)
                )
            except SlowflightError as problem:
                problems.append(str(problem))
                ends.append(None)
        if problems and len(problems) == sum(end is not None for end in asked):
            # an end that is what was computed tells nothing of the other: zeros would read as 'no effect'
            missing.append(
                f"{variant.name}: not known what it does, no answer where it is moved ({problems[0]}); it is"
                " not in the bands, which are too narrow"
            )
            continue
        missing += [
            f"{variant.name}: one end has no answer and is taken as the other, mirrored ({problem})"
            for problem in problems
        ]
        low, high = (end or _mirrored(other) for end, other in (ends, ends[::-1]))
        (clean_low, fall_low), (clean_high, fall_high) = low, high
        made.append(
            InputEffect(
                name=variant.name, key=variant.key, low=variant.low, high=variant.high,
                measure=variant.measure, clean=(clean_low, clean_high), fall=(fall_low, fall_high),
            )
        )  # fmt: skip
    return tuple(made), tuple(missing)


def _mirrored(end: tuple[float, float] | None) -> tuple[float, float]:
    return (0.0, 0.0) if end is None else (-end[0], -end[1])


def _moved(
    study: Study,
    end: End,
    row: VaneRow | None,
    results: Mapping[str, Mapping[str, Any]],
    clean_speed: float,
    fall: float | None,
) -> tuple[float, float]:
    moved, placed = end(study, row if row is not None else PLACEHOLDER)
    clean = clean_wing(moved, results, name="clean")
    speed = _stall(moved, clean.lift.cl_max_continued)
    if row is None or fall is None:
        return speed - clean_speed, 0.0
    vanes = wing_with_row(moved, results, row=placed, clean=clean.lift, name="with the row")
    with_row = _stall(moved, vanes.lift.cl_max_continued)
    return speed - clean_speed, speed - with_row - fall


def _stall(study: Study, cl_max: float | None) -> float:
    if cl_max is None:
        raise SlowflightError("maximum lift is not bracketed")
    return _calibrated(study, study.flight.speed(cl_max))


def _calibrated(study: Study, speed: float) -> float:
    return air.equivalent_airspeed(true=speed, density=study.flight.density)


# the inputs


def _range(file: WingFile, key: str, value: float, share: float) -> tuple[float, float, bool]:
    """Ends of a number: those of the file, else a usual doubt; and whether the file gives them."""
    if key in file.ranges:
        low, high = file.ranges[key]
        return low, high, True
    return value * (1.0 - share), value * (1.0 + share), False


def _mass(file: WingFile) -> Variant:
    low, high, given = _range(file, "aircraft.mass", file.aircraft.mass, MASS_SHARE)

    def to(mass: float) -> End:
        return lambda study, row: (replace(study, flight=replace(study.flight, mass=mass)), row)

    return Variant(
        name="weight", key="aircraft.mass", low=units.format_mass(low, "kg"),
        high=units.format_mass(high, "kg"),
        measure="weigh it as flown, on three scales" + ("" if given else f" (3 % taken: {PRACTICE})"),
        to_low=to(low), to_high=to(high),
    )  # fmt: skip


def _area(key: str, name: str, low: float, high: float, value: float, measure: str) -> Variant:
    def to(length: float) -> End:
        share = length / value
        return lambda study, row: (
            replace(study, flight=replace(study.flight, area=study.flight.area * share)), row
        )  # fmt: skip

    return Variant(
        name=name, key=key, low=units.format_length(low, "m", decimals=3),
        high=units.format_length(high, "m", decimals=3), measure=measure, to_low=to(low), to_high=to(high),
    )  # fmt: skip


def _span(file: WingFile) -> Variant:
    low, high, _ = _range(file, "wing.span", file.wing.span, SPAN_SHARE)
    return _area("wing.span", "span", low, high, file.wing.span, "tape from tip to tip, plumbed to the floor")


def _chord(file: WingFile) -> list[Variant]:
    first = file.wing.stations[0]
    low, high, _ = _range(file, "wing.section.0.chord", first.chord, CHORD_SHARE)
    measure = "square at the nose and at the trailing edge, distance along the floor"
    return [_area("wing.section.0.chord", "chord", low, high, first.chord, measure)]


def _washout(file: WingFile) -> list[Variant]:
    wing = file.wing
    if len(wing.stations) < 2:
        return []

    def to(change: float) -> End:
        def moved(study: Study, row: VaneRow) -> tuple[Study, VaneRow]:
            tip = wing.stations[-1]
            stations = (*wing.stations[:-1], replace(tip, washout=tip.washout + change))
            return replace(study, file=replace(file, wing=replace(wing, stations=stations))), row

        return moved

    tip = wing.stations[-1].washout
    return [
        Variant(
            name="washout", key=f"wing.section.{len(wing.stations) - 1}.washout",
            low=units.format_angle(tip - WASHOUT), high=units.format_angle(tip + WASHOUT),
            measure=f"digital level on a board along each rib (1 deg taken: {PRACTICE})",
            to_low=to(-WASHOUT), to_high=to(WASHOUT),
        )
    ]  # fmt: skip


def _altitude() -> Variant:
    def to(change: float) -> End:
        def moved(study: Study, row: VaneRow) -> tuple[Study, VaneRow]:
            altitude = max(study.file.question.density_altitude + change, -900.0)
            around = air.standard_air(altitude=altitude)
            # the air's density decides the speed of a lift, and with it the Reynolds number
            speed = study.unit_speed * math.sqrt(study.flight.density / around.density)
            flight = replace(study.flight, density=around.density)
            return replace(study, air=around, flight=flight, unit_speed=speed), row

        return moved

    shown = units.format_length(ALTITUDE, "ft", decimals=0)
    return Variant(
        name="density altitude", key="question.density_altitude", low=f"{shown} lower",
        high=f"{shown} higher",
        measure="note pressure altitude and air temperature at each stall",
        to_low=to(-ALTITUDE), to_high=to(ALTITUDE),
    )  # fmt: skip


def _skin(file: WingFile) -> list[Variant]:
    """What a smooth skin may turn out to be, or a skin described in words to be after all."""
    surface = file.wing.surface
    if surface.words == SMOOTH.words:
        return [_surface(), _nose()]
    return [
        Variant(
            name="skin and air", key="wing.surface", low="smooth, still air", high=surface.words,
            measure="oil on the skin shows where the layer turns turbulent",
            to_low=lambda study, row: (
                replace(
                    study, transition=SMOOTH.transition, critical_amplification=SMOOTH.critical_amplification
                ),
                row,
            ),
            to_high=None,
        )
    ]  # fmt: skip


def _surface() -> Variant:
    return Variant(
        name="smoothness of skin and air", key="", low="smooth, still air",
        high="dull skin or propwash",
        measure="a fingernail over the skin; oil shows where the layer turns turbulent",
        to_low=None,
        to_high=lambda study, row: (replace(study, critical_amplification=TURBULENT_AIR), row),
    )  # fmt: skip


def _nose() -> Variant:
    return Variant(
        name="dirt at the nose", key="", low="clean", high="bugs or rain on the nose",
        measure="wipe the nose before every test flight, and note it", to_low=None,
        to_high=lambda study, row: (replace(study, transition=ROUGH_NOSE), row),
    )  # fmt: skip


def _grid() -> Variant:
    """Half as many panels again: no input of the owner's, but a cause of the same kind."""
    return Variant(
        name="panels of the computation", key="", low="the tier's own", high=f"{FINER_PANELS}",
        measure="", to_low=None, to_high=lambda study, row: (replace(study, panels=FINER_PANELS), row),
    )  # fmt: skip


def _airfoil(file: WingFile) -> list[Variant]:
    """A guessed section could be another; a measured one is taken as measured."""
    guessed = [
        index
        for index in range(len(file.wing.stations))
        if any(a.field == f"wing.section.{index}.airfoil" for a in file.assumptions)
    ]
    if not guessed:
        return []

    def to(name: str) -> End:
        def moved(study: Study, row: VaneRow) -> tuple[Study, VaneRow]:
            stations = tuple(
                replace(station, section=airfoil(name), airfoil=name) if index in guessed else station
                for index, station in enumerate(file.wing.stations)
            )
            return replace(study, file=replace(file, wing=replace(file.wing, stations=stations))), row

        return moved

    return [
        Variant(
            name="airfoil", key=f"wing.section.{guessed[0]}.airfoil", low=OTHER_AIRFOILS[0],
            high=OTHER_AIRFOILS[1], measure="calipers over one rib, two dozen stations",
            to_low=to(OTHER_AIRFOILS[0]), to_high=to(OTHER_AIRFOILS[1]),
        )
    ]  # fmt: skip


def _height(row: VaneRow) -> Variant:
    def to(share: float) -> End:
        return lambda study, placed: (study, replace(placed, height=share * placed.height))

    low, high = (1.0 - HEIGHT_SHARE) * row.height, (1.0 + HEIGHT_SHARE) * row.height
    return Variant(
        name="height of the vanes", key="", low=units.format_length(low, "mm"),
        high=units.format_length(high, "mm"),
        measure="calipers on ten vanes as made, fillet and tape included",
        to_low=to(1.0 - HEIGHT_SHARE), to_high=to(1.0 + HEIGHT_SHARE),
    )  # fmt: skip


def _toe(row: VaneRow) -> Variant:
    def to(change: float) -> End:
        return lambda study, placed: (study, replace(placed, incidence=placed.incidence + change))

    return Variant(
        name="toe of the vanes to the flow", key="", low=units.format_angle(row.incidence - TOE),
        high=units.format_angle(row.incidence + TOE),
        measure="a tuft in front of the row: the flow may not be straight",
        to_low=to(-TOE), to_high=to(TOE),
    )  # fmt: skip


def _along(study: Study) -> Variant:
    chord = study.file.wing.mean_chord

    def to(change: float) -> End:
        return lambda study, placed: (study, replace(placed, station=placed.station + change / chord))

    shown = units.format_length(ALONG, "mm", decimals=0)
    return Variant(
        name="place of the row along the chord", key="", low=f"{shown} forward", high=f"{shown} aft",
        measure="steel rule from the foremost line, at every rib", to_low=to(-ALONG), to_high=to(ALONG),
    )  # fmt: skip


# Stands for a row where there is none; nothing of it is computed.
PLACEHOLDER = VaneRow(station=0.1, height=0.0, length=0.02, pitch=0.1, incidence=0.2)
