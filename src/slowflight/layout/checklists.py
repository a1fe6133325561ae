"""Bond, inspect, count, move, remove: what is done in which order. Common practice, no source, throughout."""

from __future__ import annotations

from collections.abc import Mapping

from slowflight import units
from slowflight.layout.cautions import TOLERANCES
from slowflight.layout.placed import LayoutPlan

NO_SOURCE = (
    "Common practice, no source; what the makers of adhesive, paint and covering say comes first, and what"
    " your"
    " authority or inspector asks for before that."
)
BEFORE = (
    "Approval, inspector's or authority's consent and insurer's answer are in hand and in writing.",
    "Stalls of the clean wing are flown and logged, and what warns of the stall is known and was checked.",
    "Wing clean of dents, loose tape, old adhesive; slats, fences, strips and other kits noted: none is"
    " combined"
    " with vanes without advice.",
    "Every sheet's check bars measured; revision on the sheets is that of the table.",
    "Coupon or one spare vane bonded and pulled on a test piece with the wing's own finish.",
)
BOND = (
    "Shelter from sun, wind and dust. Read the label: least temperature, open time, cure, shelf life. Most"
    " pressure-sensitive tapes want 10 to 15 deg C or more, wing and vane both.",
    "Measure air temperature, humidity and skin temperature. Skin at least 3 deg C above the dew point (table"
    " below), and not rising or falling fast.",
    "Mark the foremost line with gauge or wrap at each rib, join with string and tape; mark the row's line by"
    " tape"
    " along the skin from it, and check it against the second datum where there is one.",
    "Tape the sheets; compare lean and hand of the first pair with the drawing on the first page.",
    "Wash, rinse, dry; wipe with isopropyl alcohol and water, one to one, one way, with a fresh cloth each"
    " wipe. No"
    " wax, silicone, polish or fuel left. Matt the paint lightly only if paint and adhesive makers say so.",
    "On fabric: on sheet, or on tape over a rib or a bonded patch, never on open fabric.",
    "Bond with the jig, one pair at a time, inboard to outboard. Press each foot hard for ten seconds; look"
    " for the"
    " wet-out at its edge.",
    "Measure each vane as it is bonded and write it into the as-installed form. A helper reads the second"
    " wing from"
    " its own leading edge.",
    "Leave it for the tape's own time to full strength (many foam tapes: 72 hours at room temperature) before"
    " any"
    " slow flight. Log product, batch, temperature, humidity and time.",
    "Pull test: one spare vane beside the row, spring balance along the skin and square to it; write down"
    " both. A"
    " vane that lifts at an edge is taken off and bonded again.",
    "Paint: not over fresh adhesive; touch-up paint only thin, and weigh again.",
)
INSPECT = (
    "A second person, with the table and a tape, from each wing's own leading edge.",
    TOLERANCES.removeprefix("Common practice, no source: ").capitalize(),
    "Hands: the drawing on the first page, not memory. Every vane toes as its row in the table says.",
    "Stall warning: nothing within 100 mm of its sensor, and no vane ahead of it.",
    "Controls full and free, flaps through all settings, fuel caps, drains, pitot and static open.",
    "Weight and balance redone where mass or arm matters; log entry written; placards as agreed.",
)
EVERY_FLIGHT = (
    "Run a hand along the row without pushing: none loose, none bent, none missing.",
    "ONE MISSING: no slow flight and no short-field operation until it is replaced, or its mirror image on"
    " the"
    " other wing is taken off too and written down. TWO OR MORE missing on a wing: no flight until it is"
    " whole.",
    "Frost, ice, snow or mud between vanes: all of it off, by hand; vanes are no protection against ice.",
    "After covers, washing, fueling, ropes, brushes or branches: count again.",
)
CARE = (
    "Covers: padded or slotted over the row; wet covers freeze on and tear vanes off.",
    "Washing: soft sponge along the flow, no pressure washer, no solvent; check what de-icing fluid, fuel and"
    " cleaners do to the adhesive on a spare.",
    "Spares of both hands and a strip of the same tape aboard; a spare bonded in the field is logged too.",
)
MOVE = (
    "One thing at a time: station, or spacing, or toe, never two, and the same on both wings.",
    "Write down why: which result of the flights, or which prediction, says that the new place is better.",
    "Lay the new row out from the leading edge afresh, with new sheets of a new revision; old sheets into the"
    " bin.",
    "Remove as below, clean, bond as above. The as-installed form starts again, and so does the series of"
    " flights.",
    "The first flight with a moved row is a first flight: same cards, same height, same care.",
)
REMOVE = (
    "Warm the vane (hair dryer, hand-warm, 50 deg C at most: paint, fabric and composite soften) and the tape"
    " under"
    " it for a minute.",
    "Slide fishing line or dental floss through the tape with a sawing motion, flat on the skin. Never pry or"
    " pull"
    " square to the skin: that lifts paint or fabric.",
    "Roll the rest of the tape off with the thumb; what stays comes off with the remover the tape's maker"
    " names, tried"
    " first where nobody looks. No blade on fabric or composite.",
    "Hard adhesive (epoxy): do not chisel. Cut the fin off, sand the foot down by hand, stop above the"
    " paint.",
    "Wash, look for lifted paint, cracks, loose fabric. On fabric, press beside the place and listen; have it"
    " inspected if in doubt.",
    "Take off both wings' vanes before the next flight, and log it: an aircraft with one bare wing does not"
    " fly.",
    "After removal the clean wing's stall speeds and warning hold again only when they have been flown"
    " again.",
)
LISTS: Mapping[str, tuple[str, ...]] = {
    "Before anything is bonded": BEFORE,
    "Bond": BOND,
    "Inspect": INSPECT,
    "Before every flight: count": EVERY_FLIGHT,
    "Covers, washing, spares": CARE,
    "Move the row": MOVE,
    "Take it off": REMOVE,
}


