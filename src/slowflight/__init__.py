"""Whether vortex generators would let this wing fly slower safely, with numbers and bands."""

__version__ = "0.1.0.dev0"
