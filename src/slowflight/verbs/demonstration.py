"""The whole job on an aircraft that is invented."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowflight.project import write_demo
from slowflight.verbs.flying import fly
from slowflight.verbs.flying_demo import invent_flights
from slowflight.verbs.laying_out import layout
from slowflight.verbs.predicting import predict
from slowflight.verbs.prediction_settings import Told
from slowflight.verbs.reporting import report


@dataclass(frozen=True, kw_only=True)
class DemoResult:
    """What the demonstration made.

    Parameters
    ----------
    folder : Path
    prediction : dict
        The record of the prediction.
    layout : dict or None
        The record of the layout; ``None`` where no row is worth laying out.
    flights : dict
        The record of the invented flights.
    report : Path
        The page.
    """

    folder: Path
    prediction: dict[str, Any]
    layout: dict[str, Any] | None
    flights: dict[str, Any]
    report: Path


def demo(folder: str | Path, *, workers: int | str = 1, on_progress: Told | None = None) -> DemoResult:
    """Write the invented aircraft into a folder, predict, lay out, reduce invented flights and report.

    Parameters
    ----------
    folder : str or Path
        New, or made by an earlier demonstration that is then gone on with.
    workers : int or str, optional
        Processes to compute with, or whose workers compute: ``"cluster"`` or a scheduler's address.
    on_progress : callable, optional
        As for `predict`.

    Returns
    -------
    DemoResult

    Raises
    ------
    InputError
        Where the folder holds another project; nothing is overwritten then.
    """
    project = write_demo(folder)
    prediction = predict(folder, workers=workers, on_progress=on_progress)
    laid_out = None
    if any(setting.get("best") for setting in prediction["settings"]):
        laid_out = layout(folder)
    invent_flights(folder)
    return DemoResult(
        folder=project.folder,
        prediction=prediction,
        layout=laid_out,
        flights=fly(folder),
        report=report(folder),
    )
