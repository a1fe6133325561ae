"""The command line: one command per file, errors as one line, nothing numerical until one runs."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from slowflight import __version__
from slowflight.cli.clip import clip
from slowflight.cli.demo import demo
from slowflight.cli.desk import desk
from slowflight.cli.evidence import evidence
from slowflight.cli.explain import explain
from slowflight.cli.figures import figures
from slowflight.cli.fly import fly
from slowflight.cli.installed import installed
from slowflight.cli.layout import layout
from slowflight.cli.lift_curve import lift_curve
from slowflight.cli.measure import measure
from slowflight.cli.pack import pack, unpack
from slowflight.cli.positions import positions
from slowflight.cli.predict import predict
from slowflight.cli.report import report
from slowflight.cli.second_opinion import second_opinion
from slowflight.errors import SlowflightError

# Plain help: rich panels cost time on a cold --help and cannot be kept in the documentation as text.
app = typer.Typer(
    name="slowflight",
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["--help", "-h"]},
)
app.command("demo")(demo)
app.command("desk")(desk)
app.command("measure")(measure)
app.command("predict")(predict)
app.command("second-opinion")(second_opinion)
app.command("layout")(layout)
app.command("installed")(installed)
app.command("fly")(fly)
app.command("report")(report)
app.command("clip")(clip)
app.command("figures")(figures)
app.command("pack")(pack)
app.command("unpack")(unpack)
app.command("explain")(explain)
app.command("lift-curve")(lift_curve)
app.command("positions")(positions)
app.command("evidence")(evidence)


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"slowflight {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def slowflight(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Find out whether vortex generators would let this wing fly slower safely.

    Predictions are no permission to fly: slow flight and stalls kill. Whatever a result says, test at a safe
    height, within the aircraft's limits, with the approval your authority asks for.
    """
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code: 0, 2 bad input, 3 incomplete, 130 interrupted.

    Parameters
    ----------
    arguments : sequence of str
        What stands after ``slowflight``.

    Returns
    -------
    int
    """
    try:
        result = app(args=list(arguments), prog_name="slowflight", standalone_mode=False)
    except SlowflightError as error:
        return _say(str(error), error.exit_code)
    except typer.TyperException as error:
        return _say(error.format_message(), 2)
    except OSError as error:
        # Such as a name longer than the system allows, or a full disk.
        reason = error.strerror or type(error).__name__
        name = "" if error.filename is None else f"{str(error.filename)[:60]!r}: "
        return _say(f"{name}{reason}", 2)
    except (KeyboardInterrupt, typer.Abort):
        return _say("interrupted", 130)
    # Outside standalone mode a clean exit asked for deep inside comes back as its code.
    return result if isinstance(result, int) else 0


def _say(message: str, code: int) -> int:
    print(f"slowflight: {' '.join(message.split())}", file=sys.stderr)  # noqa: T201
    return code
