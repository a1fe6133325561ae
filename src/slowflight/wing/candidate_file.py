"""Read candidate vanes from the ``[[candidate]]`` tables of a wing.toml, or make them of its rows."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.wing.answers import Answers, Notebook, StandIn
from slowflight.wing.candidate import EDGES, VaneCandidate
from slowflight.wing.quantity import LENGTH, MASS, read_quantity
from slowflight.wing.tomlfile import Table
from slowflight.wing.vane_row import ARRANGEMENTS, OPENINGS, SHAPES, VaneRow, read_vane_row

# Common practice, no source: a start for whoever has no vanes yet.
HEIGHT_PER_CHORD, LENGTH_PER_HEIGHT, PITCH_PER_HEIGHT, GAP_PER_HEIGHT = 0.005, 3.0, 9.0, 2.5
INCIDENCE = "16 deg"
PRACTICE = "common practice, no source"
CLOSEST_PITCH = 2.0  # heights; closer vanes are a fence
# What a row says and a candidate does not: the study looks for the place.
OF_A_ROW = ("station", "element", "surface", "span_from", "span_to")
# What both say.
OF_BOTH = ("height", "length", "pitch", "gap", "incidence", "arrangement", "opening", "shape")


def read_candidates(
    values: object, *, place: Path, mean_chord: float, rows: Sequence[VaneRow], notebook: Notebook
) -> tuple[VaneCandidate, ...]:
    """Read the candidate vanes.

    Parameters
    ----------
    values : object
        The tables ``candidate`` as the TOML library gives them, ``None`` where there are none.
    place : Path
        The file.
    mean_chord : float
        Of the wing, for sizes that are unknown [m].
    rows : sequence of VaneRow
        Of which candidates are made where there are no tables.
    notebook : Notebook
        Where assumptions go.

    Returns
    -------
    tuple of VaneCandidate
        At least one.

    Raises
    ------
    InputError
        Where a key is unknown, belongs to a row, or two candidates share a name.
    UnitError, RangeError
        Where a unit is missing or a number makes no sense, as for a row.
    """
    if values is None:
        return _of_rows(rows) or (_stand_in(place=place, mean_chord=mean_chord, notebook=notebook),)
    if isinstance(values, dict):
        raise InputError(
            where=str(place), found="[candidate]", needed="[[candidate]]", fix="double the square brackets"
        )
    if not isinstance(values, list) or not values:
        raise InputError(
            where=f"{place}: candidate", found=repr(values), needed="tables [[candidate]], or none at all"
        )
    candidates: list[VaneCandidate] = []
    for index, table in enumerate(values):
        where = candidate_place(place, index=index, count=len(values))
        answers = Answers(table, where=where, key=f"candidate.{index}", notebook=notebook)
        candidate = _read(answers, number=index + 1, mean_chord=mean_chord)
        if any(candidate.name == other.name for other in candidates):
            raise InputError(
                where=f"{where} name", found=f"{candidate.name!r} again", needed="a name of its own"
            )
        candidates.append(candidate)
    return tuple(candidates)


def candidate_place(place: Path, *, index: int, count: int) -> str:
    """File and table of one candidate, for messages."""
    return f"{place}: candidate {index + 1}" if count > 1 else f"{place}: candidate"


def check_pitch(row: VaneRow, *, where: str) -> None:
    """Refuse vanes closer than twice their height; RangeError."""
    if row.pitch < CLOSEST_PITCH * row.height:
        raise RangeError(
            where=f"{where} pitch",
            found=f"{_mm(row.pitch)} for vanes {_mm(row.height)} high",
            needed=f"at least {CLOSEST_PITCH:.0f} heights; common practice, no source: 4 to 10",
            fix="check the units of pitch and height",
        )


def _read(answers: Answers, *, number: int, mean_chord: float) -> VaneCandidate:
    for key in OF_A_ROW:
        if answers.holds(key):
            raise InputError(
                where=answers.table.field(key),
                found="a place for a candidate",
                needed="none: the study tries the places of question.positions",
                fix="put a row that stands somewhere into [[vane_row]]",
            )
    named = answers.words("name")
    if named is None:
        named = f"candidate {number}"
        answers.notebook.assume(f"{answers.key}.name", StandIn(named, "its number"))
    edges = answers.choice("edges", EDGES, stand_in=StandIn("unknown", "not said; nothing stands in"))
    mass_each = None
    if answers.given("mass_each"):
        mass_each = answers.quantity("mass_each", MASS, "0 kg", "0.1 kg")
    row = _as_row(answers, mean_chord=mean_chord)
    check_pitch(row, where=answers.where)
    return VaneCandidate(
        name=named,
        height=row.height,
        length=row.length,
        pitch=row.pitch,
        gap=row.gap,
        incidence=row.incidence,
        arrangement=row.arrangement,
        opening=row.opening,
        shape=row.shape,
        edges=edges,
        mass_each=mass_each,
    )


def _as_row(answers: Answers, *, mean_chord: float) -> VaneRow:
    """Fill in what is unknown and read the rest as a row is read, within the same limits."""
    sizes = {key: answers.table.value(key, needed=key) for key in OF_BOTH if answers.given(key)}
    answers.finish()

    def fill(key: str, value: str, why: str) -> None:
        if key not in sizes:
            answers.notebook.assume(f"{answers.key}.{key}", StandIn(value, why))
            sizes[key] = value

    fill("height", _mm(_usual_height(mean_chord)), f"{PRACTICE}: half a per cent of chord")
    height = read_quantity(
        sizes["height"], LENGTH, low="0.3 mm", high="25 mm", where=answers.table.field("height")
    ).value
    fill("length", _mm(LENGTH_PER_HEIGHT * height), f"{PRACTICE}: {LENGTH_PER_HEIGHT:g} heights")
    fill("pitch", _mm(PITCH_PER_HEIGHT * height), f"{PRACTICE}: {PITCH_PER_HEIGHT:g} heights")
    fill("incidence", INCIDENCE, PRACTICE)
    fill("arrangement", ARRANGEMENTS[0], PRACTICE)
    fill("shape", SHAPES[0], "guess")
    if sizes["arrangement"] == ARRANGEMENTS[0]:
        fill("gap", _mm(GAP_PER_HEIGHT * height), f"{PRACTICE}: {GAP_PER_HEIGHT:g} heights")
        fill("opening", OPENINGS[0], PRACTICE)
    return read_vane_row(Table({**sizes, "station": "10 %"}, where=answers.where))


def _of_rows(rows: Sequence[VaneRow]) -> tuple[VaneCandidate, ...]:
    """One candidate of each kind of vane among the rows."""
    candidates: dict[tuple[object, ...], VaneCandidate] = {}
    for number, row in enumerate(rows, start=1):
        name = row.name or f"row {number}"
        sizes = (row.height, row.length, row.pitch, row.gap, row.incidence)
        kind = (*sizes, row.arrangement, row.opening, row.shape)
        taken = {candidate.name for candidate in candidates.values()}
        candidates.setdefault(
            kind,
            VaneCandidate(
                name=f"{name} (row {number})" if name in taken else name,
                height=row.height,
                length=row.length,
                pitch=row.pitch,
                gap=row.gap,
                incidence=row.incidence,
                arrangement=row.arrangement,
                opening=row.opening,
                shape=row.shape,
            ),
        )
    return tuple(candidates.values())


def _stand_in(*, place: Path, mean_chord: float, notebook: Notebook) -> VaneCandidate:
    """The vane of whoever has none yet."""
    aside = Notebook()  # one line for the whole vane says more than one for each of its sizes
    answers = Answers({}, where=f"{place}: candidate", key="candidate.0", notebook=aside)
    candidate = _read(answers, number=1, mean_chord=mean_chord)
    shown = (
        f"{candidate.arrangement} pairs, {_mm(candidate.height)} high, {_mm(candidate.length)} long,"
        f" every {_mm(candidate.pitch)}, {_mm(candidate.gap)} between forward tips,"
        f" {units.format_angle(candidate.incidence)}"
    )
    notebook.assume("candidate", StandIn(shown, f"{PRACTICE}: no candidate and no row is given"))
    return candidate


def _usual_height(mean_chord: float) -> float:
    """Half a per cent of the chord, in half millimeters."""
    return max(0.0005 * round(HEIGHT_PER_CHORD * mean_chord / 0.0005), 0.001)


def _mm(value: float) -> str:
    return units.format_length(value, "mm")
