"""Rows that the second opinion is asked about: the prediction's own, places along the chord, other kinds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from slowflight.errors import InputError
from slowflight.verbs.prediction_cases import RowToTry, Study
from slowflight.wing.candidate import VaneCandidate
from slowflight.wing.vane_row import VaneRow, check_against_chord

STATIONS = (0.03, 0.05, 0.07, 0.10, 0.20)  # of the sceptic's question [share of the chord]
COMMON_PLACE = 0.05  # where kinds of row are compared [share of the chord]
SECOND_BEHIND = 0.12  # of a row behind another [share of the chord]
LONGER = 2.0
GAP_PER_HEIGHT = 2.5  # of a pair, where a candidate has none (common practice, no source)
SAME_PLACE = 1e-4
EDGES = (
    "rounded edges: the row march knows a vane's height, length, toe, outline and spacing, not how sharp its"
    " edges are; a row with rounded edges is the same row to both tiers and was not computed apart"
)


@dataclass(frozen=True, kw_only=True)
class OpinionRow:
    """One row, or rows that act together.

    Parameters
    ----------
    name : str
        Such as "at 5 %" or "two rows, at 5 and 17 %".
    rows : tuple of VaneRow
        Foremost first.
    chosen : bool
        Whether it is the prediction's.
    single : bool
        Whether it is the candidate's own vanes in one row: those make a curve over the chord.
    """

    name: str
    rows: tuple[VaneRow, ...]
    chosen: bool = False
    single: bool = True


def opinion_rows(
    study: Study, prediction: Mapping[str, Any], *, every: bool, stations: Sequence[float] = ()
) -> tuple[VaneCandidate, tuple[OpinionRow, ...], tuple[str, ...]]:
    """Return the vane in question, the rows to compute, and what could not be asked.

    Parameters
    ----------
    study : Study
    prediction : mapping
        Its best row is the first.
    every : bool
        Whether all rows of the sceptic's question are asked about.
    stations : sequence of float
        Further places [share of the chord].

    Raises
    ------
    InputError
        Where no row at all can stand on the wing.
    """
    tried = _chosen(study, prediction)
    own = tried.row
    wanted = [OpinionRow(name=_at(own.station), rows=(own,), chosen=True)]
    for station in (*stations, *(STATIONS if every else ())):
        if all(abs(station - one.rows[0].station) > SAME_PLACE for one in wanted):
            wanted.append(OpinionRow(name=_at(station), rows=(replace(own, station=station),)))
    wanted.sort(key=lambda one: one.rows[0].station)
    if every:
        wanted += _other_kinds(replace(own, station=COMMON_PLACE))
    kept, notes = [], [EDGES] if every else []
    shortest = min(station.chord for station in study.file.wing.stations)
    for one in wanted:
        try:
            for row in one.rows:
                check_against_chord(row, chord_m=shortest, where=f"a row {one.name}")
        except InputError as problem:
            notes.append(f"not asked: {problem}")
        else:
            kept.append(one)
    if not kept:
        raise InputError(where="second opinion", found="no row that can stand", needed="one", fix=notes[-1])
    return tried.candidate, tuple(kept), tuple(notes)


def _other_kinds(row: VaneRow) -> Iterator[OpinionRow]:
    back = replace(row, station=row.station + SECOND_BEHIND)
    both = f"two rows, at {100 * row.station:.0f} and {100 * back.station:.0f} %"
    yield OpinionRow(name=both, rows=(row, back), single=False)
    yield OpinionRow(
        name=f"twice as long, {_at(row.station)}",
        rows=(replace(row, length=LONGER * row.length),),
        single=False,
    )
    # as many vanes to the meter, so that only their turning differs
    if row.arrangement == "counter-rotating":
        other = replace(row, arrangement="co-rotating", pitch=0.5 * row.pitch, gap=0.0)
        name = f"all turned one way, {_at(row.station)}"
    else:
        gap = row.gap or GAP_PER_HEIGHT * row.height
        other = replace(row, arrangement="counter-rotating", pitch=2.0 * row.pitch, gap=gap)
        name = f"in pairs, {_at(row.station)}"
    yield OpinionRow(name=name, rows=(other,), single=False)


def _at(station: float) -> str:
    return f"at {100 * station:.1f}".removesuffix(".0") + " %"


def _chosen(study: Study, prediction: Mapping[str, Any]) -> RowToTry:
    """The prediction's row, else the first vane at its own height, near 5 % of chord."""
    decided = prediction.get("decided_at_deg")
    best = next((one.get("best") for one in prediction["settings"] if one["flap_deg"] == decided), None)
    own = [tried for tried in study.rows if tried.own_height and not tried.as_written] or list(study.rows)
    if best is not None:
        same = [t for t in study.rows if t.candidate.name == best["candidate"]]
        return min(
            same or own,
            key=lambda t: (
                abs(1e3 * t.row.height - best["height_mm"]),
                abs(t.row.station - best["station"]),
            ),
        )
    return min(own, key=lambda tried: abs(tried.row.station - COMMON_PLACE))
