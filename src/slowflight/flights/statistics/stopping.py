"""An honest stopping rule: looking more often must not make 'keep' easier to reach.

Who looks after every flight and stops when the answer pleases finds a gain too often: at five looks a test
meant to err once in twenty errs once in seven (Armitage, McPherson and Rowe, 1969). The accepted risk is
therefore shared out over the looks (Bonferroni), however they depend on each other.
"""

from __future__ import annotations

from slowflight.errors import RangeError

SOURCES = ("Armitage1969",)


def needed_probability(*, base: float, looks: int) -> float:
    """Return how probable a gain has to be at each look.

    Parameters
    ----------
    base : float
        What one look at the end would need, such as 0.90.
    looks : int
        How often the answer is looked at in all: as planned, or as already done where that is more.

    Returns
    -------
    float

    Raises
    ------
    RangeError
        Where there is no look, or the base is not between one half and one.

    Examples
    --------
    >>> round(needed_probability(base=0.9, looks=2), 6)
    0.95
    """
    if looks < 1:
        raise RangeError(where="looks", found=f"{looks}", needed="at least one")
    if not 0.5 <= base < 1.0:
        raise RangeError(where="needed probability", found=f"{base}", needed="between 0.5 and 1")
    return 1.0 - (1.0 - base) / looks
