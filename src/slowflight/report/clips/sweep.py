"""The angle sweep as a clip: both wings side by side, from fast to past the stall.

Every frame is a saved wing angle; nothing between them is made up. Where the flow itself was saved the clip
stops and shows it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageOps

from slowflight.errors import InputError
from slowflight.report.clips.canvas import Box, Shape, font, paper, write
from slowflight.report.pictures.canvas import CLEAN, FAINT, INK, LETS_GO, MUTED, PAPER, VANES, house_style
from slowflight.report.pictures.field import FlowField, read_field, turned
from slowflight.report.pictures.flow import flow_figure
from slowflight.report.words import number, per_cent, predicted_by

FRAMES_A_STEP = 2
HELD = 16  # frames of a saved flow, and of the end
FASTEST = 1.5  # the sweep begins at so many stall speeds [-]
PAST = 2.0  # and ends so far past the later stall [deg]
CAPTION = 104  # room below a picture [pixels]
WORDS = 28  # above it
LEFT, RIGHT = -0.22, 1.42  # of a picture [chords], as the report's flow pictures have them
FINE = 2  # drawn so many times larger, then made smaller: smooth edges
AIR_WIDTH = 680  # of a picture of the flow, as it is drawn [pixels]
SIDES = ("clean", "vanes")
Flow = tuple[Mapping[str, Any], Mapping[str, FlowField]]  # a pair of the record, its fields
COLORS = {"clean": CLEAN, "vanes": VANES}


@dataclass(frozen=True, kw_only=True)
class Sweep:
    """One flap setting, ready to be drawn.

    Parameters
    ----------
    title : str
    stamp : str
    setting : mapping
        Of the prediction's record.
    angles : tuple of int
        Which of the saved wing angles are shown.
    incidence_deg, three_point_deg : float or None
    outline : FlowField
        Whose section is drawn.
    flows : mapping of int to tuple
        By the angle after which it is shown: the pair's record and its two fields.
    airs : dict
        Pictures of the flow that are drawn already: both shapes show the same.
    """

    title: str
    stamp: str
    setting: Mapping[str, Any]
    angles: tuple[int, ...]
    incidence_deg: float | None
    three_point_deg: float | None
    outline: FlowField
    flows: Mapping[int, Flow]
    airs: dict[tuple[int, str], Image.Image] = field(default_factory=dict)


def sweep_of(prediction: Mapping[str, Any], fields: Mapping[str, Path], *, flap_deg: float | None) -> Sweep:
    """Choose what is shown.

    Parameters
    ----------
    prediction : mapping
        The record.
    fields : mapping of str to Path
        Files of the saved flow by their names in the record.
    flap_deg : float, optional
        Flap setting [deg]; the first with a row without it.

    Returns
    -------
    Sweep

    Raises
    ------
    InputError
        Where that setting has no prediction with a row, or no flow was saved for it.
    """
    ready = [one for one in prediction["settings"] if one.get("predicted") and one.get("vanes")]
    chosen = next((one for one in ready if flap_deg is None or abs(one["flap_deg"] - flap_deg) < 0.05), None)
    if chosen is None:
        known = ", ".join(f"{one['flap_deg']:g} deg" for one in ready) or "none"
        wanted = "no row" if flap_deg is None else f"{flap_deg:g} deg"
        raise InputError(
            where="the clip", found=wanted, needed=f"a predicted flap setting with a row: {known}"
        )
    pairs = [one for one in prediction.get("pictures", []) if one.get("flap_deg") == chosen["flap_deg"]]
    pairs = [one for one in pairs if all(one[side]["field"] in fields for side in SIDES)]
    if not pairs:
        raise InputError(
            where="the clip", found="no saved flow of this flap setting", needed="a section to draw",
            fix="run 'slowflight predict' again",
        )  # fmt: skip
    angles = _angles(chosen)
    degrees = chosen["clean"]["wing_angles_deg"]
    flows = {}
    for pair in pairs:
        nearest = min(angles, key=lambda index: abs(degrees[index] - pair["wing_angle_deg"]))
        flows[nearest] = (pair, {side: read_field(fields[pair[side]["field"]]) for side in SIDES})
    attitude = prediction.get("attitude") or {}
    trend = " This flap setting is a trend only." if chosen.get("trend") else ""
    return Sweep(
        title=f"{prediction['aircraft']}, flap {chosen['flap_deg']:g}°",
        stamp=f"PREDICTED, {predicted_by(prediction)}.{trend}",
        setting=chosen,
        angles=angles,
        incidence_deg=attitude.get("incidence_deg"),
        three_point_deg=attitude.get("three_point_deg"),
        outline=next(iter(flows.values()))[1]["clean"],
        flows=flows,
    )


def sweep_frames(sweep: Sweep, shape: Shape) -> Iterator[Image.Image]:
    """Yield the frames of a sweep in one shape, ten for each second."""
    last = None
    for index in sweep.angles:
        last = _frame(sweep, shape, index, flow=None)
        for _ in range(FRAMES_A_STEP):
            yield last
        if index in sweep.flows:
            held = _frame(sweep, shape, index, flow=sweep.flows[index])
            for _ in range(HELD):
                yield held
    if last is not None:
        for _ in range(HELD):
            yield last


def _angles(setting: Mapping[str, Any]) -> tuple[int, ...]:
    degrees = setting["clean"]["wing_angles_deg"]
    speeds = setting["clean"]["speed_kt"]
    slowest = min(value for value in speeds if value is not None)
    stalls = [_peak(setting[side]) for side in SIDES]
    latest = max(degrees[one] for one in stalls if one is not None)
    return tuple(
        index
        for index, angle in enumerate(degrees)
        if angle <= latest + PAST
        and (speeds[index] is not None or angle > degrees[stalls[0] or 0])
        and (speeds[index] is None or speeds[index] <= FASTEST * slowest)
    )


def _peak(curve: Mapping[str, Any]) -> int | None:
    """Return where the curve lifts most: the stall, beyond which no speed is given."""
    known = [(cl, index) for index, cl in enumerate(curve["cl"]) if cl is not None]
    return max(known, key=lambda pair: pair[0])[1] if known else None


def _frame(
    sweep: Sweep,
    shape: Shape,
    index: int,
    *,
    flow: Flow | None,
) -> Image.Image:
    sheet = paper(shape, title=sweep.title, stamp=sweep.stamp)
    for side, box in zip(SIDES, shape.panels, strict=True):
        _draw_side(sheet, box, sweep, side, index, flow=flow)
    _draw_scale(ImageDraw.Draw(sheet), shape.scale, sweep, index)
    return sheet


def _draw_side(
    sheet: Image.Image,
    box: Box,
    sweep: Sweep,
    side: str,
    index: int,
    *,
    flow: Flow | None,
) -> None:
    left, top, right, bottom = box
    room = (right - left, bottom - top - WORDS - CAPTION)
    curve, row = sweep.setting[side], sweep.setting["row"]
    angle = curve["wing_angles_deg"][index]
    station = row["station"] if side == "vanes" and row else None
    if flow is None:
        picture = _section(sweep.outline, room, angle, separation=curve["separation"][index], row=station)
    else:
        pair, fields = flow
        if (index, side) not in sweep.airs:
            sweep.airs[index, side] = _air(fields[side], pair, side)
        picture = ImageOps.pad(sweep.airs[index, side], room, color=PAPER)
    sheet.paste(picture, (left, top + WORDS))
    ink = ImageDraw.Draw(sheet)
    ink.rectangle((left, top, right, bottom), outline=FAINT)
    name = "Without vanes" if side == "clean" else f"With the row at {per_cent(station)} of chord"
    if side == "vanes" and flow is None:
        name += ", vane drawn larger"
    ink.text((left + 10, top + 3), name, fill=COLORS[side], font=font(19, bold=True))
    if flow is not None:
        note = f"computed air; section at {number(flow[0]['section_angle_deg'])}° to the air it meets"
        ink.text((left + 10, bottom - 26), note, fill=MUTED, font=font(16))
    _draw_numbers(ink, (left + 10, bottom - CAPTION + 4), right - left - 20, sweep, side, index)


def _draw_numbers(
    ink: ImageDraw.ImageDraw, at: tuple[int, int], width: int, sweep: Sweep, side: str, index: int
) -> None:
    curve, stall = sweep.setting[side], sweep.setting[f"stall_speed_{side}"]
    peak = _peak(curve)
    speed, separation = curve["speed_kt"][index], curve["separation"][index]
    past = peak is not None and index > peak
    if past and peak is not None:
        large, color = "stalled", LETS_GO
        band = f"past its stall at about {number(curve['wing_angles_deg'][peak])}°"
    else:
        large, color = ("no answer" if speed is None else f"{number(speed)} kt"), COLORS[side]
        band = ""
        if speed is not None and stall and stall.get("low_kt") is not None:
            low, high = (speed * stall[end] / stall["kt"] for end in ("low_kt", "high_kt"))
            band = f"predicted; likely {number(low)} to {number(high)} kt"
    ink.text(at, large, fill=color, font=font(40, bold=True))
    below = at[1] + 50
    ink.text((at[0] + 230, at[1] + 16), band, fill=INK, font=font(17))
    if separation is not None and separation < 0.995:
        words = f"air lets go behind {per_cent(separation)} of chord"
    else:
        words = (
            "air follows the skin"
            if curve["converged"][index] and not past
            else "no converged answer for the air"
        )
    write(ink, (at[0], below), words, width=width, size=18, color=MUTED, most=1)


def _section(
    field: FlowField, room: tuple[int, int], angle: float, *, separation: float | None, row: float | None
) -> Image.Image:
    """Draw the section as it stands to the flight path; the skin behind separation in red."""
    width, height = (FINE * one for one in room)
    sheet = Image.new("RGB", (width, height), PAPER)
    ink = ImageDraw.Draw(sheet)
    scale = width / (RIGHT - LEFT)
    level = 0.42 * height

    def placed(x: NDArray[np.float64], y: NDArray[np.float64]) -> list[tuple[float, float]]:
        along, up = turned(x - 0.3, y, angle_deg=angle)
        return [
            (float(a), float(b))
            for a, b in zip((along + 0.3 - LEFT) * scale, level - up * scale, strict=True)
        ]

    for x, y in ((field.outline_x, field.outline_y), (field.flap_outline_x, field.flap_outline_y)):
        if x.size:
            points = placed(x, y)
            ink.polygon(points, fill="#f3efe6")
            ink.line([*points, points[0]], fill=INK, width=2 * FINE, joint="curve")
    along, upper = _upper(field)
    if separation is not None and separation < 0.995:
        x = np.linspace(separation, 1.0, 60)
        ink.line(placed(x, np.interp(x, along, upper)), fill=LETS_GO, width=5 * FINE, joint="curve")
    if row is not None:
        x = np.array([row, row + 0.012])
        y = np.interp(x, along, upper)
        ink.line(placed(np.array([x[0], x[1]]), np.array([y[0], y[1] + 0.03])), fill=VANES, width=4 * FINE)
    for y_arrow in (0.16 * height, 0.86 * height):
        end = 0.11 * width
        ink.line((0.02 * width, y_arrow, end, y_arrow), fill=MUTED, width=2 * FINE)
        ink.polygon([(end, y_arrow - 7), (end + 20, y_arrow), (end, y_arrow + 7)], fill=MUTED)
    return sheet.reduce(FINE)


def _upper(field: FlowField) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the upper skin from nose to trailing edge [chords]."""
    x, y = field.outline_x, field.outline_y
    nose = int(np.argmin(x))
    one, two = (x[: nose + 1][::-1], y[: nose + 1][::-1]), (x[nose:], y[nose:])
    side = one if float(one[1].mean()) > float(two[1].mean()) else two
    order = np.argsort(side[0], kind="stable")
    return side[0][order], side[1][order]


