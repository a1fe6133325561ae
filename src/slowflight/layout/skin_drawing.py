"""Both wings' row as lines and words in layers, in millimeters: what SVG and DXF files hold.

Seen from outside with the front of the aircraft up: x across from the aircraft's centerline (positive to the
right of the picture), y along the skin, 0 at the foremost line and negative behind it. Each wing's strip is
drawn as if its skin were laid flat.
"""

from __future__ import annotations

from dataclasses import dataclass

from slowflight.layout.cautions import CAUTIONS
from slowflight.layout.datum_line import DatumLine
from slowflight.layout.hand import HAND_WORDS, SIDES, VIEW, outboard_on_page
from slowflight.layout.ink import INCH
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.sheets import row_polyline
from slowflight.layout.strip_page import SheetTitle
from slowflight.layout.wrap import NoseWrap, at_skin_distance

# Layers, with how dark they are drawn (0 black) and whether a cutter or plotter should follow them.
LAYERS = {
    "foremost_line": 0.0,
    "row_line": 0.5,
    "vanes": 0.0,
    "vane_numbers": 0.0,
    "ribs": 0.5,
    "zones": 0.5,
    "keep_outs": 0.3,
    "datum": 0.4,
    "bearings": 0.0,
    "check_bars": 0.0,
    "wrap": 0.0,
    "notes": 0.0,
}
AHEAD, BELOW = 60.0, 60.0


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """A line through points.

    Parameters
    ----------
    layer, name : str
        ``name`` is empty or tells the line from all others, such as a vane's label.
    points : tuple of (float, float)
        [mm]
    """

    layer: str
    points: tuple[tuple[float, float], ...]
    name: str = ""


@dataclass(frozen=True, kw_only=True)
class Label:
    """Words at a place.

    Parameters
    ----------
    layer, words : str
    at : tuple of (float, float)
        Of the left end of the base line, or its middle or right end [mm].
    height : float
        Of capitals [mm].
    anchor : str
        ``"start"``, ``"middle"`` or ``"end"``.
    """

    layer: str
    words: str
    at: tuple[float, float]
    height: float = 4.0
    anchor: str = "start"


@dataclass(frozen=True, kw_only=True)
class SkinDrawing:
    """Lines and words, and the box [mm] that holds them: left, bottom, right, top."""

    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    box: tuple[float, float, float, float]
    cautions: tuple[str, ...] = CAUTIONS


def draw_skin(
    plan: LayoutPlan,
    *,
    title: SheetTitle,
    wraps: tuple[NoseWrap, ...] = (),
    datum: DatumLine | None = None,
) -> SkinDrawing:
    """Draw both wings of a layout.

    Parameters
    ----------
    plan : LayoutPlan
        The layout.
    title : SheetTitle
        Aircraft, date, revision, trial or not.
    wraps : tuple of NoseWrap, optional
        Their cheeks are drawn below the wings, at full size.
    datum : DatumLine, optional
        Drawn where it is known.

    Returns
    -------
    SkinDrawing
    """
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for side in SIDES:
        _wing(plan, side, strokes, labels, datum)
    deepest = min(point[1] for stroke in strokes for point in stroke.points)
    _middle(plan, strokes, labels)
    low = _cheeks(plan, wraps, deepest - BELOW, strokes, labels)
    _bars(deepest - BELOW, strokes, labels)
    low = min(low, deepest - BELOW - 120.0)
    _notes(plan, title, 1000.0 * plan.span_from, deepest - BELOW, labels)
    xs = [x for stroke in strokes for x, _ in stroke.points]
    low = min(low, min(label.at[1] for label in labels))
    box = (min(xs) - 20.0, low - 20.0, max(xs) + 20.0, AHEAD + 40.0)
    return SkinDrawing(strokes=tuple(strokes), labels=tuple(labels), box=box)


