"""A bought vane by calipers: which modelled shape it is nearest to, and in what it differs."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight import units
from slowflight.errors import RangeError
from slowflight.layout.fit import Bought
from slowflight.wing.vane_row import VaneRow

# Side area as a share of length times height: what the prediction takes for each shape.
SHAPE_AREA = {"rectangular": 1.0, "trapezoidal": 0.75, "ogival": 2.0 / 3.0, "triangular": 0.5}
# Beyond these the match is no match: own choice, no source.
AREA_OFF, SIZE_OFF = 0.12, 0.10
# An edge of a tenth of the height is round: own choice, no source.
ROUND_SHARE = 0.05


@dataclass(frozen=True, kw_only=True)
class BoughtMatch:
    """A bought vane in the words of the prediction.

    Parameters
    ----------
    shape, edges : str
        Nearest modelled ones.
    area_share : float
        Its own side area over length times height [-].
    modelled_share : float
        That of the shape [-].
    remarks : tuple of str
        In what it differs from its shape, and from the row.
    candidate : str
        A ``[[candidate]]`` for wing.toml, spacing left open.
    """

    shape: str
    edges: str
    area_share: float
    modelled_share: float
    remarks: tuple[str, ...]
    candidate: str


def match_bought(bought: Bought, *, row: VaneRow | None = None) -> BoughtMatch:
    """Match a vane measured with calipers to the nearest shape the prediction knows.

    Parameters
    ----------
    bought : Bought
        As measured.
    row : VaneRow, optional
        The row it is to stand in, to say how far it is from what was predicted.

    Returns
    -------
    BoughtMatch

    Raises
    ------
    RangeError
        Where its upper edge is longer than the vane.

    Notes
    -----
    With a straight forward edge the side is a trapezium, of area (1 + top/length)/2; a rounded one is taken
    as a parabola from the foot's forward end to the upper edge, 2/3 + (top/length)/3. Nearest means nearest
    in that share; only a rounded edge is called ogival, and only a straight one triangular or trapezoidal.
    """
    if bought.top_length > bought.length:
        raise RangeError(
            where="bought top_length",
            found=_mm(bought.top_length),
            needed=f"at most the length, {_mm(bought.length)}",
        )
    top = bought.top_length / bought.length
    share = (2.0 + top) / 3.0 if bought.rounded else (1.0 + top) / 2.0
    options = ("ogival", "rectangular") if bought.rounded else ("triangular", "trapezoidal", "rectangular")
    shape = min(options, key=lambda name: abs(SHAPE_AREA[name] - share))
    edges = "rounded" if bought.edge_radius >= ROUND_SHARE * bought.height else "sharp"
    remarks = [
        f"side area {100 * share:.0f} % of length times height, modelled as {shape} with"
        f" {100 * SHAPE_AREA[shape]:.0f} %"
    ]
    if abs(share - SHAPE_AREA[shape]) > AREA_OFF:
        remarks.append(
            "no modelled shape is near: take the prediction for less than it says (own choice, no source)"
        )
    if bought.base_width > 1.5 * bought.height:
        remarks.append(
            f"its foot is {_mm(bought.base_width)} wide, more than one and a half heights: a step the"
            " prediction"
            " does not know"
        )
    if row is not None:
        remarks += _beside_row(bought, row, shape)
    return BoughtMatch(
        shape=shape,
        edges=edges,
        area_share=share,
        modelled_share=SHAPE_AREA[shape],
        remarks=tuple(remarks),
        candidate=(
            '[[candidate]]\nname = "bought"\n'
            f'height = "{_mm(bought.height)}"\nlength = "{_mm(bought.length)}"\nshape = "{shape}"\n'
            f'edges = "{edges}"\n# pitch, gap, incidence, arrangement and opening: as you mean to set them\n'
        ),
    )


def _beside_row(bought: Bought, row: VaneRow, shape: str) -> list[str]:
    found = []
    for name, value, wanted in (
        ("height", bought.height, row.height),
        ("length", bought.length, row.length),
    ):
        off = value / wanted - 1.0
        if abs(off) > SIZE_OFF:
            found.append(
                f"its {name} is {_mm(value)}, {100 * abs(off):.0f} % {'more' if off > 0 else 'less'} than the"
                " row's"
                f" {_mm(wanted)}: predict again with it as a candidate"
            )
    if shape != row.shape:
        found.append(f"it is {shape}, the row's vanes are {row.shape}: predict again with it as a candidate")
    return found


def _mm(value: float) -> str:
    return units.format_length(value, "mm")
