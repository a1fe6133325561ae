"""Elements that several tests solve, and the exact two-body case."""

import math
import tomllib
from pathlib import Path

import numpy as np

from slowflight.flow.solution import FloatArray
from slowflight.wing.elements import Element, Elements, hung_flap
from slowflight.wing.naca import naca_section
from slowflight.wing.section import Section

WILLIAMS = tomllib.loads(Path(__file__).with_name("williams.toml").read_text(encoding="utf-8"))


def hung(angle_deg: float, *, main: str = "4414", flap: str = "2414") -> Elements:
    """A flaperon like the demo's, its axis low enough to leave a slot at every setting."""
    return hung_flap(
        naca_section(main), naca_section(flap), chord=0.23, axis_aft=0.011, axis_below=0.05,
        axis_in_flap=0.26, angle=math.radians(angle_deg),
    )  # fmt: skip


def williams_element(name: str) -> Element:
    """One of Williams' two airfoils, brought to a unit chord of its own and set back in place."""
    return element_of(name, np.column_stack((WILLIAMS[name]["outline_x"], WILLIAMS[name]["outline_y"])))


def element_of(name: str, points: FloatArray) -> Element:
    """An outline, from its trailing edge round to it, shape (n, 2), as an element turned into place."""
    tail = 0.5 * (points[0] + points[-1])
    nose = points[np.argmax(np.hypot(*(points - tail).T))]
    chord = float(np.hypot(*(tail - nose)))
    angle = -math.atan2(tail[1] - nose[1], tail[0] - nose[0])
    along, up = ((points - nose) / chord).T
    section = Section(
        name=f"Williams {name}",
        x=along * math.cos(angle) - up * math.sin(angle),
        y=along * math.sin(angle) + up * math.cos(angle),
    )
    return Element(name=name, section=section, chord=chord, axis_x=nose[0], axis_y=nose[1], angle=angle)


def williams_pressures(name: str) -> tuple[FloatArray, FloatArray]:
    """Places along the main chord and exact pressure coefficients, lower trailing edge first."""
    return np.array(WILLIAMS[name]["pressure_x"]), np.array(WILLIAMS[name]["pressure_coefficient"])
