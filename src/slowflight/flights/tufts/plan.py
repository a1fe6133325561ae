"""Where tufts go: the same on the clean wing and with vanes, so that both can be compared."""

from __future__ import annotations

import csv
import io
import string
from collections.abc import Sequence
from dataclasses import dataclass

from slowflight.errors import InputError
from slowflight.wing.planform import Wing
from slowflight.wing.skin import skin_station

# Common practice, no source.
ROWS = (0.10, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80, 0.90)
PITCH = 0.15  # along the span [m]
LENGTH = 0.10  # free length of yarn [m]
LONGEST_SHARE = 0.10  # of the chord
CLEAR_OF_VANES = 15.0  # heights behind their forward tips
OFF_THE_CABIN, OFF_THE_TIP = 0.10, 0.15  # [m]
MOST_STATIONS = 52

RULES = (
    "Wool or polyester yarn, dark on a light wing or light on a dark one, all cut alike; tape over the front"
    " 20 mm, with rounded corners.",
    "The same tufts before and after, on the same wing; the other wing gets them too, or the difference"
    " between the wings is accepted and watched for: tufts are roughness.",
    "None ahead of the vanes and none within 15 vane heights behind them, on the clean wing either. None on a"
    " moving surface, a hinge gap, a fuel vent, a static port or the stall warner.",
    "Mark each station with its letter on the skin where the camera sees it. Count and pull every tuft before"
    " flight: yarn in a hinge is a jammed control.",
    "Camera on a fixed mount that an inspector has seen, lens straight, shutter 1/250 s or faster, 30 frames"
    " a second or more. Begin with a clap or a rock of the wings that the log sees too.",
    "Tufts cost speed: take them off for cruise, climb and the stalls that count.",
)


@dataclass(frozen=True, kw_only=True)
class Tuft:
    """One tuft.

    Parameters
    ----------
    name : str
        Letter of its station from the root, and number of its row from the nose: ``"C4"``.
    span_station : float
        From the aircraft's centerline [m].
    station : float
        Along the chord from the nose [chords].
    chord_distance, skin_distance : float
        From the foremost point along chord and upper skin to the front of the tape [m].
    length : float
        Free yarn [m].
    """

    name: str
    span_station: float
    station: float
    chord_distance: float
    skin_distance: float
    length: float


def plan_tufts(
    wing: Wing,
    *,
    span_from: float | None = None,
    span_to: float | None = None,
    pitch: float = PITCH,
    rows: Sequence[float] = ROWS,
    vane_station: float | None = None,
    vane_height: float | None = None,
) -> tuple[Tuft, ...]:
    """Lay tufts out on one wing half.

    Parameters
    ----------
    wing : Wing
        As measured.
    span_from, span_to : float, optional
        Innermost and outermost station from the centerline [m]; clear of cabin and tip without them.
    pitch : float, optional
        Along the span [m].
    rows : sequence of float, optional
        Along the chord [chords], rising.
    vane_station, vane_height : float, optional
        Of the row to be flown [chords], [m]: no tuft stands ahead of it or close behind.

    Returns
    -------
    tuple of Tuft
        Station by station from the root, nose to tail.

    Raises
    ------
    InputError
        Where the stations do not fit on the wing, there are too many, or no row is left behind the vanes.
    """
    inner = 0.5 * wing.cabin_width + OFF_THE_CABIN if span_from is None else span_from
    outer = wing.semi_span - OFF_THE_TIP if span_to is None else span_to
    if not (pitch > 0.0 and 0.0 <= inner < outer <= wing.semi_span):
        raise InputError(
            where="tuft plan",
            found=f"stations from {inner:.2f} to {outer:.2f} m every {pitch:.2f} m",
            needed=f"a stretch of the wing, up to {wing.semi_span:.2f} m from the centerline",
        )
    count = int((outer - inner) / pitch + 1e-9) + 1
    if count > MOST_STATIONS:
        raise InputError(
            where="tuft plan",
            found=f"{count} stations",
            needed=f"{MOST_STATIONS} or fewer",
            fix="a larger span_pitch, or part of the wing",
        )
    letters = [*string.ascii_uppercase, *(2 * letter for letter in string.ascii_uppercase)]
    found = []
    for number in range(count):
        span = inner + number * pitch
        chord = wing.chord_at(span)
        section = wing.neighbors(span)[0].section
        nearest = 0.0
        if vane_station is not None:
            nearest = vane_station + CLEAR_OF_VANES * (vane_height or 0.0) / chord
        for row, station in enumerate(rows, 1):
            if station < nearest:
                continue
            place = skin_station(section, station=station, chord_m=chord)
            found.append(
                Tuft(
                    name=f"{letters[number]}{row}",
                    span_station=span,
                    station=station,
                    chord_distance=station * chord,
                    skin_distance=place.skin_distance * chord,
                    length=min(LENGTH, LONGEST_SHARE * chord),
                )
            )
    if not found:
        raise InputError(
            where="tuft plan", found="no row behind the vanes", needed="rows further aft", fix="check 'rows'"
        )
    return tuple(found)


def plan_text(tufts: Sequence[Tuft]) -> str:
    """Return the plan as a table for the workshop, in mm."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(("tuft", "from centerline mm", "chord %", "along chord mm", "along skin mm", "yarn mm"))
    for one in tufts:
        writer.writerow(
            (
                one.name,
                f"{1000.0 * one.span_station:.0f}",
                f"{100.0 * one.station:.0f}",
                f"{1000.0 * one.chord_distance:.0f}",
                f"{1000.0 * one.skin_distance:.0f}",
                f"{1000.0 * one.length:.0f}",
            )
        )
    return stream.getvalue()
