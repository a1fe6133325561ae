"""Decide what unit the numbers of a points file are in, or refuse to guess.

A chord of 63 may be inches or millimeters; taken for the other, every vane would stand in the wrong place.
Only two sizes need no word: a chord of 1 and a chord of 100, which are shares of the chord.
"""

from __future__ import annotations

from slowflight import units
from slowflight.errors import RangeError, SectionError
from slowflight.wing.file_remarks import CHORD, METERS, PER_CENT, FileRemarks

SHORTEST_CHORD_M, LONGEST_CHORD_M = 0.2, 6.0
# A chord measured from points and one written down may differ by a worn trailing edge, not by a unit.
SAME_CHORD = 0.03


def real_chord(
    size: float, *, remarks: FileRemarks, chord_m: float | None, where: str
) -> tuple[float | None, tuple[str, ...]]:
    """Find the real chord of a section whose chord line measures `size` in the file's numbers.

    Parameters
    ----------
    size : float
        Length of the chord line in the file's numbers.
    remarks : FileRemarks
        What the file says of unit and chord.
    chord_m : float or None
        The chord as the owner gives it elsewhere [m].
    where : str
        The file, for messages.

    Returns
    -------
    tuple of (float or None, tuple of str)
        The chord [m], ``None`` where nothing says it, and how the unit was found.

    Raises
    ------
    SectionError
        Where the unit cannot be told, or does not fit the numbers.
    RangeError
        Where the chord would be no wing's.
    """
    known = remarks.chord_m if chord_m is None else chord_m
    if remarks.unit in METERS:
        return _from_unit(size, unit=str(remarks.unit), known=known, where=where)
    full = {CHORD: 1.0, PER_CENT: 100.0}
    for unit, whole in full.items():
        fits = abs(size / whole - 1.0) <= (0.05 if remarks.unit == unit else 0.02)
        if remarks.unit == unit and not fits:
            raise SectionError(
                where=where,
                found=f"a chord line of {size:.5g} in numbers said to be {unit}",
                needed=f"about {whole:g}",
                fix="mend the numbers or the unit in the head of the file",
            )
        if fits and remarks.unit in (unit, None):
            said = "as the file says" if remarks.unit else "by their size"
            return known, (f"numbers taken as shares of {whole:g} chord {said}",)
    if known is not None:
        for unit, meters in METERS.items():
            if abs(size * meters / known - 1.0) <= SAME_CHORD:
                return size * meters, (f"numbers taken as {unit}, which fits the chord",)
    raise SectionError(
        where=where,
        found=f"a chord of {size:.5g} without a unit",
        needed="the unit of the numbers",
        fix='put a line "units: mm" or "units: in" at the top of the file',
    )


def _from_unit(size: float, *, unit: str, known: float | None, where: str) -> tuple[float, tuple[str, ...]]:
    chord = size * METERS[unit]
    if known is not None and abs(chord / known - 1.0) > SAME_CHORD:
        better = next(
            (name for name, meters in METERS.items() if abs(size * meters / known - 1.0) <= SAME_CHORD), ""
        )
        raise SectionError(
            where=where,
            found=f"a chord of {size:.5g} {unit}",
            needed=f"the chord stated, {units.format_length(known, unit)}",
            fix=f'write "units: {better}"' if better else "mend the stated chord or the points",
        )
    if known is None and not SHORTEST_CHORD_M <= chord <= LONGEST_CHORD_M:
        likely = [
            name
            for name in ("in", "mm", "ft", "m")
            if SHORTEST_CHORD_M <= size * METERS[name] <= LONGEST_CHORD_M
        ]
        raise RangeError(
            where=where,
            found=f"a chord of {size:.5g} {unit}",
            needed=f"{SHORTEST_CHORD_M * 1000:.0f} mm to {LONGEST_CHORD_M:.0f} m",
            fix=f'write "units: {likely[0]}" if they are that, or state the chord'
            if likely
            else "state the chord",
        )
    return chord, (f"numbers in {unit}, a chord of {units.format_length(chord, 'mm')}",)
