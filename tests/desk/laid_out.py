"""A short row on the demonstration's wing, laid out without a prediction: a few seconds."""

from __future__ import annotations

from pathlib import Path

from slowflight.project import write_demo
from slowflight.verbs import layout

ROW = """
[[vane_row]]
element = "main"
surface = "upper"
span_from = "1.2 m"
span_to = "1.7 m"
station = "9 %"
height = "8 mm"
length = "24 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
pitch = "80 mm"
gap = "20 mm"
shape = "rectangular"
"""


def write_laid_out(folder: Path) -> Path:
    """Write the demonstration with a row of its own, and lay it out."""
    write_demo(folder)
    place = folder / "wing.toml"
    place.write_text(place.read_text(encoding="utf-8") + ROW, encoding="utf-8")
    layout(folder)
    return folder
