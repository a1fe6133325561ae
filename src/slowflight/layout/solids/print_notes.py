"""What to know before the parts are printed; common practice, no source, unless something else is said."""

from __future__ import annotations

from collections.abc import Sequence

from slowflight.layout.cautions import CAUTIONS
from slowflight.layout.solids.solid import NOT_CERTIFIED, Solid
from slowflight.layout.solids.vane_solid import VaneSize

BED = 220.0


def print_notes(
    solids: Sequence[tuple[str, Solid]],
    *,
    size: VaneSize,
    to_make: tuple[int, int],
    tape: float,
    jigs: int,
    everywhere: bool,
) -> str:
    """Write the notes that go with the files.

    Parameters
    ----------
    solids : sequence of (str, Solid)
        File stem and part.
    size : VaneSize
        Of the vanes [mm].
    to_make : tuple of (int, int)
        Of hand A and hand B, spares included.
    tape : float
        Under a foot [mm].
    jigs : int
        How many there are.
    everywhere : bool
        Whether the jig fits all along the row.

    Returns
    -------
    str
        Plain text.
    """
    lines = [
        "PRINT NOTES",
        "",
        NOT_CERTIFIED,
        "Common practice, no source, unless something else is said.",
        "",
    ]
    for stem, solid in solids:
        x, y, z = solid.size
        large = "" if max(x, y, z) <= BED else f"; larger than a bed of {BED:.0f} mm"
        lines.append(
            f"{stem}.stl, {stem}.3mf: {solid.name}; {x:.1f} x {y:.1f} x {z:.1f} mm,"
            f" {solid.volume / 1000.0:.2f} cm3{large}"
        )
    wide, deep = size.foot_size
    lines += [
        "",
        "STL files carry no unit: they are in millimeters. 3MF files say so themselves.",
        f"Print {to_make[0]} of hand A (one notch in the forward edge of the foot) and {to_make[1]} of hand B"
        " (two notches), spares included.",
        f"Height {size.height:.1f} mm is over the underside of the foot; tape or glue of {tape:.1f} mm comes"
        " on top of it.",
        f"The foot is {wide:.1f} mm wide and {deep:.1f} mm long, its edges lie fore and aft; the fin's"
        f" forward tip lies {size.beside:.1f} mm behind the foot's forward edge. Fin {size.root:.1f} mm"
        f" thick at the foot, {size.top:.1f} mm at its rounded top, sides {size.draft:.0f} degrees off"
        f" upright, fillet {size.fillet:.1f} mm.",
        "",
        "1. Print the coupon first, in the material and with the settings of the vanes.",
        "   Size: the block is 20.0 x 10.0 mm, and 12.0 mm high from the table. Off by more than 0.1 mm: set"
        " the printer's scale.",
        "   Heat: leave it in the parked aircraft's hottest place for an afternoon, dark side up. If the arm"
        "'s end has come down by more than 1 mm the material is too soft for a wing in the sun.",
        "   Peel: stick it with the adhesive of the vanes on a prepared sheet of the wing's own finish, wait"
        " the adhesive's own time, and pull on the hole with a spring balance, once along the skin and once"
        " square to it; write down both.",
        "2. Material that stands sun and heat (ASA; PETG with care); not PLA, which softens in a parked"
        " aircraft.",
        "   Light colors. Wipe off oil and dust before bonding; sand the foot's underside lightly.",
        "3. Vanes stand on their feet, layers of 0.15 mm or less, at least three walls, filled solid. The top"
        " comes out round; take off strings and burrs, sharp ones tear covers and hands.",
        *_about_jig(jigs, everywhere=everywhere),
        "5. Weigh ten vanes and write the mean into fit.toml (mass_each).",
        "",
        "CAUTIONS",
        *(f"- {caution}" for caution in CAUTIONS),
        "",
    ]
    return "\n".join(lines)


def _about_jig(count: int, *, everywhere: bool) -> list[str]:
    if count == 0:
        return [
            "4. No jig: the row's ends lie between sections that differ, and what is there was not measured."
            " Use the"
            " sheets and a tape."
        ]
    fits = (
        "it fits anywhere along the row."
        if everywhere
        else "it fits at the place in its name only: elsewhere use wrap and tape."
    )
    return [
        "4. The jig prints on its side as it lies in the file, four walls; the slots need no support.",
        f"   Try it on the nose before the first vane: it must sit without rocking; {fits}",
        "   Hang the vane in its slot with its adhesive bare, seat the jig on the leading edge, press the"
        " fins down,"
        " lift the jig off square to the skin. Grease the slots, not the feet.",
    ]
