"""Whether what fit.toml says lies on the wing at all: a slip of the unit must not pass as 'nothing there'."""

from __future__ import annotations

from slowflight import units
from slowflight.errors import RangeError
from slowflight.layout.fit import Fit
from slowflight.wing.planform import Wing

AROUND = 1.2  # no skin is longer from the nose to the trailing edge [chords] (own choice)


def check_fit(fit: Fit, *, wing: Wing, where: str) -> None:
    """Refuse what begins beyond the wing's tip or behind its trailing edge.

    Parameters
    ----------
    fit : Fit
    wing : Wing
    where : str
        The file, for messages.

    Raises
    ------
    RangeError
        Where something keeps nothing clear because it lies off the wing.
    """
    tip = wing.semi_span
    for kind, things in (
        ("zone", fit.zones),
        ("keep_out", fit.keep_outs),
        ("moving", fit.moving),
        ("patch", fit.patches),
    ):
        for thing in things:
            if thing.span_from >= tip:
                raise RangeError(
                    where=f"{where}: {kind} {thing.name!r} span_from", found=_m(thing.span_from),
                    needed=f"less than the half-span of {_m(tip)}", fix="check its unit",
                )  # fmt: skip
    for keep in fit.keep_outs:
        chord = max(station.chord for station in wing.stations)
        if keep.skin_from > AROUND * chord:
            raise RangeError(
                where=f"{where}: keep_out {keep.name!r} skin_from", found=_m(keep.skin_from),
                needed=f"a place on the skin, of chords up to {_m(chord)}", fix="check its unit",
            )  # fmt: skip
    for span, skin in () if fit.datum is None else fit.datum.at:
        if not (0.0 <= span <= tip and 0.0 <= skin <= AROUND * max(s.chord for s in wing.stations)):
            raise RangeError(
                where=f"{where}: datum at", found=f"{_m(span)}, {_m(skin)}",
                needed="places on the skin of one half of the wing", fix="check their units",
            )  # fmt: skip


def _m(value: float) -> str:
    return units.format_length(value, "m", decimals=3)