def count_sentence(plan: LayoutPlan) -> str:
    """How many vanes a pilot counts on each wing before a flight."""
    return (
        f"{plan.parts.left} on the LEFT wing, {plan.parts.right} on the RIGHT wing. Count from the root"
        " outward;"
        " a number that is not this one stays on the ground."
    )


def log_entry(plan: LayoutPlan, *, aircraft: str, approval: str | None, revision: str) -> str:
    """Text for the aircraft's log, with blanks for what only the builder knows.

    Parameters
    ----------
    plan : LayoutPlan
        What was fitted.
    aircraft : str
        Its name.
    approval : str or None
        By what right it is fitted, as wing.toml says.
    revision : str
        Of the layout.

    Returns
    -------
    str
    """
    row, parts = plan.row, plan.parts
    mass = (
        "mass ______ kg"
        if parts.mass_fitted is None
        else f"mass {units.format_mass(parts.mass_fitted, 'kg', decimals=3)}"
    )
    return "\n".join(
        [
            "LOG ENTRY (owner-installed, trial; complete the blanks, delete what does not apply)",
            "",
            f"Aircraft: {aircraft}, registration ______, hours ______, date ______",
            f"Fitted {parts.fitted} vortex generators, {parts.left} on the left and {parts.right} on the"
            " right"
            f" wing, {row.surface} surface of the main wing, none on a moving surface.",
            f"Part: {plan.name}, {row.shape}, {_mm(row.height)} high, {_mm(row.length)} long, material"
            " ______.",
            f"Place: forward tips at {units.format_fraction(row.station)} of chord, "
            f"{_mm(plan.vanes[0].skin_distance)} along the skin from the foremost line at the inboard end and"
            f" {_mm(plan.on('left')[-1].skin_distance)} at the outboard end, from {_mm(plan.span_from)} to"
            f" {_mm(plan.span_to)} from the centerline; {row.arrangement}, toe"
            f" {units.format_angle(row.incidence)}.",
            f"Left out on both wings: {len(plan.left_out)} "
            + ("positions (list on the layout)." if plan.left_out else "positions."),
            f"Drawing: layout revision {revision}; as-installed record dated ______.",
            "Adhesive: product ______, batch ______, air ______ deg C, humidity ______ %, skin ______ deg C,"
            " cured until ______; pull test ______ N along, ______ N square to the skin.",
            f"Weight and balance: {mass}, arm ______, new empty mass ______, new center of gravity ______.",
            f"Approval: {approval or 'NOT RECORDED: no flight before it is'}; reference ______.",
            "Test flights: dates ______, hours ______; stall speeds flap up ______ and flap down ______ kt"
            " calibrated, owner-measured, not approved; mass ______, center of gravity ______.",
            f"Continued airworthiness: before each flight count {parts.left} left, {parts.right} right; with"
            " one"
            " missing no slow flight or short field until replaced or mirrored; cleaning, covers and frost as"
            " in the"
            " checklists.",
            "Inspected by ______, signature ______, number ______.",
            "",
            "Limits, speeds, weights and aerobatic or spin limits of the aircraft are unchanged by this"
            " entry.",
            "",
        ]
    )


def _mm(value: float) -> str:
    return units.format_length(value, "mm")
