"""The axis along the chord that every picture over the row's place shares."""

from __future__ import annotations

from collections.abc import Iterable

from matplotlib.axes import Axes

from slowflight.report.words import per_cent

_CLOSEST = 0.045


def mark_stations(axes: Axes, stations: Iterable[float]) -> None:
    """Put a tick at every station tried, and its per cent wherever that has room.

    Parameters
    ----------
    axes : Axes
        Its horizontal axis in per cent of chord.
    stations : iterable of float
        Shares of chord.
    """
    places = sorted(set(stations))
    apart = _CLOSEST * (places[-1] - places[0]) if places else 0.0
    labels: list[str] = []
    last = float("-inf")
    for place in places:
        named = place - last >= apart
        labels.append(per_cent(place).removesuffix(" %") if named else "")
        last = place if named else last
    axes.set_xticks([100.0 * place for place in places], labels)
    axes.set_xlabel("row's place, % of chord")
