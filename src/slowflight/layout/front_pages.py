"""What is read before the sheets: the row, how to use the paper, cautions, and every position as numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.lib.styles import ParagraphStyle

from slowflight import units
from slowflight.layout.datum_line import DatumLine
from slowflight.layout.error_budget import Slip
from slowflight.layout.front_tables import mm_in, rib_table, vane_table, zone_table
from slowflight.layout.hand import HAND_WORDS, TOE_WORDS, VIEW
from slowflight.layout.hand_key import draw_both_wings
from slowflight.layout.ink import BOLD
from slowflight.layout.placed import LayoutPlan, LeftOut, Parts
from slowflight.layout.sheets import PAPERS, ROLL, Sheet, SheetFrame
from slowflight.layout.strip_page import SheetTitle
from slowflight.layout.upright_pages import BODY, HEADING, MARGIN, TITLE, UprightPages, listed, paragraph

TRIAL_WORDS = (
    "These sheets are stamped TRIAL because the aircraft's file does not yet record all three: an approval"
    " route, baseline stalls and what warns of the stall. Until it does they are for trying the"
    " layout on the ground, not for flight."
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


def draw_front_pages(
    canvas: Any,
    plan: LayoutPlan,
    sheets: Sequence[Sheet],
    frame: SheetFrame,
    title: SheetTitle,
    *,
    budget: Sequence[Slip] = (),
    datum: DatumLine | None = None,
    notes: Sequence[str] = (),
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
    budget : sequence of Slip, optional
        What slips cost.
    datum : DatumLine, optional
        A line to measure from besides the foremost one.
    notes : sequence of str, optional
        About the file itself.
    """
    width, height = PAPERS["a4"] if frame.paper == ROLL else sorted((frame.width, frame.height))
    foot = f"{title.aircraft}; {plan.name}; {title.made_on}, revision {title.revision}"
    pages = UprightPages(canvas, width=width, height=height, trial=title.trial, foot=foot)
    pages.begin()
    pages.flow(paragraph(f"Vortex generators: {plan.name}", TITLE))
    pages.flow(paragraph(f"{title.aircraft}. Made on {title.made_on}, revision {title.revision}."))
    if title.trial:
        pages.flow(paragraph(TRIAL_WORDS, ParagraphStyle("trial", parent=BODY, fontName=BOLD)))
    listed(pages, "The row", _row_lines(plan, sheets))
    pages.drawing(
        46.0, lambda ink, y: draw_both_wings(ink, plan, (MARGIN, y + 3.0), width=width - 2.0 * MARGIN)
    )
    listed(pages, "Cautions", plan.cautions, numbered=True)
    if plan.warnings or notes:
        listed(pages, "Peculiar to this layout", (*plan.warnings, *notes))
    if len(plan.stretches) > 1:
        pages.flow(paragraph("Zones", HEADING))
        pages.flow(zone_table(plan), after=2.0)
    if plan.left_out:
        listed(pages, "Left out, on BOTH wings", [_gone(each) for each in plan.left_out])
    if budget:
        listed(pages, "What a slip costs", [f"{slip.name}: {slip.sentence}." for slip in budget])
    listed(pages, "How to use the sheets", HOW_TO, numbered=True)
    pages.room_for(25.0)
    pages.flow(paragraph("Ribs", HEADING))
    pages.flow(rib_table(plan, datum), after=3.0)
    pages.room_for(25.0)
    pages.flow(paragraph("Positions of the forward tips, alike on both wings", HEADING))
    pages.flow(vane_table(plan))
    pages.end()


def _gone(each: LeftOut) -> str:
    return f"{mm_in(each.span_position)} from the centerline, {each.vanes} vanes a wing: {each.reason}."


def _row_lines(plan: LayoutPlan, sheets: Sequence[Sheet]) -> list[str]:
    row, parts = plan.row, plan.parts
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
        f"To make with {units.format_fraction(plan.fit.part.spares, decimals=0)} as spares (a tenth is common"
        f" practice, no source): {parts.to_make_a} of hand A and {parts.to_make_b} of hand B{_cost(parts)}.",
        f"Hands, {VIEW}: A has its {HAND_WORDS['A']}; B has its {HAND_WORDS['B']}.",
        f"Sign: {TOE_WORDS}.",
        f"{sheets[0].of} sheets for each wing follow, the left wing first.",
    ]


def _cost(parts: Parts) -> str:
    return "" if parts.cost is None else f", {parts.cost:.2f} {parts.currency} in all"
