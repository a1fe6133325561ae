"""Take in logs and cards: copied as they are, columns guessed, an entry for the owner to complete."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.book.entries import SIDES
from slowflight.flights.book.raw_files import LEG_CARD, STALL_CARD, RawFile, digest, look_at
from slowflight.flights.book.reading import BOOK, read_book
from slowflight.flights.book.writing import append, flight_text, new_book
from slowflight.flights.logs.mapping import Mapping, read_mapping
from slowflight.flights.logs.reading import read_logs
from slowflight.project import Project, open_project
from slowflight.verbs.flying import flap_settings
from slowflight.verbs.flying_files import LOGS, columns_of, kept, relative, shown
from slowflight.wing.wing_file import WingFile, read_wing_file


def add_flights(
    folder: str | Path,
    logs: Sequence[str | Path],
    *,
    side: str,
    flap: str | None = None,
    mass: str | None = None,
    centre_of_gravity: str | None = None,
    pilot: str | None = None,
    name: str | None = None,
    mapping: str | Path | None = None,
    also: str | Path | None = None,
    confirm: bool = False,
) -> dict[str, Any]:
    """Add flights to a project.

    Parameters
    ----------
    folder : str or Path
        A project folder.
    logs : sequence of str or Path
        Raw logs and typed cards; each log is a flight of its own, cards belong to the one log beside them or,
        without one, make a flight by themselves. They are copied into ``flights/logs`` unless they lie in the
        project already, and never altered.
    side : str
        ``"before"``, ``"after"`` or ``"before again"``.
    flap, mass, centre_of_gravity, pilot : str, optional
        What the log does not say, with units; may be written into flights.toml later.
    name : str, optional
        Of the flight; numbered by side without it.
    mapping : str or Path, optional
        Which column is what, from an earlier flight or another project.
    also : str or Path, optional
        Log of a second recorder that was aboard in the same, one flight.
    confirm : bool, optional
        The owner has looked at the guessed columns and they are right.

    Returns
    -------
    dict
        Plain data: what was added, the columns as guessed, and what to do next.

    Raises
    ------
    InputError
        Where a file is no log, a flight of that name is there already, or a value makes no sense. Nothing is
        added then.
    """
    project = open_project(folder)
    if side not in SIDES:
        raise InputError(
            where="side", found=repr(side), needed=", ".join(SIDES), fix="say on which side it was flown"
        )
    if not logs:
        raise InputError(where="fly", found="no file", needed="one log or card, or more")
    wing = read_wing_file(project.wing_file)
    _check_values(flap=flap, mass=mass, centre_of_gravity=centre_of_gravity)
    raw = [look_at(Path(log)) for log in logs]
    given = None if mapping is None else read_mapping(mapping)
    groups = _together(raw)
    second = _second(also, groups)
    if name is not None and len(groups) > 1:
        raise InputError(
            where="--name", found=f"one name for {len(groups)} flights", needed="one flight at a time"
        )
    book = project.flights / BOOK
    known = read_book(book).flights if book.is_file() else ()
    taken = [flight.name for flight in known]
    _refuse_known(
        [*raw, *([] if second is None else [second])],
        {flight.digest: flight.name for flight in known if flight.digest},
    )
    parts = [_parts_of(group, given, confirm=confirm) for group in groups]
    place = project.ready(project.ready(project.flights) / LOGS)
    added: list[dict[str, Any]] = []
    text = ""
    beside = None if second is None else kept(second.path, place, project)
    beside_columns, beside_usual = (
        (None, None) if second is None else columns_of([second], None, project, confirm=confirm)
    )
    for group, flown in zip(groups, parts, strict=True):
        files = {one.kind: kept(one.path, place, project) for one in group}
        columns, usual = columns_of(group, given, project, confirm=confirm)
        for part in range(1, flown + 1):
            chosen = name if name is not None and flown == 1 else _free_name(side, taken)
            if chosen in taken:
                raise InputError(
                    where="--name", found=f"{chosen!r}, which is there", needed="a name of its own"
                )
            taken.append(chosen)
            log = next((f for kind, f in files.items() if kind not in (STALL_CARD, LEG_CARD)), None)
            text += flight_text(
                {
                    "name": chosen,
                    "side": side,
                    "log": relative(log, project),
                    "part": part if flown > 1 else None,
                    "columns": None if columns is None else columns.name,
                    "second_log": relative(beside, project),
                    "second_columns": None if beside_columns is None else beside_columns.name,
                    "stall_card": relative(files.get(STALL_CARD), project),
                    "leg_card": relative(files.get(LEG_CARD), project),
                    "sha256": digest(log if log is not None else next(iter(files.values()))),
                    "mass": mass or "unknown",
                    "fuel_burn": "unknown",
                    "flap": flap or "unknown",
                    "temperature": "unknown",
                    "power": "idle",
                    "centre_of_gravity": centre_of_gravity or "unknown",
                    "pilot": pilot or "unknown",
                    "notes": " ",
                },
                remarks=(
                    "mass at the start of the log; flap and outside temperature where the log has none;",
                    "to strike a stall: slowflight fly DIR strike NAME 3, or",
                    'strike = [{stall = 3, reason = "gust"}]',
                ),
            )
            added.append(
                {
                    "name": chosen,
                    "side": side,
                    "files": [str(file) for file in files.values()],
                    "kind": next(iter(files)),
                    "columns_file": None if columns is None else str(columns),
                    "confirmed": usual is None or usual.confirmed,
                    "columns": [] if usual is None else shown(usual),
                }
            )
            if second is not None and beside is not None:
                added.append(
                    {
                        "name": f"{chosen}, second recorder",
                        "side": side,
                        "files": [str(beside)],
                        "kind": second.kind,
                        "columns_file": None if beside_columns is None else str(beside_columns),
                        "confirmed": beside_usual is None or beside_usual.confirmed,
                        "columns": [] if beside_usual is None else shown(beside_usual),
                    }
                )
    append(book, text, fresh=blank_book(wing))
    read_book(book)
    return {"book": str(book), "added": added, "next": _next(added, project)}


def blank_book(wing: WingFile, *, flights: int = 3) -> str:
    """Return the text of an empty book for a wing: its flap settings, and its accepted price in cruise."""
    flaps = [f"{setting:g} deg" for setting in flap_settings(wing)]
    return new_book(
        unit="kt",
        worth="1 kt",
        margin=f"{units.express(wing.question.cruise_price, 'kt'):.3g} kt",
        flaps=flaps,
        landing=flaps[-1],
        flights=flights,
    )


def _refuse_known(raw: Sequence[RawFile], known: dict[str, str]) -> None:
    """Refuse a log that is in the book already, under whatever name, or twice among those given."""
    seen = dict(known)
    for one in raw:
        mark = digest(one.path)
        if mark in seen:
            raise InputError(
                where=str(one.path),
                found=f"the same log as {seen[mark]}",
                needed="each flight once: counted twice it would make the answer look surer than it is",
            )
        seen[mark] = one.path.name


def _check_values(*, flap: str | None, mass: str | None, centre_of_gravity: str | None) -> None:
    """Refuse a slip before anything is written."""
    if flap is not None:
        units.angle(flap, where="--flap")
    if mass is not None:
        units.mass(mass, where="--mass")
    if centre_of_gravity is not None:
        units.fraction(centre_of_gravity, where="--cg")


def _second(also: str | Path | None, groups: Sequence[list[RawFile]]) -> RawFile | None:
    """Look at the log of a second recorder; it belongs to one flight that has a log."""
    if also is None:
        return None
    if len(groups) != 1 or groups[0][0].kind in (STALL_CARD, LEG_CARD):
        raise InputError(
            where="--also", found=f"{len(groups)} flights", needed="one flight, with a log of its own"
        )
    second = look_at(Path(also))
    if second.kind in (STALL_CARD, LEG_CARD):
        raise InputError(
            where="--also", found=second.kind, needed="a log", fix="give a card beside the first log"
        )
    return second


def _together(raw: Sequence[RawFile]) -> list[list[RawFile]]:
    """Group files to flights: each log one; cards with the only log, or by themselves."""
    logs = [one for one in raw if one.kind not in (STALL_CARD, LEG_CARD)]
    cards = [one for one in raw if one.kind in (STALL_CARD, LEG_CARD)]
    if len(cards) > len({card.kind for card in cards}) or (cards and len(logs) > 1):
        raise InputError(
            where="fly",
            found=f"{len(logs)} logs and {len(cards)} cards",
            needed="cards with the one flight they belong to",
            fix="add one flight at a time",
        )
    if cards:
        return [[*logs, *cards]]
    return [[one] for one in logs]


def _parts_of(group: Sequence[RawFile], given: Mapping | None, *, confirm: bool) -> int:
    """How many flights a log holds; one where its columns must be confirmed first."""
    log = group[0]
    if log.kind in (STALL_CARD, LEG_CARD):
        return 1
    mapping = given or log.mapping
    if log.kind == "table" and mapping is not None and not mapping.confirmed and not confirm:
        return 1
    return sum(1 for _ in read_logs(log.path, mapping=None if mapping is None else mapping.confirm()))


def _free_name(side: str, taken: Sequence[str]) -> str:
    stem = side.replace(" ", "-")
    return next(f"{stem}-{n}" for n in range(1, len(taken) + 2) if f"{stem}-{n}" not in taken)


def _next(added: Sequence[dict[str, Any]], project: Project) -> list[str]:
    book = project.flights / BOOK
    wanted = []
    for file in sorted({one["columns_file"] for one in added if not one["confirmed"]}):
        wanted.append(
            f"check the columns and units above; if all are right, set confirmed = true in {file}, or mend it"
            " there first"
        )
    wanted.append(f"write mass, center of gravity and what was seen into {book}")
    wanted.append(f"then: slowflight fly {project.folder}")
    return wanted
