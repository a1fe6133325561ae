"""A vane seen from the side: how high it stands along its length."""

from __future__ import annotations

from collections.abc import Callable

# Height over the length, both as shares: the same side areas that the prediction takes.
SIDES: dict[str, Callable[[float], float]] = {
    "rectangular": lambda _: 1.0,
    "trapezoidal": lambda x: min(1.0, 2.0 * x),
    "triangular": lambda x: x,
    "ogival": lambda x: 1.0 - (1.0 - x) ** 2,
}
