"""What has to be read before a vane is bonded; printed with every layout.

The tolerances, clearances and the missing-vane rule are common practice, no source; the rest is sense.
"""

from __future__ import annotations

TOLERANCES = (
    "Common practice, no source: the line within 2 mm along the skin, 3 mm along the span, 1 degree of toe,"
    " 2 degrees from square to the skin; left and right within 2 mm and 1 degree of each other, and the same"
    " number on both wings."
)

CAUTIONS = (
    "Slow flight and stalls near the ground kill. A layout is a drawing, not a clearance to fly slower: keep"
    " the approach speeds, weights and limits you have until careful flights at a safe height say"
    " otherwise.",
    "Ask first. Rules differ by country, by category and by aircraft, and they change: have your authority,"
    " association, or licensed engineer or inspector agree, and tell your insurer, before anything is"
    " fitted.",
    "Nothing on a moving surface: no vane, tape or marker on aileron, flaperon, flap, elevator, rudder or tab"
    " without its designer's approval. Added mass behind a hinge can start flutter.",
    "Keep clear of the stall-warning sensor (100 mm at least; common practice, no source), static ports and"
    " pitot, fuel caps and vents, drains, inspection panels, walkways, hinge and cable slots, slats and their"
    " wake. Leave a vane out only together with its mirror image on the other wing.",
    "Check that the stall warning still speaks in good time before the new stall: a row ahead of it can make"
    " it late or silent.",
    "Left and right must match. Measure the second wing afresh from its own leading edge; do not carry marks"
    " over the nose or trust the paper alone. Have a second person measure both.",
    "Angle is measured to the flow, which near the propeller's wake, a strut or the tip is not straight"
    " aft: tuft the wing first where the row comes near them.",
    "First fit with removable tape, follow the tape's own limits of temperature and curing time, and fly no"
    " slow test before it has its full strength. Bond to sound, clean paint or sheet, not to open fabric.",
    "Weigh what you fit, redo weight and balance where the mass or its arm matters, and write count, place,"
    " part, adhesive and date in the aircraft's log before the first flight.",
    "Count the vanes before every flight. With one missing: no slow or short-field flying until it is"
    " replaced or its mirror image is taken off as well. Carry spares of both hands.",
    "Vanes are no protection against ice. Fly with a clean wing; frost hides and stays between vanes. Covers,"
    " hoses, ropes and brushes tear vanes off: pad or cut the covers and look afterwards.",
    "Vanes change how the wing stalls, not only when: wing drop, stick forces, elevator power in the flare"
    " and spins may all differ. Untried spins stay prohibited. Start high, with an experienced test pilot's"
    " advice.",
    TOLERANCES,
)

# On sheets that have room for a line or two.
SHORT_CAUTION = (
    "A drawing, not a clearance to fly slower. Nothing on a moving surface; both wings alike; ask your"
    " authority first. All cautions: first pages of the file."
)
SHORTEST_CAUTION = "a drawing, no clearance to fly slower"
