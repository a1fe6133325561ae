"""``slowflight lift-curve``: a section's lift, drag and moment over angles of attack."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from slowflight.errors import InputError, Interrupted, Unconverged

if TYPE_CHECKING:
    from slowflight.verbs import FlowPoint, LiftCurve


def lift_curve(
    airfoil: Annotated[
        str,
        typer.Argument(
            metavar="AIRFOIL",
            help="naca4412, naca23012 and the like, or a file of coordinates or of caliper offsets.",
            show_default=False,
        ),
    ],
    reynolds: Annotated[
        str,
        typer.Option(metavar="RE", help="Reynolds number on the chord, 1e4 to 1e8.", show_default=False),
    ],
    angles: Annotated[
        str,
        typer.Option(
            metavar="FROM:TO:STEP",
            help="Angles of attack in degrees, TO included, such as -4:18:1.",
            show_default=False,
        ),
    ],
    tier: Annotated[
        str,
        typer.Option(
            metavar="TIER",
            help="integral takes seconds; rans minutes.",
        ),
    ] = "integral",
    chord: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help='Chord with its unit, such as "60 in"; needed with --vanes.'),
    ] = None,
    transition: Annotated[
        str,
        typer.Option(
            metavar="WHERE",
            help="Where the layers turn turbulent: free, a share of chord (0.05 or 5%), or UPPER,LOWER;"
            " with rans also turbulent, from the stagnation point on.",
        ),
    ] = "free",
    amplification: Annotated[
        str,
        typer.Option(
            metavar="N",
            help="How far disturbances grow (e to the N) before a free layer turns turbulent, 1 to 15.",
        ),
    ] = "9",
    flap: Annotated[
        str | None, typer.Option(metavar="FILE", help="TOML file with [flap]: plain, hung or slotted.")
    ] = None,
    flap_angle: Annotated[
        str | None, typer.Option(metavar="DEG", help="Flap angle in degrees, trailing edge down positive.")
    ] = None,
    vanes: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="TOML file with one or more [[vane_row]], which act together."),
    ] = None,
    grid: Annotated[
        str,
        typer.Option(metavar="SIZE", help="Grid of the rans tier: preview, medium, default or fine."),
    ] = "default",
    keep: Annotated[
        str | None,
        typer.Option(
            metavar="FOLDER",
            help="Folder in which the rans tier keeps finished angles; the same command goes on from there.",
        ),
    ] = None,
    time_average: Annotated[
        bool,
        typer.Option(
            "--time-average",
            help="Average over time where the rans tier finds no steady answer; minutes an angle.",
        ),
    ] = False,
    turbulence: Annotated[
        str,
        typer.Option(
            metavar="MODELS",
            help="Turbulence models of the rans tier: one-equation, or both, whose spread is part of the"
            " error; both takes twice as long.",
        ),
    ] = "one-equation",
    distributions: Annotated[
        str | None,
        typer.Option(
            metavar="FILE", help="Write pressure, speed and layers along each surface to a CSV file."
        ),
    ] = None,
    json: Annotated[
        bool, typer.Option("--json", help="Print the result as JSON instead of a table.")
    ] = False,
) -> None:
    """Lift, drag and moment of an airfoil section through stall.

    Section values without wing, tail or power: no stall speed follows from them alone.
    """
    # Imported here so that --help stays quick: this is what pulls in the numerical libraries.
    from slowflight import verbs
    from slowflight.cli.output import print_json, print_lift_curve
    from slowflight.cli.progress import Progress

    destination = None
    if distributions is not None and tier == "rans":
        raise InputError(
            where="--distributions",
            found="--tier rans",
            needed="the integral tier: the minutes tier does not write layers yet",
        )
    if distributions is not None:
        destination = verbs.check_destination(distributions, where="--distributions")
    finished: list[FlowPoint] = []
    with Progress() as progress:

        def on_point(point: FlowPoint) -> None:
            finished.append(point)
            progress.advance()

        try:
            curve = verbs.lift_curve(
                airfoil,
                reynolds=reynolds,
                angles=angles,
                tier=tier,
                chord=chord,
                transition=transition,
                amplification=amplification,
                flap=flap,
                flap_angle=flap_angle,
                vanes=vanes,
                grid=grid,
                keep_in=keep,
                time_average=time_average,
                turbulence=turbulence,
                on_start=progress.start,
                on_point=on_point,
            )
        except KeyboardInterrupt:
            kept = ""
            if destination is not None and finished:
                verbs.write_distributions(finished, destination)
                kept = f"; the distributions of these are in {destination}"
            if keep is not None and finished:
                kept += f"; the same command goes on from {keep}"
            raise Interrupted(f"interrupted after {len(finished)} finished angles{kept}") from None
    if destination is not None:
        verbs.write_distributions(curve.points, destination)
    if json:
        print_json(verbs.lift_curve_record(curve))
    else:
        print_lift_curve(curve, sources=verbs.describe_sources(curve.sources))
    _refuse_silence_about(verbs.shortfall(curve), curve)


def _refuse_silence_about(missing: tuple[float, ...], curve: LiftCurve) -> None:
    if missing:
        shown = ", ".join(f"{angle:g}" for angle in missing[:8]) + (", ..." if len(missing) > 8 else "")
        counted = f"{len(missing)} of {len(curve.points)} angles"
        raise Unconverged(f"{counted} have no converged answer and are marked: {shown} deg")
