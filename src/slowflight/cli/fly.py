"""``slowflight fly``: plan the flights, take in their logs, decide."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP
from slowflight.errors import InputError

PLAN, STALLS, TUFTS = "plan", "stalls", "tufts"
SIDES = {"before": "before", "after": "after", "again": "before again"}
MARKS = ("strike", "restore")
INCOMPLETE = 3


def fly(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    what: Annotated[
        str,
        typer.Argument(
            metavar="WHAT",
            help="plan: what flights can settle, and cards. before, after, again (clean again): add LOG. "
            "stalls: draw every stall. strike, restore: FLIGHT NUMBER. tufts: plan them, reduce their films. "
            "Nothing: reduce and decide.",
            show_default=False,
        ),
    ] = "",
    logs: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="LOG",
            help="Raw logs and typed cards of that side; for strike and restore, flight and number.",
            show_default=False,
        ),
    ] = None,
    flap: Annotated[
        str | None, typer.Option(metavar="ANGLE", help='Where the log has no flap, such as "20 deg".')
    ] = None,
    mass: Annotated[
        str | None, typer.Option(metavar="MASS", help='At the start of the log, such as "540 kg".')
    ] = None,
    cg: Annotated[
        str | None, typer.Option(metavar="SHARE", help='Center of gravity, such as "27 %" of the chord.')
    ] = None,
    pilot: Annotated[str | None, typer.Option(metavar="WHO", help="Who flew; initials will do.")] = None,
    name: Annotated[str | None, typer.Option(metavar="NAME", help="Of one flight; else numbered.")] = None,
    mapping: Annotated[
        str | None, typer.Option(metavar="FILE", help="Which column is what, saved from another log.")
    ] = None,
    also: Annotated[
        str | None, typer.Option(metavar="FILE", help="Log of a second recorder aboard in that flight.")
    ] = None,
    confirm: Annotated[
        bool, typer.Option("--confirm", help="The columns and units as guessed are right.")
    ] = False,
    reason: Annotated[
        str, typer.Option(metavar="WHY", help="For strike and restore: what you saw; it is kept.")
    ] = "",
    flights: Annotated[
        int | None, typer.Option(metavar="N", help="For plan: how many a side; else as flights.toml says.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Plan flights before and after, take in their logs, and decide: keep, move, remove or fly more.

    Everything is kept in DIR/flights: logs as they were recorded, flights.toml to complete by hand, cards to
    print, results.
    """
    from slowflight import verbs
    from slowflight.cli import fly_output
    from slowflight.cli.output import print_json

    if what == PLAN:
        if logs:
            raise InputError(where="fly plan", found=f"{logs[0]!r}", needed="nothing behind 'plan'")
        planned = verbs.plan_flights(folder, flights=flights)
        if json:
            print_json(planned)
        else:
            fly_output.print_plan(planned)
        return
    if what in SIDES:
        added = verbs.add_flights(
            folder, logs or [], side=SIDES[what], flap=flap, mass=mass, centre_of_gravity=cg, pilot=pilot,
            name=name, mapping=mapping, also=also, confirm=confirm,
        )  # fmt: skip
        if json:
            print_json(added)
        else:
            fly_output.print_added(added)
        return
    if what == STALLS:
        if logs:
            raise InputError(where="fly stalls", found=f"{logs[0]!r}", needed="nothing behind 'stalls'")
        drawn = verbs.draw_stalls(folder)
        if json:
            print_json(drawn)
        else:
            fly_output.print_drawn(drawn)
        return
    if what == TUFTS:
        if logs:
            raise InputError(where="fly tufts", found=f"{logs[0]!r}", needed="nothing behind 'tufts'")
        tufts = verbs.reduce_tufts(folder)
        if json:
            print_json(tufts)
        else:
            fly_output.print_tufts(tufts)
        if any(film["problem"] for film in tufts["films"]):
            raise typer.Exit(INCOMPLETE)
        return
    if what in MARKS:
        if logs is None or len(logs) != 2:
            raise InputError(
                where=f"fly {what}",
                found=" ".join(logs or ["nothing"]),
                needed="the flight and the number of the stall",
                fix=f'slowflight fly DIR {what} before-1 3 --reason "gust"',
            )
        mark = verbs.strike_stall if what == MARKS[0] else verbs.restore_stall
        marked = mark(folder, logs[0], logs[1], reason=reason)
        if json:
            print_json(marked)
        else:
            fly_output.print_marked(marked)
        return
    if what:
        raise InputError(
            where="fly",
            found=repr(what),
            needed=f"{PLAN}, {', '.join((*SIDES, STALLS, *MARKS, TUFTS))} or nothing",
            fix="a log goes behind the side: slowflight fly DIR before LOG",
        )
    record = verbs.fly(folder)
    if json:
        print_json(record)
    else:
        used = verbs.describe_sources(record["sources"])
        fly_output.print_flights(record, sources=used)
    if record["unread"]:
        raise typer.Exit(INCOMPLETE)
