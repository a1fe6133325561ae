"""What stands beside every verdict of the flights. In our own words; common practice."""

from __future__ import annotations

NEVER_CONCLUDED = (
    "Owner-measured, not approved: from these flights follow no new speed limits, weights, load limits, spin"
    " or aerobatic clearance, and no book numbers."
)

VERDICT_CAUTIONS = (
    "Slow flight and stalls near the ground kill. Start high, recover high, and stop at the first surprise.",
    "Rules differ by country and by aircraft, and they come first: where this page and your authority,"
    " association, inspector or operating limitations differ, follow them.",
    "Left and right must match: count the vanes before every flight. With one missing there is no slow flight"
    " until it is replaced or its mirror image is off as well.",
    "No frost, ice, rain or turbulence in slow-flight tests, and a clean wing in all flights.",
    "Stall warning, tail and recovery may have changed for the worse while the stall speed fell.",
    "The airspeed indicator may read wrong, or nothing at all, at high angles.",
    "Maneuvering speed goes down with the stall speed, never up.",
    NEVER_CONCLUDED,
)
