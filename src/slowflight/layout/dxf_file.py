"""A skin drawing as a DXF file in millimeters, with a layer for each kind of line."""

from __future__ import annotations

import io
from pathlib import Path

from ezdxf import units as dxf_units
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from slowflight.layout.files import replace_file
from slowflight.layout.ink import printable
from slowflight.layout.skin_drawing import LAYERS, SkinDrawing

VERSION = "R2000"
ALIGN = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}
# Colors of the index that every reader knows: 7 black or white, 8 and 9 grays.
COLORS = {0.0: 7, 0.3: 8, 0.4: 8, 0.5: 9}


def write_dxf(drawing: SkinDrawing, path: Path | str) -> Path:
    """Write a drawing.

    Parameters
    ----------
    drawing : SkinDrawing
        What is drawn; straight pieces are lines, longer ones polylines.
    path : Path or str
        The file; it is replaced only when the new one is complete.

    Returns
    -------
    Path
        The file, in millimeters, layers in capitals.

    Raises
    ------
    InputError
        Where the file cannot be written.
    """
    document = new(VERSION, units=dxf_units.MM)
    document.header["$MEASUREMENT"] = 1
    for layer, gray in LAYERS.items():
        document.layers.add(layer.upper(), color=COLORS[gray])
    space = document.modelspace()
    for stroke in drawing.strokes:
        attributes = {"layer": stroke.layer.upper()}
        if len(stroke.points) == 2:
            space.add_line(*stroke.points, dxfattribs=attributes)
        else:
            space.add_lwpolyline(stroke.points, dxfattribs=attributes)
    for label in drawing.labels:
        words = space.add_text(
            printable(label.words), height=label.height, dxfattribs={"layer": label.layer.upper()}
        )
        words.set_placement(label.at, align=ALIGN[label.anchor])
    written = io.StringIO()
    document.write(written)
    return replace_file(path, written.getvalue().encode("utf-8"))
