"""Tufts in flights.toml: where they go, and the films that were taken of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.book import fields
from slowflight.flights.book.entries import TuftFilm, TuftPlanEntry
from slowflight.flights.tufts.yarn import DARK, LIGHT
from slowflight.wing.tomlfile import Table

SLOWEST, FASTEST = 0.5, 1000.0  # pictures a second
LONGEST = 1e5  # [s]


def read_tuft_plan(values: object, *, where: str) -> TuftPlanEntry:
    """Read ``[tuft_plan]``. InputError for a slip."""
    table = Table(values, where=where)
    spans = {
        key: fields.quantity(table, key, units.length, low=0.0, high=20.0, limits="0 to 20 m")
        for key in ("span_from", "span_to", "span_pitch")
    }
    rows = fields.given(table, "rows")
    if rows is not None and not isinstance(rows, list):
        raise InputError(where=table.field("rows"), found=repr(rows), needed='a list like ["20 %", "40 %"]')
    shares = tuple(units.fraction(one, where=table.field("rows")) for one in rows or ())
    if any(not 0.0 < share < 1.0 for share in shares) or list(shares) != sorted(set(shares)):
        raise InputError(
            where=table.field("rows"), found=repr(rows), needed="shares of the chord that rise, 0 to 100 %"
        )
    entry = TuftPlanEntry(rows=shares, **spans)
    table.finish()
    return entry


def read_films(
    values: Sequence[object], sides: Mapping[str, str], *, folder: Path, where: str
) -> tuple[TuftFilm, ...]:
    """Read every ``[[tufts]]``; `sides` are the sides of the flights by name. InputError for a slip."""
    films = [
        _film(found, sides, folder=folder, where=f"{where} {number}")
        for number, found in enumerate(values, 1)
    ]
    names = [film.name for film in films]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise InputError(where=where, found=f"two films named {twice!r}", needed="a name of its own")
    return tuple(films)


def _film(values: object, sides: Mapping[str, str], *, folder: Path, where: str) -> TuftFilm:
    table = Table(values, where=where)
    flight, frames = fields.words(table, "flight"), fields.file(table, "frames", folder)
    if flight not in sides:
        raise InputError(
            where=table.field("flight"), found=repr(flight), needed=f"one of {', '.join(sides) or 'none yet'}"
        )
    if frames is None:
        raise InputError(
            where=table.field("frames"),
            found="nothing",
            needed="a folder of pictures or a video",
        )
    if fields.given(table, "begins") is None:
        raise InputError(
            where=table.field("begins"),
            found="nothing",
            needed='when its first frame is, from the first reading of the log: "612.4 s"',
            fix="by the clap or the rock of the wings; without it no frame has a speed",
        )
    rate = fields.given(table, "pictures_a_second")
    if rate is not None and (
        not isinstance(rate, int | float) or isinstance(rate, bool) or not SLOWEST <= rate <= FASTEST
    ):
        raise InputError(
            where=table.field("pictures_a_second"),
            found=repr(rate),
            needed=f"{SLOWEST:g} to {FASTEST:g}, without quotes",
        )
    film = TuftFilm(
        name=fields.words(table, "name") or flight,
        flight=flight,
        side=sides[flight],
        frames=frames,
        rate=None if rate is None else float(rate),
        begins=fields.seconds(table, "begins", most=LONGEST),
        places=fields.file(table, "places", folder),
        scores=fields.file(table, "scores", folder),
        yarn=table.choice("yarn", (DARK, LIGHT), default=DARK),
    )
    if "/" in film.name or "\\" in film.name:
        raise InputError(where=table.field("name"), found=repr(film.name), needed="a name without slashes")
    table.finish()
    return film
