"""One picture of the record: predicted maximum lift against measured."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import TYPE_CHECKING

from slowflight.errors import InputError, SlowflightError

if TYPE_CHECKING:
    from slowflight.verbs.evidence import Evidence

ENDINGS = (".svg", ".png", ".pdf")
QUANTITY = "maximum lift"
AIM = 0.08  # of maximum lift; the band in the picture
MARKS = {"calibrates": ("o", "#a85200"), "checks": ("s", "#0a5a96"), "from memory": ("x", "#5d6876")}


def check_plot(file: str | Path, *, where: str = "--plot") -> Path:
    """Make sure that a picture can be drawn and written there.

    Parameters
    ----------
    file : str or Path
    where : str, optional
        The option it was given with, for the message.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        For another ending than .svg, .png or .pdf, or a folder that is not there.
    SlowflightError
        Without the library that draws.
    """
    path = Path(file)
    if path.suffix.lower() not in ENDINGS:
        raise InputError(where=where, found=repr(str(file)), needed=f"a file ending in {', '.join(ENDINGS)}")
    if not path.parent.is_dir():
        raise InputError(where=where, found=f"no folder {str(path.parent)!r}", needed="a folder that exists")
    if importlib.util.find_spec("matplotlib") is None:
        raise SlowflightError(
            f"{where}: found no matplotlib; needs the library of the extra 'report'; "
            'run: python -m pip install "slowflight[report]"'
        )
    return path


def plot_evidence(evidence: Evidence, file: str | Path) -> Path:
    """Draw predicted against measured maximum lift.

    Parameters
    ----------
    evidence : Evidence
    file : str or Path
        Ending in .svg, .png or .pdf.

    Returns
    -------
    Path
    """
    from slowflight.report.pictures.canvas import house_style, new_figure

    path = check_plot(file)
    shown = [
        (c.published, c.predicted, c.case.role if c.case.counts else "from memory")
        for c in evidence.comparisons
        if c.measured.quantity == QUANTITY and c.predicted is not None
    ]
    with house_style():
        figure = new_figure(width=5.2, height=5.0)
        axes = figure.add_subplot()
        values = [v for published, predicted, _ in shown for v in (published, predicted)] or [1.0, 2.0]
        ends = [min(values) - 0.05, max(values) + 0.05]
        axes.plot(ends, ends, color="#5d6876", linewidth=0.8)
        axes.fill_between(
            ends, [e * (1 - AIM) for e in ends], [e * (1 + AIM) for e in ends], color="#0a5a96", alpha=0.10,
            linewidth=0, label=f"within {100 * AIM:.0f} %, the aim",
        )  # fmt: skip
        for role, (mark, color) in MARKS.items():
            points = [(x, y) for x, y, of in shown if of == role]
            if points:
                label = f"{role}, in no mean" if role == "from memory" else role
                axes.plot(*zip(*points, strict=True), mark, color=color, label=label, linestyle="none")
        axes.set(
            xlim=ends, ylim=ends, aspect="equal", xlabel="measured maximum lift coefficient",
            ylabel=f"predicted, {evidence.tier} tier", title="Clean sections; none has vanes",
        )  # fmt: skip
        axes.legend(frameon=False, loc="upper left")
        figure.savefig(path, metadata={"Date": None} if path.suffix.lower() == ".svg" else None)
    return path
