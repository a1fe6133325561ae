"""An airfoil's points written the way they are read: millimeters, upper trailing edge first."""

from __future__ import annotations

from collections.abc import Sequence

from slowflight.wing.outline import FloatArray


def points_text(points: FloatArray, *, name: str, chord_mm: float, remarks: Sequence[str] = ()) -> str:
    """Write points as a file of coordinates.

    Parameters
    ----------
    points : FloatArray
        From the lower trailing edge over the nose to the upper one [mm], shape (n, 2).
    name : str
        Title line.
    chord_mm : float
        [mm]
    remarks : sequence of str, optional
        Lines about where the points come from; they must not look like units.

    Returns
    -------
    str
        Read back by `slowflight.wing.coordinates.read_coordinates`.
    """
    head = [f"# {' '.join(name.split())}", "# units: mm", f"# chord {chord_mm:.1f} mm"]
    lines = [f"{x:10.3f} {y:10.3f}" for x, y in points[::-1]]
    return "\n".join([*head, *(f"# {remark}" for remark in remarks), *lines]) + "\n"
