"""The form over wing.toml: what it asks, and how an answer gets into the file with its remarks kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from slowflight.desk import answers as form
from slowflight.desk.answers import LONGEST, Field, Group, said, save_answers
from slowflight.desk.kept_file import KeptFile
from slowflight.errors import InputError
from slowflight.project import WING_FILE
from slowflight.wing.toml_edit import with_value

HISTORY = "history"
AIRCRAFT = (
    ("aircraft.name", "Name, for the papers", "any words"),
    ("aircraft.mass", "Weight as flown", '"540 kg" or "1190 lb"; a range such as "535 to 555 kg" is fine'),
    ("aircraft.slowest_indicated_speed", "Slowest speed shown", 'power off, as the dial stood: "31 kt"'),
    ("aircraft.slowest_flap_setting", "Flap when that was read", 'one of the settings below: "0 deg"'),
    (
        "aircraft.three_point_attitude",
        "Ground attitude",
        'door sill against a level, wheels down: "12.6 deg"',
    ),
    ("aircraft.cruise_speed", "Cruise speed, true", '"82 kt"; both ways by GPS, averaged'),
)
WING = (
    ("wing.span", "Span", 'tip to tip, plumb line from each: "9.3 m" or "30 ft 6 in"'),
    ("wing.incidence", "Chord line against the door sill", '"2.4 deg"; at the root'),
)
SECTION = (
    ("chord", "Chord", 'nose to trailing edge, flap not counted: "1370 mm"'),
    ("washout", "Washout", 'nose down against the root: "1.6 deg"'),
    ("airfoil", "Section", 'a NACA name or an outline file: "naca4415" is a guess until you trace a rib'),
)
FLAP = (
    ("flap.kind", "Flap", "plain, split, slotted, hung (a small wing behind and below) or none"),
    ("flap.settings", "Settings", '["0 deg", "16 deg", "31 deg"]'),
    ("flap.chord", "Flap chord", '"23 %" of the main chord'),
)
QUESTION = (
    (
        "question.positions",
        "Places to try",
        'along the chord: ["5 %", "7.5 %", "10 %"]; empty tries eight usual ones',
    ),
    ("question.density_altitude", "Density altitude", '"650 ft"; your strip on a usual day'),
    ("question.cruise_price", "Cruise you would give up", '"2 kt"; more and they come off again'),
    ("question.row_from", "Row from", '"0.7 m" from the centerline'),
    ("question.row_to", "Row to", '"4.5 m"; keep off the ailerons'),
)
CANDIDATE = (
    ("height", "Height", '"8.5 mm"'),
    ("length", "Length", '"24 mm"'),
    ("pitch", "Pitch", 'from pair to pair: "84 mm"'),
    ("gap", "Gap", 'between the forward tips of a pair: "21 mm"'),
    ("incidence", "Toe", '"15.5 deg"'),
)


def wing_file(folder: Path) -> KeptFile:
    """Return the wing.toml of a project, with its steps back."""
    return KeptFile(folder=folder, place=WING_FILE, history=HISTORY, check=_check)


def read_values(folder: Path) -> dict[str, Any]:
    """Return what wing.toml says, unjudged; empty where it cannot be read at all."""
    return form.read_values(wing_file(folder))


def wing_groups(folder: Path) -> list[Group]:
    """Return the questions about the aircraft and its wing, by group, with what the file says."""
    content = read_values(folder)
    sections = _tables(content, "wing", "section")
    groups = [
        Group(title="Aircraft", fields=_fields(content, AIRCRAFT)),
        Group(title="Wing", fields=_fields(content, WING)),
    ]
    for index in range(len(sections)):
        keys = tuple((f"wing.section.{index}.{name}", label, how) for name, label, how in SECTION)
        place = sections[index].get("span_station", "the centerline")
        groups.append(Group(title=f"Section {index + 1}, {place} out", fields=_fields(content, keys)))
    return [*groups, Group(title="Flap", fields=_fields(content, FLAP))]


def question_groups(folder: Path) -> list[Group]:
    """Return the questions about the trial: day, price, span, and each vane to try."""
    content = read_values(folder)
    groups = [Group(title="The day and the price", fields=_fields(content, QUESTION))]
    candidates = content.get("candidate", [])
    for index, one in enumerate(candidates if isinstance(candidates, list) else []):
        keys = tuple((f"candidate.{index}.{name}", label, how) for name, label, how in CANDIDATE)
        name = one.get("name", index + 1) if isinstance(one, Mapping) else index + 1
        groups.append(Group(title=f"Vane “{name}”", fields=_fields(content, keys)))
    return groups


def add_place(folder: Path, station: float, *, tried: Sequence[float]) -> str:
    """Add a place along the chord to those of the question.

    Parameters
    ----------
    folder : Path
    station : float
        Share of the chord.
    tried : sequence of float
        Shares tried so far; they stand in the file afterward, so that none is lost.

    Returns
    -------
    str
        The place as written.

    Raises
    ------
    InputError
        Where the place lies outside those tried, or wing.toml cannot take it.
    """
    share = round(100.0 * station, 1)
    if not tried or not min(tried) <= station <= max(tried):
        raise InputError(where="the place", found=f"{share:g} %", needed="one between those computed")
    every = sorted({share, *(round(100.0 * one, 2) for one in tried)})
    listed = "[" + ", ".join(f'"{one:g} %"' for one in every) + "]"
    kept = wing_file(folder)
    save_answers(kept, {"question.positions": listed}, version=kept.version)
    return f"{share:g} %"


def begin_wing(folder: Path, answers: Mapping[str, str]) -> None:
    """Write a first wing.toml from the six answers of the first question.

    Parameters
    ----------
    folder : Path
        Without a wing.toml.
    answers : mapping of str
        ``name``, ``span``, ``chord``, ``mass``, ``slowest``, ``attitude``, ``flap`` and ``settings``.

    Raises
    ------
    InputError
        Where an answer makes no sense; nothing is written then.
    """
    if (folder / WING_FILE).exists():
        raise InputError(where=WING_FILE, found="one is there", needed="a folder without it")
    text = (
        '# Begun at the desk. What you do not know yet is "unknown"; measure, then put it in.\n'
        '[aircraft]\n[wing]\n[[wing.section]]\nairfoil = "naca4415"   # a guess: trace a rib\n[flap]\n'
        '[[candidate]]\nname = "printed"\nheight = "8 mm"\nlength = "24 mm"\npitch = "80 mm"\ngap = "20 mm"\n'
        'incidence = "16 deg"\narrangement = "counter-rotating"\nopening = "downstream"\n'
        'shape = "rectangular"\n'
    )
    keys = {
        "name": "aircraft.name", "mass": "aircraft.mass", "slowest": "aircraft.slowest_indicated_speed",
        "attitude": "aircraft.three_point_attitude", "span": "wing.span", "chord": "wing.section.0.chord",
        "flap": "flap.kind", "settings": "flap.settings",
    }  # fmt: skip
    for name, key in keys.items():
        value = answers.get(name, "").strip()[:LONGEST]
        if value and not (name == "settings" and answers.get("flap") == "none"):
            text = with_value(text, key=key, value=value, where=WING_FILE)
    wing_file(folder).put(text)


def _fields(content: Mapping[str, Any], keys: tuple[tuple[str, str, str], ...]) -> tuple[Field, ...]:
    return tuple(Field(key=key, label=label, how=how, value=said(content, key)) for key, label, how in keys)


def _tables(content: Mapping[str, Any], *names: str) -> list[dict[str, Any]]:
    place: Any = content
    for name in names:
        place = place.get(name, {}) if isinstance(place, Mapping) else {}
    return [one for one in place if isinstance(one, dict)] if isinstance(place, list) else []


def _check(draft: Path) -> None:
    # Only now: it brings a numerical library, and the desk is to open at once.
    from slowflight.wing.wing_file import read_wing_file

    read_wing_file(draft)
