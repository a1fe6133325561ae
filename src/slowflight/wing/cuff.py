"""A leading-edge cuff: the nose of a section drawn forward and down, as a glove over it would.

Ahead of a station every point moves down by ``droop`` and forward by ``extension``, each times the square of
its share of the way to the nose, so that skins run on without a kink. Plane geometry, no source needed. The
new section has a chord line and a chord of its own; how they lie to the old ones is returned with it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from slowflight.errors import RangeError
from slowflight.wing.section import Section

START = (0.05, 0.4)  # where a cuff may end on the section [chords]
LARGEST_DROOP, LARGEST_EXTENSION = 0.06, 0.08  # [chords]


@dataclass(frozen=True)
class Cuffed:
    """A section with a cuff.

    Parameters
    ----------
    section : Section
        About its own chord line, in its own unit chord.
    chord : float
        Its chord over that of the bare section [-].
    nose_down : float
        By how much its chord line lies nose down against the bare section's [rad]: at one attitude its angle
        of attack is smaller by this.
    """

    section: Section
    chord: float
    nose_down: float


def cuffed(section: Section, *, back_to: float, droop: float, extension: float = 0.0) -> Cuffed:
    """Put a cuff on the nose of a section.

    Parameters
    ----------
    section : Section
        With no flap turned.
    back_to : float
        Station at which the cuff meets the bare section [chords], 0.05 to 0.4.
    droop : float
        By how much the nose comes down [chords], 0 to 0.06.
    extension : float
        By how much it comes forward [chords], 0 to 0.08.

    Returns
    -------
    Cuffed

    Raises
    ------
    RangeError
        Where a number is outside these ranges or a flap is turned.
    SectionError
        Where the outline so drawn crosses itself.
    """
    for name, value, (low, high) in (
        ("cuff back_to", back_to, START),
        ("cuff droop", droop, (0.0, LARGEST_DROOP)),
        ("cuff extension", extension, (0.0, LARGEST_EXTENSION)),
    ):
        if not (math.isfinite(value) and low <= value <= high):
            raise RangeError(
                where=name,
                found=f"{100.0 * value:.1f} % of chord",
                needed=f"{100.0 * low:.0f} % to {100.0 * high:.0f} %",
            )
    if section.flap is not None and section.flap.angle != 0.0:
        needed = "the section with its flap at zero; turn the flap of the cuffed section"
        raise RangeError(where=section.name, found="a flap already turned", needed=needed)
    share = np.clip(1.0 - section.x / back_to, 0.0, None) ** 2
    x, y = section.x - extension * share, section.y - droop * share
    tail_x, tail_y = 0.5 * (x[0] + x[-1]), 0.5 * (y[0] + y[-1])
    # the nose is the point farthest from the trailing edge
    nose = int(np.argmax(np.hypot(x - tail_x, y - tail_y)))
    along_x, along_y = tail_x - x[nose], tail_y - y[nose]
    chord = float(math.hypot(along_x, along_y))
    cosine, sine = along_x / chord, along_y / chord
    dx, dy = x - x[nose], y - y[nose]
    made = replace(
        section,
        name=f"{section.name}, cuff",
        x=(dx * cosine + dy * sine) / chord,
        y=(dy * cosine - dx * sine) / chord,
        chord_m=None if section.chord_m is None else section.chord_m * chord,
        notes=(
            *section.notes,
            f"cuff back to {100.0 * back_to:.0f} % of chord, nose {100.0 * droop:.1f} % down"
            f" and {100.0 * extension:.1f} % forward",
        ),
        flap=None,
    )
    bare = _bare_chord_line(section)
    return Cuffed(section=made, chord=chord / bare[0], nose_down=math.atan2(sine, cosine) - bare[1])


def _bare_chord_line(section: Section) -> tuple[float, float]:
    """Length and direction of the line from the farthest nose point to the trailing edge."""
    tail_x, tail_y = 0.5 * (section.x[0] + section.x[-1]), 0.5 * (section.y[0] + section.y[-1])
    nose = int(np.argmax(np.hypot(section.x - tail_x, section.y - tail_y)))
    dx, dy = float(tail_x - section.x[nose]), float(tail_y - section.y[nose])
    return math.hypot(dx, dy), math.atan2(dy, dx)
