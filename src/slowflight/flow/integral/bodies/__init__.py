"""Several bodies in one flow: a wing section and the flap behind it.

Each body has its own panels, layers and wake; one outer flow and one Newton step couple them all. With a
single body every equation is that of the single-section solver.
"""
