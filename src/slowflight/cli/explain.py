"""``slowflight explain``: someone's test of vanes, in the light of one's own wing."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP


def explain(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    test: Annotated[
        str, typer.Argument(metavar="TEST", help="TOML file with [test]: what was tried.", show_default=False)
    ],
    json: Annotated[bool, typer.Option("--json", help="Print the explanation as JSON.")] = False,
) -> None:
    """What a reported test should have shown on this wing, and whether it could.

    Needs a prediction of DIR first.
    """
    from slowflight import verbs
    from slowflight.cli.output import print_json

    record = verbs.explain_test(folder, test)
    if json:
        print_json(record)
        return
    typer.echo(f"{record['aircraft']}: {record['finding']} (predicted, uncalibrated)")
    for sentence in record["sentences"]:
        typer.echo(f"- {sentence}")
    for rival in record["rivals"]:
        if rival["change_kt"] is not None:
            typer.echo(f"Another explanation: {rival['name']}: {rival['change_kt']:+.1f} kt")
    for caution in record["cautions"]:
        typer.echo(f"Caution: {caution}")
