"""What the head of a points file says about itself: unit, chord, error bar.

Only plain statements count (``units: mm``, ``[in]``, ``chord 60 in``, ``error 0.5 mm``): the word "in" of an
ordinary sentence is no unit.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from slowflight import units
from slowflight.errors import SectionError

Value = TypeVar("Value", str, float)

# Size of one unit in meters; None where the numbers are a share of the chord, whose size in the file follows.
METERS = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048}
CHORD, PER_CENT = "chord", "per cent"

_WORDS = {
    "mm": "mm millimeter millimeters millimetre millimetres",
    "cm": "cm centimeter centimeters centimetre centimetres",
    "m": "m meter meters metre metres",
    "in": "in inch inches",
    "ft": "ft foot feet",
    PER_CENT: "% percent",
    CHORD: "chord chords fraction x/c",
}
_SPELLINGS = {word: unit for unit, words in _WORDS.items() for word in words.split()} | {
    "per cent": PER_CENT,
    "% chord": PER_CENT,
    "% of chord": PER_CENT,
    "percent chord": PER_CENT,
    "percent of chord": PER_CENT,
    "per cent of chord": PER_CENT,
    "unit chord": CHORD,
    "fraction of chord": CHORD,
}
_UNIT = "|".join(
    sorted((re.escape(word).replace(r"\ ", r"\s+") for word in _SPELLINGS), key=len, reverse=True)
)
_END = r"(?![\w/])"
_UNIT_NOTES = (
    re.compile(rf"\bunits?\b\s*(?:are|is|in|[:=])?\s*[\[(\"']?({_UNIT}){_END}", re.IGNORECASE),
    re.compile(
        rf"\b(?:dimensions?|coordinates|numbers|values|ordinates)\s+(?:are\s+)?in\s+({_UNIT}){_END}",
        re.IGNORECASE,
    ),
    re.compile(rf"[\[(]\s*({_UNIT})\s*[\])]", re.IGNORECASE),
    re.compile(rf"\b[xy][\s_]*(mm|cm|inch|inches|in|%){_END}", re.IGNORECASE),
    re.compile(r"\b(x/c)(?!\w)", re.IGNORECASE),
    re.compile(r"\b(millimet(?:er|re)s|inches)\b", re.IGNORECASE),
)
_SIZE = (
    r"[\d][\d.,/\s-]*?\s*(?:mm|cm|m|inch(?:es)?|in|ft|feet|\"|')"  # 1500 mm
    r"(?:\s*\d[\d./\s-]*\s*(?:in|inch(?:es)?|\"))?(?!\w)"  # and the inches after feet
)
_CHORD_NOTE = re.compile(rf"\bchord\b(?:\s+length)?\s*(?:of|is|[:=])?\s*({_SIZE})", re.IGNORECASE)
_ERROR_NOTE = re.compile(
    rf"\b(?:error(?:\s+bar)?|accuracy|tolerance)\b\s*(?:of|is|[:=])?\s*(?:±|\+/-|\+-)?\s*({_SIZE})",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class FileRemarks:
    """What the file says.

    Parameters
    ----------
    unit : str or None
        A key of `METERS`, ``"chord"`` or ``"per cent"``.
    chord_m, error_bar_m : float or None
        The real chord and the half-width of the measuring error [m].
    """

    unit: str | None
    chord_m: float | None
    error_bar_m: float | None


def read_remarks(remarks: Iterable[str], *, where: str) -> FileRemarks:
    """Find unit, chord and error bar among titles and comments.

    Parameters
    ----------
    remarks : iterable of str
        Titles and comments.
    where : str
        The file, for messages.

    Returns
    -------
    FileRemarks

    Raises
    ------
    SectionError
        Where two remarks name two units or two chords.
    UnitError
        Where a chord or error has a malformed size.
    """
    found: list[str] = []
    chords: list[float] = []
    errors: list[float] = []
    for remark in remarks:
        chords += [units.length(match[1], where=f"{where} chord") for match in _CHORD_NOTE.finditer(remark)]
        errors += [units.length(match[1], where=f"{where} error") for match in _ERROR_NOTE.finditer(remark)]
        # The unit of a chord or an error is not that of the points.
        rest = _ERROR_NOTE.sub(" ", _CHORD_NOTE.sub(" ", remark))
        for pattern in _UNIT_NOTES:
            found += [unit_of(match[1]) for match in pattern.finditer(rest)]
    unit = _only(found, what="units", where=where)
    return FileRemarks(
        unit=unit,
        chord_m=_only(chords, what="chords", where=where),
        error_bar_m=_only(errors, what="errors", where=where),
    )


def unit_of(word: str) -> str:
    """Return a unit's own name for a spelling of it; KeyError where it is none."""
    return _SPELLINGS[" ".join(word.lower().split())]


def _only(values: list[Value], *, what: str, where: str) -> Value | None:
    if len(set(values)) > 1:
        listed = " and ".join(str(value) for value in dict.fromkeys(values))
        raise SectionError(
            where=where, found=f"two {what}, {listed}", needed="one", fix="mend the head of the file"
        )
    return values[0] if values else None
