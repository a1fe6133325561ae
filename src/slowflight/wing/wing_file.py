"""The owner's wing.toml: what was measured, in the owner's units."""

from __future__ import annotations

import os
import shutil
import tempfile
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.wing.aircraft import Aircraft
from slowflight.wing.aircraft_file import read_aircraft
from slowflight.wing.answers import UNKNOWN, Notebook
from slowflight.wing.assumption import Assumption
from slowflight.wing.candidate import VaneCandidate
from slowflight.wing.candidate_file import candidate_place, check_pitch, read_candidates
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.flap_plan_file import read_flap_plan
from slowflight.wing.in_the_air import NOTHING_SAID, InTheAir
from slowflight.wing.in_the_air_file import read_in_the_air
from slowflight.wing.off_the_flap import check_off_the_flap
from slowflight.wing.planform import Wing
from slowflight.wing.planform_file import read_wing
from slowflight.wing.question import Question
from slowflight.wing.question_file import read_question
from slowflight.wing.toml_edit import with_value
from slowflight.wing.tomlfile import Table, read_text, read_toml, refuse_unknown
from slowflight.wing.vane_row import VaneRow, check_against_chord, read_vane_row

REQUIRED = {
    "aircraft": "mass, slowest_indicated_speed and three_point_attitude",
    "wing": "span and at least one [[wing.section]] with its chord",
    "flap": "kind and settings",
}
TABLES = ("aircraft", "wing", "flap", "candidate", "vane_row", "question", "in_the_air")
# What a row may leave open.
OPEN_IN_A_ROW = ("name", "shape", "surface", "element", "span_from", "span_to")
# Common practice, no source: vanes are 0.3 to 1 % of the chord.
TALL_SHARE = 0.012


@dataclass(frozen=True, kw_only=True)
class WingFile:
    """What a wing.toml says, in SI, and what stands in where it says nothing.

    Parameters
    ----------
    path : Path
        The file.
    aircraft : Aircraft
    wing : Wing
    flap : FlapPlan or None
        ``None`` where the wing has none.
    candidates : tuple of VaneCandidate
        At least one.
    rows : tuple of VaneRow
        As they are to stand on the wing; may be empty.
    question : Question
    assumptions : tuple of Assumption
        Every value that nobody measured.
    cautions : tuple of str
        What the owner should check before trusting a result.
    ranges : mapping of str to (float, float)
        Lowest and highest value where the file gives a range [SI], by the key as `set_value` takes it.
    in_the_air : InTheAir
        What is known of tail, thrust, gear and controls.
    """

    path: Path
    aircraft: Aircraft
    wing: Wing
    flap: FlapPlan | None
    candidates: tuple[VaneCandidate, ...]
    rows: tuple[VaneRow, ...]
    question: Question
    assumptions: tuple[Assumption, ...]
    cautions: tuple[str, ...]
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict, hash=False)
    in_the_air: InTheAir = NOTHING_SAID


def read_wing_file(path: Path | str) -> WingFile:
    """Read a wing.toml.

    Parameters
    ----------
    path : Path or str
        The file. Airfoil files it names are looked for beside it.

    Returns
    -------
    WingFile

    Raises
    ------
    InputError
        Where the file is none, a required key is missing or unknown, a key is none of this program's, or an
        airfoil cannot be used.
    UnitError
        Where a value lacks its unit or has one of another kind.
    RangeError
        Where a number makes no sense; the message says which slip is likely.
    """
    return _understood(read_toml(path), place=Path(path))


def set_value(path: Path | str, *, key: str, value: str) -> None:
    """Change one value of a wing.toml and nothing else: comments, order and spelling stay.

    Parameters
    ----------
    path : Path or str
        The file.
    key : str
        Table and key, tables of a list by their number from 0: ``"aircraft.mass"``,
        ``"wing.section.0.chord"``, ``"candidate.1.height"``. A key that is missing is added to its table.
    value : str
        As an owner would write it; what starts with ``[`` is a list.

    Raises
    ------
    InputError
        Where the key names no place in the file, the file could not be read back with the new value, or it
        cannot be written. The file is then as it was.
    UnitError, RangeError
        As for `read_wing_file`.
    """
    # A linked file stays a link.
    place = Path(path)
    real = place.resolve()
    text = with_value(read_text(place, needed="a TOML file"), key=key, value=value, where=str(place))
    _understood(tomllib.loads(text), place=place)
    try:
        _replace(real, text)
    except OSError as error:
        raise InputError(
            where=str(place),
            found=f"a file that cannot be written ({error.strerror or error})",
            needed="the right to write there",
        ) from None


