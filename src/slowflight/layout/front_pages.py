"""What is read before the sheets: the row, how to use the paper, cautions, and every position as numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph, Table, TableStyle

from slowflight import units
from slowflight.layout.hand import HAND_WORDS, TOE_WORDS, VIEW
from slowflight.layout.hand_key import draw_both_wings
from slowflight.layout.ink import BOLD, INCH, PLAIN, POINTS_PER_MM, Ink, printable
from slowflight.layout.plan import LayoutPlan
from slowflight.layout.sheets import Sheet, SheetFrame
from slowflight.layout.strip_page import SheetTitle

MARGIN = 15.0
BODY = ParagraphStyle("body", fontName=PLAIN, fontSize=8.5, leading=10.6)
HEADING = ParagraphStyle("heading", fontName=BOLD, fontSize=11, leading=14, spaceBefore=5)
TITLE = ParagraphStyle("title", fontName=BOLD, fontSize=16, leading=20)
GRID = TableStyle(
    [
        ("FONT", (0, 0), (-1, 0), BOLD, 7.5),
        ("FONT", (0, 1), (-1, -1), PLAIN, 7.5),
        ("ALIGN", (0, 0), (-1, -1), "RIGHT"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.2, colors.grey),
        ("TOPPADDING", (0, 0), (-1, -1), 1.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
    ]
)
TRIAL_WORDS = (
    "These sheets are stamped TRIAL because the aircraft's file does not yet record both an approval route"
    " and baseline stalls. Until it does they are for trying the layout on the ground, not for flight."
)
HOW_TO = (
    "Print every page at 100 %, not fitted to the page. Measure the four check bars of every sheet with a"
    " steel rule; a sheet whose bar is off by more than half a millimeter is waste.",
    "Mark the foremost line on the wing: at each rib push the nose gauge over the leading edge, or hold a"
    " square to the chord line, and mark where it says or touches; join the marks with a string and tape.",
    "Mark the ribs of the table at their distance from the aircraft's centerline, and there measure the row's"
    " distance along the skin with a tape. The paper has to agree within 2 mm (common practice, no source).",
    "Cut each sheet along its forward edge and its inboard match line. Starting inboard, lay the cut edge on"
    " the match line of the sheet before, cross on cross, and tape. Forward edge on its line, wing by wing.",
    "Compare lean, hand and flow arrow of the first pair with the drawing on the first page before marking"
    " anything. The short cross line is the forward tip.",
    "Mark both tips of each vane through the paper, take the paper off, and measure again: the left wing from"
    " its own leading edge, the right wing from its own. Have a second person do it.",
)


class _Pages:
    """A cursor that runs down upright pages and starts a new one when the next piece does not fit."""

    def __init__(self, canvas: Any, *, width: float, height: float, trial: bool, foot: str) -> None:
        self._canvas, self._width, self._height = canvas, width, height
        self._trial, self._foot = trial, foot
        self._open = False
        self._y = 0.0

    def begin(self) -> None:
        self.end()
        self._canvas.setPageSize((self._width * POINTS_PER_MM, self._height * POINTS_PER_MM))
        ink = Ink(self._canvas)
        if self._trial:
            ink.stamp(width=self._width, height=self._height)
        ink.text((MARGIN, 8.0), self._foot, size=7, room=self._width - 2.0 * MARGIN)
        self._open, self._y = True, self._height - MARGIN

    def end(self) -> None:
        if self._open:
            self._canvas.showPage()
        self._open = False

    def drawing(self, height: float, draw: Callable[[Ink, float], None]) -> None:
        """Leave that much room [mm] and let `draw` fill it from its lower edge up."""
        if self._y - height < MARGIN:
            self.begin()
        self._y -= height
        draw(Ink(self._canvas), self._y)

    def flow(self, piece: Any, *, after: float = 1.2) -> None:
        """Place a paragraph or a table, cut over pages where it is long."""
        k = POINTS_PER_MM
        width = (self._width - 2.0 * MARGIN) * k
        while True:
            room = (self._y - MARGIN) * k
            _, height = piece.wrapOn(self._canvas, width, room)
            if height <= room:
                piece.drawOn(self._canvas, MARGIN * k, self._y * k - height)
                self._y -= height / k + after
                return
            parts = piece.splitOn(self._canvas, width, room) if isinstance(piece, Table) else []
            if len(parts) == 2:
                _, height = parts[0].wrapOn(self._canvas, width, room)
                parts[0].drawOn(self._canvas, MARGIN * k, self._y * k - height)
                piece = parts[1]
            self.begin()


def draw_front_pages(
    canvas: Any, plan: LayoutPlan, sheets: Sequence[Sheet], frame: SheetFrame, title: SheetTitle
) -> None:
    """Draw the pages ahead of the sheets, upright.

    Parameters
    ----------
    canvas : reportlab Canvas
        At the start of a page.
    plan : LayoutPlan
        The layout.
    sheets : sequence of Sheet
        What follows.
    frame : SheetFrame
        Its sizes, of which the paper is used.
    title : SheetTitle
        Aircraft, date, revision, trial or not.
    """
    width, height = sorted((frame.width, frame.height))
    foot = f"{title.aircraft}; {plan.name}; {title.made_on}, revision {title.revision}"
    pages = _Pages(canvas, width=width, height=height, trial=title.trial, foot=foot)
    pages.begin()
    pages.flow(_paragraph(f"Vortex generators: {plan.name}", TITLE))
    pages.flow(_paragraph(f"{title.aircraft}. Made on {title.made_on}, revision {title.revision}."))
    if title.trial:
        pages.flow(_paragraph(TRIAL_WORDS, ParagraphStyle("trial", parent=BODY, fontName=BOLD)))
    _list(pages, "The row", _row_lines(plan, sheets))
    pages.drawing(
        46.0, lambda ink, y: draw_both_wings(ink, plan, (MARGIN, y + 3.0), width=width - 2.0 * MARGIN)
    )
    _list(pages, "Cautions", plan.cautions, numbered=True)
    if plan.warnings:
        _list(pages, "Peculiar to this layout", plan.warnings)
    _list(pages, "How to use the sheets", HOW_TO, numbered=True)
    pages.flow(_paragraph("Ribs", HEADING))
    pages.flow(_rib_table(plan), after=3.0)
    pages.flow(_paragraph("Positions of the forward tips, alike on both wings", HEADING))
    pages.flow(_vane_table(plan))
    pages.end()


def _list(pages: _Pages, heading: str, lines: Sequence[str], *, numbered: bool = False) -> None:
    pages.flow(_paragraph(heading, HEADING), after=0.6)
    for number, line in enumerate(lines, start=1):
        mark = f"{number}. " if numbered else ""
        pages.flow(_paragraph(mark + line[:1].upper() + line[1:]), after=0.7)


def _paragraph(words: str, style: ParagraphStyle = BODY) -> Paragraph:
    return Paragraph(escape(printable(words)), style)


def _row_lines(plan: LayoutPlan, sheets: Sequence[Sheet]) -> list[str]:
    row, parts = plan.row, plan.parts
    mm_in = _mm_in
    shape = f"Each vane {row.shape}, {mm_in(row.height)} high, {mm_in(row.length)} long"
    if row.arrangement == "counter-rotating":
        kind = f"counter-rotating pairs opening {row.opening}, {mm_in(row.gap)} between forward tips,"
        kind += f" pitch {mm_in(row.pitch)}"
    else:
        kind = f"single vanes that all toe alike, pitch {mm_in(row.pitch)}"
    mass = (
        f"{units.format_mass(parts.mass_fitted, 'kg', decimals=3)}"
        f" ({units.format_mass(parts.mass_fitted, 'lb', decimals=2)}) fitted, without tape or glue"
        if parts.mass_fitted is not None
        else "mass not known: weigh ten"
    )
    return [
        f"{shape}; {kind}; toe {units.format_angle(row.incidence)} from straight aft.",
        f"Forward tips at {units.format_fraction(row.station)} of chord on the {row.surface} surface of the"
        f" main wing, from {mm_in(plan.span_from)} to {mm_in(plan.span_to)} from the centerline.",
        f"Left wing {parts.left_a} A and {parts.left_b} B, right wing {parts.right_a} A and"
        f" {parts.right_b} B: {parts.fitted} vanes, {mass}.",
        f"To make with a tenth as spares (common practice, no source): {parts.to_make_a} of hand A and"
        f" {parts.to_make_b} of hand B.",
        f"Hands, {VIEW}: A has its {HAND_WORDS['A']}; B has its {HAND_WORDS['B']}.",
        f"Sign: {TOE_WORDS}.",
        f"{sheets[0].of} sheets for each wing follow, the left wing first.",
    ]


def _rib_table(plan: LayoutPlan) -> Table:
    rows = [["span mm", "span in", "chord mm", "along chord mm", "in", "along SKIN mm", "in"]]
    for point in plan.ribs:
        rows.append(
            [
                *_both(point.span_position),
                f"{1000.0 * point.chord:.0f}",
                *_both(point.chord_distance),
                *_both(point.skin_distance),
            ]
        )
    return Table(rows, repeatRows=1, style=GRID, hAlign="LEFT")


def _vane_table(plan: LayoutPlan) -> Table:
    rows = [
        ["no.", "left", "right", "toe", "span mm", "span in", "along chord mm", "in", "along SKIN mm", "in"]
    ]
    for left, right in zip(plan.on("left"), plan.on("right"), strict=True):
        rows.append(
            [
                str(left.number),
                left.hand,
                right.hand,
                f"{units.express(left.toe, 'deg'):+.1f}",
                *_both(left.span_position),
                *_both(left.chord_distance),
                *_both(left.skin_distance),
            ]
        )
    return Table(rows, repeatRows=1, style=GRID, hAlign="LEFT")


def _both(value: float) -> tuple[str, str]:
    return f"{1000.0 * value:.1f}", f"{1000.0 * value / INCH:.2f}"


def _mm_in(value: float) -> str:
    millimeters, inches = _both(value)
    return f"{millimeters} mm ({inches} in)"
