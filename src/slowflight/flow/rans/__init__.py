"""The minutes tier: steady incompressible Reynolds-averaged flow about one section, solved to round-off.

Everything is in chords and flight speeds, with density 1. Unknowns per cell: pressure, the two velocities,
and the working variable of the turbulence model over the molecular viscosity.

    section -> grid -> mesh (cells and faces) -> residual and exact Jacobian -> Newton -> lift curve

What the tier was measured to be worth, and what it does not do, stands in the documents ('How the minutes
tier computes').
"""