def _wing(
    plan: LayoutPlan, side: str, strokes: list[Stroke], labels: list[Label], datum: DatumLine | None
) -> None:
    sense = outboard_on_page(side=side, surface=plan.row.surface)

    def at(span: float, skin: float) -> tuple[float, float]:
        return sense * 1000.0 * span, -1000.0 * skin

    start, end = plan.span_from, plan.span_to
    strokes.append(
        Stroke(layer="foremost_line", points=(at(start, 0.0), at(end, 0.0)), name=f"foremost_{side}")
    )
    spans, skins = row_polyline(plan)
    line = tuple((sense * span, -skin) for span, skin in zip(spans, skins, strict=True))
    strokes.append(Stroke(layer="row_line", points=line, name=f"row_{side}"))
    for vane in plan.on(side):
        trailing = at(vane.trailing_span_position, vane.trailing_skin_distance)
        ends = (at(vane.span_position, vane.skin_distance), trailing)
        strokes.append(Stroke(layer="vanes", points=ends, name=vane.label))
        words = f"{vane.label} {vane.hand}"
        where = (trailing[0], trailing[1] - 5.0)
        labels.append(Label(layer="vane_numbers", words=words, at=where, height=2.5, anchor="middle"))
    for point in plan.ribs:
        ends = (at(point.span_position, 0.0), at(point.span_position, point.skin_distance + 0.03))
        strokes.append(Stroke(layer="ribs", points=ends))
        millimeters, skin = 1000.0 * point.span_position, 1000.0 * point.skin_distance
        words = f"{millimeters:.0f} mm ({millimeters / INCH:.2f} in): row {skin:.1f} mm along the skin"
        where = (ends[0][0] + 1.5, 4.0)
        labels.append(Label(layer="ribs", words=words, at=where, height=2.5, anchor="middle"))
    deepest = max(vane.trailing_skin_distance for vane in plan.vanes) + 0.05
    for zone in plan.stretches:
        for border in (zone.span_from, zone.span_to):
            strokes.append(Stroke(layer="zones", points=(at(border, -0.02), at(border, deepest))))
        pitch = "no vanes" if zone.pitch is None else f"pitch {1000.0 * zone.pitch:.1f} mm"
        where = at(0.5 * (zone.span_from + zone.span_to), -0.022)
        words = f"{zone.name}: {pitch}"
        labels.append(Label(layer="zones", words=words, at=where, height=3.0, anchor="middle"))
    for keep in plan.fit.keep_outs:
        if keep.side in (side, "both") and keep.surface == plan.row.surface:
            far = min(keep.skin_to, deepest)
            if keep.skin_from < far and keep.span_to > start and keep.span_from < end:
                corners = (
                    at(keep.span_from, keep.skin_from),
                    at(keep.span_to, keep.skin_from),
                    at(keep.span_to, far),
                    at(keep.span_from, far),
                    at(keep.span_from, keep.skin_from),
                )
                strokes.append(Stroke(layer="keep_outs", points=corners))
                where = (0.5 * (corners[0][0] + corners[1][0]), corners[2][1] + 2.0)
                labels.append(
                    Label(layer="keep_outs", words=keep.name, at=where, height=2.5, anchor="middle")
                )
    if datum is not None:
        known = [(p.span_position, datum.behind_nose(p.span_position)) for p in plan.ribs]
        points = tuple(at(span, behind) for span, behind in known if behind is not None)
        if len(points) > 1:
            strokes.append(Stroke(layer="datum", points=points, name=f"datum_{side}"))
            labels.append(Label(layer="datum", words=datum.name, at=(points[0][0], points[0][1] - 6.0)))
    view = "seen from above" if plan.row.surface == "upper" else "LOWER surface, seen from below"
    where = at(0.5 * (start + end), -0.04)
    labels.append(
        Label(layer="notes", words=f"{side.upper()} WING, {view}", at=where, height=8.0, anchor="middle")
    )
    x, y = at(start, -0.045)
    tip = x + sense * 60.0
    strokes.append(_arrow((x + sense * 10.0, y), (tip, y)))
    anchor = "start" if sense > 0 else "end"
    labels.append(
        Label(layer="bearings", words="OUTBOARD", at=(tip + sense * 4.0, y - 1.5), height=4.0, anchor=anchor)
    )


def _middle(plan: LayoutPlan, strokes: list[Stroke], labels: list[Label]) -> None:
    """The centerline with front and flow."""
    strokes.append(Stroke(layer="bearings", points=((0.0, AHEAD), (0.0, -120.0)), name="centerline"))
    labels.append(Label(layer="bearings", words="CENTERLINE", at=(2.0, -118.0)))
    strokes.append(_arrow((-40.0, 0.0), (-40.0, 50.0)))
    labels.append(Label(layer="bearings", words="FRONT OF AIRCRAFT", at=(-40.0, -8.0), anchor="middle"))
    strokes.append(_arrow((40.0, 50.0), (40.0, 0.0)))
    labels.append(Label(layer="bearings", words="FLOW", at=(40.0, -8.0), anchor="middle"))


