"""Distances from a line that a builder can see on the wing, such as a row of rivets."""

from __future__ import annotations

import numpy as np

from slowflight.layout.fit import Datum
from slowflight.layout.row_line import RowLine
from slowflight.wing.planform import Wing


class DatumLine:
    """A datum's distance from the foremost point, along the skin, at any place of the span.

    Parameters
    ----------
    datum : Datum
        As the owner described it.
    wing : Wing
        The wing.
    surface : str
        ``"upper"`` or ``"lower"``.

    Raises
    ------
    RangeError
        Where a section does not reach the datum's station.
    """

    def __init__(self, datum: Datum, *, wing: Wing, surface: str) -> None:
        self.name = datum.name
        self._line = (
            None if datum.station is None else RowLine(wing=wing, station=datum.station, surface=surface)
        )
        self._at = np.array(datum.at)

    def behind_nose(self, span_position: float) -> float | None:
        """Distance from the foremost point along the skin [m]; None beyond where it was measured."""
        if self._line is not None:
            return self._line.at(span_position).skin_distance
        spans, distances = self._at.T
        if len(spans) > 1 and not spans[0] - 1e-9 <= span_position <= spans[-1] + 1e-9:
            return None
        return float(np.interp(span_position, spans, distances))
