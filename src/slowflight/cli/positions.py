"""``slowflight positions``: one row of vanes moved along the chord, by two tiers side by side."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.workers import SCHEDULER_HELP, workers_of
from slowflight.errors import Interrupted, Unconverged


def positions(
    airfoil: Annotated[str, typer.Argument(metavar="AIRFOIL", help="As of lift-curve.", show_default=False)],
    reynolds: Annotated[
        str, typer.Option(metavar="RE", help="Reynolds number on the chord.", show_default=False)
    ],
    angles: Annotated[
        str,
        typer.Option(
            metavar="FROM:TO:STEP", help="Angles of attack in degrees, TO included.", show_default=False
        ),
    ],
    vanes: Annotated[
        str,
        typer.Option(
            metavar="FILE",
            help="TOML file with one [[vane_row]]; its station is replaced.",
            show_default=False,
        ),
    ],
    chord: Annotated[
        str, typer.Option(metavar="LENGTH", help='Chord with its unit, such as "60 in".', show_default=False)
    ],
    stations: Annotated[
        str, typer.Option(metavar="LIST", help="Where the row is set, in percent of chord.")
    ] = "3,5,7,10,20,30",
    transition: Annotated[
        str, typer.Option(metavar="WHERE", help="As of lift-curve; turbulent is quickest.")
    ] = "turbulent",
    flap: Annotated[
        str | None, typer.Option(metavar="FILE", help="TOML file with [flap]: plain, hung or slotted.")
    ] = None,
    flap_angle: Annotated[
        str | None,
        typer.Option(metavar="DEG", help="Angle of the flap in degrees, trailing edge down positive."),
    ] = None,
    cruise_lift: Annotated[
        str, typer.Option(metavar="CL", help="Lift coefficient at which drag is compared.")
    ] = "0.4",
    grid: Annotated[
        str, typer.Option(metavar="SIZE", help="Grid of the rans tier: preview, medium, default or fine.")
    ] = "preview",
    refine: Annotated[
        bool,
        typer.Option(
            "--refine", help="Step on from the best station to where the adjoint points, solved in full."
        ),
    ] = False,
    grid_bands: Annotated[
        bool,
        typer.Option(
            "--grid-bands",
            help="Compute clean section and best row on three grids: how far the gain is open.",
        ),
    ] = False,
    scheduler: Annotated[str, typer.Option(metavar="WHICH", help=SCHEDULER_HELP)] = "local",
    results: Annotated[
        str | None,
        typer.Option(metavar="DIR", help="Folder for the runs; this user's cache where it is not given."),
    ] = None,
    picture: Annotated[
        str | None,
        typer.Option(
            metavar="FILE",
            help="Draw the clean section and the best row side by side; .svg, .png or .pdf.",
        ),
    ] = None,
    json: Annotated[
        bool, typer.Option("--json", help="Print the result as JSON instead of a table.")
    ] = False,
) -> None:
    """Where along the chord a row of vanes helps, by two tiers side by side.

    Each position is kept as soon as it is done: the same command goes on from there.
    """
    from slowflight import verbs
    from slowflight.cli.output import print_json
    from slowflight.cli.positions_output import print_positions
    from slowflight.cli.progress import Progress

    workers = workers_of(scheduler, cores=verbs.usable_cores())
    try:
        with Progress() as progress:
            found = verbs.positions(
                airfoil,
                reynolds=reynolds,
                angles=angles,
                vanes=vanes,
                chord=chord,
                stations=stations,
                transition=transition,
                flap=flap,
                flap_angle=flap_angle,
                cruise_lift=cruise_lift,
                grid=grid,
                refine=refine,
                bands=grid_bands,
                workers=workers,
                results=results,
                picture=picture,
                on_progress=progress.tell,
            )
    except KeyboardInterrupt:
        raise Interrupted(
            "interrupted; what was finished is kept, the same command goes on from there"
        ) from None
    record = found.record()
    if json:
        print_json(record)
    else:
        print_positions(record)
    missing = sum(p["cl"] is None for line in record["positions"] for p in line["points"])
    if missing:
        raise Unconverged(f"{missing} angles of the minutes tier have no converged answer and are marked")