def _arrow(start: tuple[float, float], end: tuple[float, float]) -> Stroke:
    length = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    back = (end[0] - 6.0 * ux, end[1] - 6.0 * uy)
    one, two = (back[0] - 2.5 * uy, back[1] + 2.5 * ux), (back[0] + 2.5 * uy, back[1] - 2.5 * ux)
    return Stroke(layer="bearings", points=(start, end, one, end, two))


def _bars(top: float, strokes: list[Stroke], labels: list[Label]) -> None:
    for name, length, drop in (("100 mm", 100.0, 0.0), ("4 in", 4.0 * INCH, 8.0)):
        key = name.replace(" ", "_")
        level = ((-150.0, top - drop), (-150.0 + length, top - drop))
        upright = ((-160.0 - drop, top), (-160.0 - drop, top - length))
        strokes.append(Stroke(layer="check_bars", points=level, name=f"bar_{key}_span"))
        strokes.append(Stroke(layer="check_bars", points=upright, name=f"bar_{key}_chord"))
        labels.append(Label(layer="check_bars", words=name, at=(-150.0, top - drop + 1.5)))


def _cheeks(
    plan: LayoutPlan,
    wraps: tuple[NoseWrap, ...],
    top: float,
    strokes: list[Stroke],
    labels: list[Label],
) -> float:
    """The cheeks of the wraps beside each other, right of the centerline; returns how low they reach."""
    left, low = 60.0, top
    for number, wrap in enumerate(wraps, start=1):
        outline = 1000.0 * wrap.gauge.outline
        high = top - float(outline[:, 1].max()) - 12.0

        def page(x: float, y: float, left: float = left, high: float = high) -> tuple[float, float]:
            return left + x, high + y

        curve = tuple(page(float(x), float(y)) for x, y in outline)
        strokes.append(Stroke(layer="wrap", points=curve, name=f"cheek_{number}"))
        chord = (page(0.0, 0.0), page(55.0, 0.0))
        strokes.append(Stroke(layer="wrap", points=chord, name=f"chord_line_{number}"))
        for distance, words in ((0.0, "foremost line"), (wrap.forward, "forward tips")):
            (x, y), out = at_skin_distance(wrap.gauge, distance)
            start = page(1000.0 * x, 1000.0 * y)
            end = (start[0] + 8.0 * out[0], start[1] + 8.0 * out[1])
            strokes.append(Stroke(layer="wrap", points=(start, end)))
            labels.append(Label(layer="wrap", words=words, at=(start[0] + 3.0, start[1] - 5.0), height=2.5))
        span = 1000.0 * wrap.gauge.span_position
        place = "anywhere along the row" if wrap.gauge.everywhere else f"at {span:.0f} mm from the centerline"
        base = high + float(outline[:, 1].min()) - 8.0
        labels.append(Label(layer="wrap", words=f"WRAP, cheek: {place}", at=(left, base)))
        low = min(low, base)
        left += float(outline[:, 0].max()) + 60.0
    return low


def _notes(plan: LayoutPlan, title: SheetTitle, x: float, top: float, labels: list[Label]) -> None:
    left = -x - 1000.0 * (plan.span_to - plan.span_from)
    words = [
        *(["TRIAL: see the first page of the PDF files"] if title.trial else []),
        title.aircraft,
        f"{plan.name}, {title.made_on}, revision {title.revision}",
        "Units are millimeters. y is measured ALONG THE SKIN from the foremost line, x level from the"
        " centerline.",
        f"Hands, {VIEW}: A {HAND_WORDS['A']}; B {HAND_WORDS['B']}. The upper end of each line is the forward"
        " tip.",
        *CAUTIONS,
    ]
    for number, line in enumerate(words):
        height = 10.0 if number == 0 and title.trial else 4.0
        labels.append(Label(layer="notes", words=line, at=(left, top - 20.0 - 7.0 * number), height=height))
