"""A skin drawing as an SVG file in millimeters, one group for each layer.

Source: W3C, Scalable Vector Graphics (SVG) 1.1, second edition, 2011.
"""

from __future__ import annotations

from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from slowflight.layout.files import replace_file
from slowflight.layout.skin_drawing import LAYERS, Label, SkinDrawing, Stroke


def write_svg(drawing: SkinDrawing, path: Path | str, *, title: str) -> Path:
    """Write a drawing.

    Parameters
    ----------
    drawing : SkinDrawing
        What is drawn.
    path : Path or str
        The file; it is replaced only when the new one is complete.
    title : str
        Of the file.

    Returns
    -------
    Path
        The file: one unit of it is one millimeter, y down as SVG has it, so that y is the distance behind
        the foremost line.

    Raises
    ------
    InputError
        Where the file cannot be written.
    """
    left, bottom, right, top = drawing.box
    width, height = right - left, top - bottom
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width:.3f}mm" height="{height:.3f}mm"'
        f' viewBox="{left:.3f} {-top:.3f} {width:.3f} {height:.3f}">',
        f"<title>{escape(title)}</title>",
        f"<desc>{escape(' '.join(drawing.cautions))}</desc>",
    ]
    for layer, gray in LAYERS.items():
        shade = round(255 * gray)
        color = f"#{shade:02x}{shade:02x}{shade:02x}"
        stroke = 0.6 if layer in ("vanes", "check_bars") else 0.25
        parts.append(
            f'<g id="{layer}" fill="none" stroke="{color}" stroke-width="{stroke}"><title>{layer}</title>'
        )
        parts += [_stroke(each) for each in drawing.strokes if each.layer == layer]
        parts += [_label(each, color) for each in drawing.labels if each.layer == layer]
        parts.append("</g>")
    parts.append("</svg>")
    return replace_file(path, ("\n".join(parts) + "\n").encode("utf-8"))


def _stroke(each: Stroke) -> str:
    points = " ".join(f"{x:.4f},{-y:.4f}" for x, y in each.points)
    name = f" id={quoteattr(each.name)}" if each.name else ""
    return f'<polyline{name} points="{points}"/>'


def _label(each: Label, color: str) -> str:
    x, y = each.at
    # Capitals of common typefaces are seven tenths of the type's size.
    return (
        f'<text x="{x:.3f}" y="{-y:.3f}" font-family="Helvetica, Arial, sans-serif"'
        f' font-size="{each.height / 0.7:.2f}" text-anchor="{each.anchor}" fill="{color}" stroke="none">'
        f"{escape(each.words)}</text>"
    )
