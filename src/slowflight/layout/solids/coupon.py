"""A first print that shows whether sizes, heat and adhesive are right, before a hundred vanes are made."""

from __future__ import annotations

from manifold3d import CrossSection, Manifold

from slowflight.layout.solids.solid import Solid, closed

# A plate with a block to measure, an arm that sags in the sun, and a tab to hang a spring balance on [mm].
PLATE = (70.0, 22.0, 2.0)
BLOCK = (20.0, 10.0, 10.0)
ARM = (35.0, 6.0, 1.2)
HOLE = 5.0


def coupon() -> Solid:
    """Build the coupon.

    Returns
    -------
    Solid
        70 x 22 mm, 12 mm high: a block of 20 x 10 x 10 mm on a plate of 2 mm to measure with calipers, an arm
        1.2 mm thick and 6 mm wide that stands out 35 mm at 8 mm above the plate's underside, and a hole of
        5 mm for the balance.

    Raises
    ------
    SlowflightError
        Where it makes no solid.
    """
    plate = CrossSection.square(list(PLATE[:2])).extrude(PLATE[2])
    block = Manifold.cube(list(BLOCK)).translate([2.0, 2.0, PLATE[2]])
    arm = Manifold.cube(list(ARM)).translate([2.0 + BLOCK[0] - 0.5, 4.0, 8.0])
    hole = Manifold.cylinder(3.0 * PLATE[2], 0.5 * HOLE, -1.0, 48).translate(
        [PLATE[0] - 6.0, 0.5 * PLATE[1], -PLATE[2]]
    )
    return closed(plate + block + arm - hole, name="coupon: size, heat, peel")
