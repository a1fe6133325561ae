"""A patch trial: a few pairs at two or three stations in mirrored bays, tufts behind, one flight filmed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.layout.fit import Fit, Patch
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.plan import lay_out
from slowflight.layout.row_line import RowLine
from slowflight.wing.planform import Wing
from slowflight.wing.vane_row import VaneRow

FEWEST, MOST = 2, 3
# Own choice, no source: a bay whose middle is beyond this share of the semi-span is outboard.
OUTBOARD = 0.5
# Along the chord [share]; common practice, no source: what shows separation creeping forward.
TUFTS = (0.30, 0.45, 0.60, 0.75, 0.88)
# Behind the trailing tips the first tuft stays this clear [share of the chord].
CLEAR_OF_VANES = 0.06
# Common practice, no source.
SPEED_SHARE = 1.3
HEIGHT_FT = 5000
CARD = (
    "One flight, well above the stall: no slower than 1.3 times the slowest stall speed measured clean with"
    " the"
    " same flap setting, and no stall, no steep turn, no abrupt pull. What tufts show there says which"
    " station"
    " keeps the flow; what a patched wing does at the stall nobody knows.",
    "5,000 ft above ground or more, calm air, day, clear of people; no passenger unless needed to film and"
    " allowed.",
    "Same patches on both wings, counted and measured left against right before the flight.",
    "Camera fixed, seeing every tuft column of one wing and the bare bay beside it; check sharpness on the"
    " ground.",
    "Wings level, from cruise down in steps of 5 kt, half a minute each, ball centered; call speed and flap"
    " aloud."
    " Then the same with the flap settings of the question.",
    "Stop at once with any roll, buffet or stick force that the clean wing does not have: speed up, land,"
    " take the"
    " patches off.",
    "On the film write for each tuft and speed: steady, wavering or reversed. The bare bay beside is the"
    " measure.",
    "Afterward take all patches off both wings, log it, and lay out one whole row: patches are no row.",
)


@dataclass(frozen=True, kw_only=True)
class Tuft:
    """One tuft, on both wings.

    Parameters
    ----------
    bay : str
        The patch's name, or that of the bare bay beside it.
    span_position, chord_distance, skin_distance : float
        From the centerline, from the nose along the chord, from the foremost point along the skin [m].
    """

    bay: str
    span_position: float
    chord_distance: float
    skin_distance: float


@dataclass(frozen=True, kw_only=True)
class PatchTrial:
    """A patch trial laid out.

    Parameters
    ----------
    plans : tuple of LayoutPlan
        One for each patch, from inboard outward.
    tufts : tuple of Tuft
    """

    plans: tuple[LayoutPlan, ...]
    tufts: tuple[Tuft, ...]


def lay_out_patches(*, wing: Wing, row: VaneRow, fit: Fit, where: str = "fit.toml: patch") -> PatchTrial:
    """Lay out a patch trial.

    Parameters
    ----------
    wing : Wing
    row : VaneRow
        Whose vanes and spacing the patches have.
    fit : Fit
        With its patches; keep-outs and moving surfaces hold for them too.
    where : str, optional
        For messages.

    Returns
    -------
    PatchTrial

    Raises
    ------
    InputError
        Where there are not two or three, one is not on both wings, all lie outboard, or two share a station
        or a bay.
    RangeError
        Where a bay has no room for a pair, or a station none for its vanes.
    """
    patches = sorted(fit.patches, key=lambda patch: patch.span_from)
    _check(patches, wing=wing, where=where)
    plans = []
    for patch in patches:
        mine = replace(
            row, station=patch.station, span_from=patch.span_from, span_to=patch.span_to, name=patch.name
        )
        plans.append(
            lay_out(
                wing=wing, row=mine, name=patch.name, fit=replace(fit, zones=(), patches=()),
                where=f"{where} {patch.name!r}",
            )
        )  # fmt: skip
    return PatchTrial(plans=tuple(plans), tufts=tuple(_tufts(patches, wing=wing, row=row)))


def _check(patches: Sequence[Patch], *, wing: Wing, where: str) -> None:
    if not FEWEST <= len(patches) <= MOST:
        raise InputError(
            where=where, found=f"{len(patches)} patches", needed="two or three, each at a station of its own",
            fix="one patch alone compares with nothing, more than three fill the wing",
        )  # fmt: skip
    for patch in patches:
        named = f"{where} {patch.name!r}"
        if patch.side != "both":
            raise InputError(
                where=f"{named} side", found=f"a patch on the {patch.side} wing only", needed='"both"',
                fix="an unmirrored patch can roll the aircraft: fit the mirror image or none",
            )  # fmt: skip
        if patch.span_to > wing.semi_span:
            raise RangeError(
                where=f"{named} span_to", found=_m(patch.span_to), needed=f"at most {_m(wing.semi_span)}"
            )
    middles = [0.5 * (patch.span_from + patch.span_to) for patch in patches]
    if min(middles) > OUTBOARD * wing.semi_span:
        raise InputError(
            where=where,
            found=f"outboard patches only, from {_m(min(middles))} on",
            needed=f"one at least with its middle within {_m(OUTBOARD * wing.semi_span)} of the centerline",
            fix="with help at the tips only, a slip in mirroring or a lost vane rolls the aircraft",
        )
    for inner, outer in itertools.pairwise(patches):
        if outer.span_from < inner.span_to + 1e-9:
            raise InputError(
                where=f"{where} {outer.name!r}", found=f"a bay that begins inside that of {inner.name!r}",
                needed="bays apart, with bare skin between to compare with",
            )  # fmt: skip
    stations = [round(patch.station, 4) for patch in patches]
    if len(set(stations)) < len(stations):
        raise InputError(where=where, found="one station twice", needed="a station of its own for each patch")


def _tufts(patches: Sequence[Patch], *, wing: Wing, row: VaneRow) -> list[Tuft]:
    lines = {at: RowLine(wing=wing, station=at, surface=row.surface) for at in TUFTS}
    found = []
    for number, patch in enumerate(patches):
        middle = 0.5 * (patch.span_from + patch.span_to)
        # Bare skin beside it: outboard, halfway to the next bay, or a bay's width away.
        beyond = patches[number + 1].span_from if number + 1 < len(patches) else wing.semi_span
        bare = patch.span_to + min(0.5 * (beyond - patch.span_to), patch.span_to - patch.span_from)
        for bay, span in ((patch.name, middle), (f"bare beside {patch.name}", bare)):
            chord = wing.chord_at(span)
            clear = patch.station + row.length * math.cos(row.incidence) / chord + CLEAR_OF_VANES
            for at in TUFTS:
                if at >= clear:
                    point = lines[at].at(span)
                    found.append(
                        Tuft(
                            bay=bay,
                            span_position=span,
                            chord_distance=point.chord_distance,
                            skin_distance=point.skin_distance,
                        )
                    )
    return found


def _m(value: float) -> str:
    return units.format_length(value, "m", decimals=3)