def _air(field: FlowField, pair: Mapping[str, Any], side: str) -> Image.Image:
    with house_style():
        figure = flow_figure(field, angle_deg=pair["section_angle_deg"], told=pair[side])
        figure.set_dpi(AIR_WIDTH / float(figure.get_size_inches()[0]))
        canvas: Any = figure.canvas
        canvas.draw()
        return Image.fromarray(np.asarray(canvas.buffer_rgba())[..., :3].copy())


def _draw_scale(ink: ImageDraw.ImageDraw, box: Box, sweep: Sweep, index: int) -> None:
    """Draw where on the way from fast to stalled this frame is."""
    left, top, right, _ = box
    degrees = sweep.setting["clean"]["wing_angles_deg"]
    low, high = degrees[sweep.angles[0]], degrees[sweep.angles[-1]]
    line = top + 62

    def at(angle: float) -> float:
        return float(left + (right - left) * min(1.0, max(0.0, (angle - low) / (high - low))))

    words = f"wing angle {number(degrees[index])}°"
    if sweep.incidence_deg is not None:
        words += f", nose up {number(degrees[index] - sweep.incidence_deg)}°"
    ink.text((left, top), words, fill=INK, font=font(22, bold=True))
    ink.line((left, line, right, line), fill=FAINT, width=6)
    ink.line((left, line, at(degrees[index]), line), fill=INK, width=6)
    marks: list[tuple[float, str, str]] = []
    for side, name in (("clean", "stall without"), ("vanes", "stall with")):
        peak = _peak(sweep.setting[side])
        if peak is not None:
            marks.append((degrees[peak], name, COLORS[side]))
    if sweep.three_point_deg is not None and sweep.incidence_deg is not None:
        stands = sweep.three_point_deg + sweep.incidence_deg
        if low <= stands <= high:
            marks.append((stands, "three wheels", MUTED))
    end = -1.0
    for angle, name, color in sorted(marks):
        x = at(angle)
        ink.line((x, line - 12, x, line + 12), fill=color, width=3)
        wide = font(15).getlength(name)
        begin = max(end, min(x - wide / 2, right - wide))
        ink.text((begin, line + 16), name, fill=color, font=font(15))
        end = begin + wide + 10
    x = at(degrees[index])
    ink.ellipse((x - 9, line - 9, x + 9, line + 9), fill=INK)
