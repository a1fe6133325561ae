"""Every figure of the saved records by itself: as lines, and as pixels wide and upright.

Each carries whether it is predicted or measured, and that it is about one aircraft only.
"""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from html import escape
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw, ImageOps

from slowflight.errors import InputError
from slowflight.report.clips.canvas import CAUTION, MARK, Shape, paper, wrapped, write
from slowflight.report.flights_part import drawn_flights
from slowflight.report.pictures.canvas import INK, LETS_GO, MUTED, PAPER, Picture, also_pixels
from slowflight.report.pictures.claim import draw_claim
from slowflight.report.pictures.curves import draw_lift, draw_speed
from slowflight.report.pictures.field import read_field
from slowflight.report.pictures.flow import draw_side
from slowflight.report.pictures.gain_maps import draw_gain_maps
from slowflight.report.pictures.help_strip import draw_help_strips
from slowflight.report.pictures.stall_speeds import draw_stall_speeds
from slowflight.report.pictures.stations import draw_against_station
from slowflight.report.pictures.two_tiers import draw_two_tiers
from slowflight.report.saved import read_prediction
from slowflight.report.words import predicted_by

PREDICTED = "PREDICTED"
BOTH = "PREDICTED, uncalibrated, by the quick tier and the minutes tier ({grid} grid)."
MEASURED = "MEASURED, predicted beside it."
LINE = 15  # of text in an SVG [its units]


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One figure to be sent.

    Parameters
    ----------
    name : str
        A file name without ending.
    stamp : str
        Predicted, by what and how sure, or measured; and what more has to be said.
    picture : Picture
    pixels : bytes
        The same as PNG, large.
    """

    name: str
    stamp: str
    picture: Picture
    pixels: bytes


def figures_of(
    prediction: Mapping[str, Any],
    flights: Mapping[str, Any] | None,
    fields: Mapping[str, Path],
    *,
    old: str,
    opinion: Mapping[str, Any] | None = None,
) -> Iterator[Figure]:
    """Yield the figures that the records have what they need for.

    Parameters
    ----------
    prediction, flights : mapping
        As saved; flights may be missing.
    fields : mapping of str to Path
        Files of saved flow by name.
    old : str
        What to add where the prediction is out of date.
    opinion : mapping, optional
        The second opinion, of the same wing.toml.
    """
    for name, stamp, draw in [*_predicted(prediction, fields), *_by_both(opinion), *_measured(flights)]:
        sink: list[bytes] = []
        try:
            with also_pixels(sink):
                picture = draw()
        except (KeyError, IndexError, TypeError, ValueError, InputError):
            # A record of an older version may lack what a figure needs; the report is there for all of it.
            continue
        if picture is not None and sink:
            by = f"{PREDICTED}, {predicted_by(prediction)}. {old}".strip()
            said = by if stamp == PREDICTED else stamp
            yield Figure(name=name, stamp=said, picture=picture, pixels=sink[-1])


def as_sheet(figure: Figure, shape: Shape, *, title: str) -> Image.Image:
    """Return a figure on a sheet, wide or upright, with stamp, words and cautions."""
    sheet = paper(shape, title=title, stamp=figure.stamp)
    (left, top, right, _), (_, _, last_right, bottom) = shape.panels[0], shape.panels[1]
    right = max(right, last_right)
    with Image.open(io.BytesIO(figure.pixels)) as drawn:
        sheet.paste(
            ImageOps.pad(drawn.convert("RGB"), (right - left, bottom - top), color=PAPER), (left, top)
        )
    words = (shape.scale[0] - 30, bottom + 8)
    width = shape.size[0] - 2 * words[0]
    write(ImageDraw.Draw(sheet), words, figure.picture.alt, width=width, size=16, color=MUTED, most=4)
    return sheet


def as_lines(figure: Figure, *, title: str) -> str:
    """Return a figure as SVG with stamp, mark and cautions around it; one drawn in pixels stays pixels."""
    picture = figure.picture
    width, height = picture.width, picture.height
    first = picture.alt.split(". ")[0].rstrip(".") + "."
    texts = [(title, INK, True), (figure.stamp, LETS_GO, True), (first, MUTED, False)]
    below = [(MARK, INK, True), (CAUTION, MUTED, False)]

    def lines(said: list[tuple[str, str, bool]], y: float) -> tuple[str, float]:
        made = ""
        for text, color, bold in said:
            for line in wrapped(text, width=width - 16, size=11, bold=bold):
                y += LINE
                weight = ' font-weight="bold"' if bold else ""
                made += f'<text x="8" y="{y:g}" fill="{color}"{weight}>{escape(line)}</text>\n'
        return made, y

    head, top = lines(texts, 0.0)
    foot, end = lines(below, top + 8 + height)
    if picture.uri.startswith("data:image/svg"):
        inner = base64.b64decode(picture.uri.split(",", 1)[1]).decode("utf-8")
        inner = inner[inner.index("<svg") :]
        place = f'<svg x="0" y="{top + 8:g}" width="{width}" height="{height}"'
        inner = re.sub(r'^<svg((?: [\w:]+="[^"]*")*)', lambda found: place + _kept(found[1]), inner, count=1)
    else:
        inner = f'<image x="0" y="{top + 8:g}" width="{width}" height="{height}" href="{picture.uri}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{width}" '
        f'height="{end + 8:g}" viewBox="0 0 {width} {end + 8:g}" role="img" font-family="sans-serif" '
        f'font-size="11">\n<title>{escape(title)}</title><desc>{escape(picture.alt)}</desc>\n'
        f'<rect width="100%" height="100%" fill="{PAPER}"/>\n{head}{inner}\n{foot}</svg>\n'
    )


def _kept(attributes: str) -> str:
    """Return the attributes of the inner drawing, but for the place it gets anew."""
    return re.sub(r' (?:width|height|xmlns(?::\w+)?)="[^"]*"', "", attributes)


Drawing = tuple[str, str, Callable[[], Picture | None]]


def _predicted(prediction: Mapping[str, Any], fields: Mapping[str, Path]) -> Iterator[Drawing]:
    whole = read_prediction(prediction)
    predicted = [one for one in whole["settings"] if one["predicted"]]
    yield "stall-speeds", PREDICTED, lambda: draw_stall_speeds(predicted)
    yield "where-along-the-chord", PREDICTED, lambda: draw_gain_maps(whole["gain_map"])
    yield "help-strips", PREDICTED, lambda: draw_help_strips(whole["help_strips"])
    yield "claimed-speed", PREDICTED, lambda: draw_claim(whole["claim"])
    for one in predicted:
        flap = f"flap-{one['flap_deg']:g}"
        marks = one["marks"] or whole["marks"]
        yield f"lift-{flap}", PREDICTED, partial(draw_lift, one, marks=marks)
        yield f"speed-{flap}", PREDICTED, partial(draw_speed, one, marks=marks)
        yield f"places-{flap}", PREDICTED, partial(draw_against_station, one, what="fall")
    for number, pair in enumerate(prediction.get("pictures", [])):
        flap = pair.get("flap_deg")
        name = f"flow-{number + 1}" + ("" if flap is None else f"-flap-{flap:g}")
        for side in ("clean", "vanes"):
            yield f"{name}-{side}", PREDICTED, partial(_flow, pair, fields, side)


def _by_both(opinion: Mapping[str, Any] | None) -> Iterator[Drawing]:
    if opinion is not None:
        yield "by-both-tiers", BOTH.format(grid=opinion["grid"]), partial(draw_two_tiers, opinion)


def _flow(pair: Mapping[str, Any], fields: Mapping[str, Path], side: str) -> Picture:
    return draw_side(read_field(fields[pair[side]["field"]]), pair, side)


def _measured(flights: Mapping[str, Any] | None) -> Iterator[Drawing]:
    if flights is None or flights.get("decision") is None:
        return
    stamp = "INVENTED: no aircraft flew this." if flights.get("note") else MEASURED

    def gains() -> Picture | None:
        drawn = drawn_flights({**flights, "flights": []})
        found: Picture | None = None if drawn is None else drawn["gains"]
        return found

    yield "measured-gain", stamp, gains