def _replace(path: Path, text: str) -> None:
    """Put a new file in an old one's place, whole or not at all."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(text.encode("utf-8"))
            stream.flush()
            os.fsync(stream.fileno())
        shutil.copymode(path, fresh)
        fresh.replace(path)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise


def _understood(content: Mapping[str, object], *, place: Path) -> WingFile:
    refuse_unknown(content, known=TABLES, where=str(place))
    for table, keys in REQUIRED.items():
        if table not in content:
            raise InputError(
                where=str(place),
                found=f"no [{table}]",
                needed=f"that table with {keys}",
                fix=f"add a line [{table}]"
                + (' and kind = "none" if there is none' if table == "flap" else ""),
            )
    notebook = Notebook()
    wing = read_wing(content["wing"], place=place, notebook=notebook)
    flap = read_flap_plan(content["flap"], place=place, wing=wing, notebook=notebook)
    aircraft = read_aircraft(content["aircraft"], place=place, wing=wing, flap=flap, notebook=notebook)
    rows = _rows(content.get("vane_row"), place=place, wing=wing)
    candidates = read_candidates(
        content.get("candidate"), place=place, mean_chord=wing.mean_chord, rows=rows, notebook=notebook
    )
    question = read_question(
        content.get("question"), place=place, wing=wing, flap=flap, candidates=candidates, notebook=notebook
    )
    _check_candidates(candidates, question=question, wing=wing, place=place, notebook=notebook)
    _check_flap(rows, candidates, flap=flap, question=question, wing=wing, place=place)
    said = read_in_the_air(content.get("in_the_air"), place=place, wing=wing, notebook=notebook)
    return WingFile(
        path=place,
        aircraft=aircraft,
        wing=wing,
        flap=flap,
        candidates=candidates,
        rows=rows,
        question=question,
        assumptions=tuple(notebook.assumptions),
        cautions=tuple(dict.fromkeys(notebook.cautions)),
        ranges=notebook.ranges,
        in_the_air=said,
    )


def _rows(values: object, *, place: Path, wing: Wing) -> tuple[VaneRow, ...]:
    if values is None:
        return ()
    if isinstance(values, dict):
        raise InputError(
            where=str(place), found="[vane_row]", needed="[[vane_row]]", fix="double the square brackets"
        )
    if not isinstance(values, list):
        raise InputError(where=f"{place}: vane_row", found=repr(values), needed="tables [[vane_row]]")
    rows = []
    for number, table in enumerate(values, start=1):
        where = f"{place}: vane_row {number}" if len(values) > 1 else f"{place}: vane_row"
        row = read_vane_row(Table(_without_open(table), where=where))
        check_pitch(row, where=where)
        _check_span(row, wing=wing, where=where)
        inner = 0.0 if row.span_from is None else row.span_from
        outer = wing.semi_span if row.span_to is None else row.span_to
        check_against_chord(row, chord_m=_shortest_chord(wing, inner, outer), where=where)
        rows.append(row)
    return tuple(rows)


def _without_open(table: object) -> object:
    """Leave out what a row may leave open and the owner does not know."""
    if not isinstance(table, dict):
        return table
    return {
        key: value
        for key, value in table.items()
        if not (key in OPEN_IN_A_ROW and isinstance(value, str) and value.strip().lower() in UNKNOWN)
    }


def _check_span(row: VaneRow, *, wing: Wing, where: str) -> None:
    for key, value in (("span_from", row.span_from), ("span_to", row.span_to)):
        if value is not None and not 0.0 <= value <= wing.semi_span:
            raise RangeError(
                where=f"{where} {key}",
                found=units.format_length(value, "m", decimals=3),
                needed=f"0 to {units.format_length(wing.semi_span, 'm', decimals=3)} from the centerline",
                fix="check its unit, and that the span of the wing is tip to tip",
            )


def _check_candidates(
    candidates: Sequence[VaneCandidate], *, question: Question, wing: Wing, place: Path, notebook: Notebook
) -> None:
    chord = _shortest_chord(wing, question.row_from, question.row_to)
    for index, candidate in enumerate(candidates):
        where = candidate_place(place, index=index, count=len(candidates))
        check_against_chord(candidate.row(station=question.positions[-1]), chord_m=chord, where=where)
        if candidate.height > TALL_SHARE * chord:
            notebook.cautions.append(
                f"candidate {candidate.name!r} is {units.format_length(candidate.height, 'mm')} high,"
                f" {100 * candidate.height / chord:.1f} % of chord; common practice, no source: 0.3 to 1 %"
            )


def _check_flap(
    rows: Sequence[VaneRow],
    candidates: Sequence[VaneCandidate],
    *,
    flap: FlapPlan | None,
    question: Question,
    wing: Wing,
    place: Path,
) -> None:
    """Refuse rows, written or asked about, that would stand on a flap that moves."""
    start, end = question.row_from, question.row_to
    aftmost = [c.row(station=question.positions[-1], span_from=start, span_to=end) for c in candidates]
    named = [(row, f"{place}: question.positions, candidate {row.name!r}") for row in aftmost]
    for number, row in enumerate(rows, start=1):
        inner = start if row.span_from is None else row.span_from
        outer = end if row.span_to is None else row.span_to
        where = f"{place}: vane_row {number} station" if len(rows) > 1 else f"{place}: vane_row station"
        named.append((replace(row, span_from=inner, span_to=outer), where))
    for row, where in named:
        inner, outer = row.span_from or 0.0, wing.semi_span if row.span_to is None else row.span_to
        chord = _shortest_chord(wing, min(inner, outer), max(inner, outer))
        check_off_the_flap(row, flap=flap, chord_m=chord, semi_span=wing.semi_span, where=where)


def _shortest_chord(wing: Wing, inner: float, outer: float) -> float:
    between = [station.chord for station in wing.stations if inner <= station.span_station <= outer]
    return min(wing.chord_at(inner), wing.chord_at(outer), *between)
