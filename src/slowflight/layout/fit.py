"""What the owner says about fitting: zones, what is in the way, the datum, the covering, the part."""

from __future__ import annotations

from dataclasses import dataclass, field

# Common practice, no source: what a builder keeps clear of.
CLEAR_OF_SENSOR_M, CLEAR_M = 0.100, 0.020
KEEP_OUT_KINDS = (
    "fuel cap",
    "strut",
    "cover",
    "lap",
    "light",
    "stall sensor",
    "pitot wake",
    "static port",
    "tie-down",
    "walkway",
    "other",
)
ZONE_KINDS = ("controls", "elsewhere", "propwash", "tip", "fold", "root")
# Common practice, no source: pairs 60 mm apart ahead of controls, 90 mm elsewhere.
COMMON_PITCH_M = {"controls": 0.060}
COMMON_PITCH_ELSEWHERE_M = 0.090
COVERINGS = ("fabric", "metal", "plywood", "composite")
# Common practice, no source: one vane's base, and a tenth more vanes than are fitted.
BASE_WIDTH_M, BASE_THICKNESS_M = 0.010, 0.0012
SPARE_SHARE = 0.10


@dataclass(frozen=True, kw_only=True)
class Zone:
    """A stretch of the span with a pitch of its own.

    Parameters
    ----------
    name, kind : str
        What the owner calls it; one of ``ZONE_KINDS``.
    span_from, span_to : float
        From the aircraft's centerline [m].
    pitch : float or None
        From pair to pair [m]; None for that of the row.
    free : bool
        Whether it is to stay without vanes.
    """

    name: str
    kind: str
    span_from: float
    span_to: float
    pitch: float | None = None
    free: bool = False


@dataclass(frozen=True, kw_only=True)
class KeepOut:
    """A place that vanes keep clear of, by leaving out on both wings.

    Parameters
    ----------
    name, kind, side : str
        What it is; one of ``KEEP_OUT_KINDS``; ``"left"``, ``"right"`` or ``"both"``.
    span_from, span_to : float
        From the aircraft's centerline [m].
    skin_from, skin_to : float
        From the foremost point along the skin [m].
    clearance : float
        Round it [m].
    surface : str
        ``"upper"`` or ``"lower"``.
    """

    name: str
    kind: str
    side: str
    span_from: float
    span_to: float
    skin_from: float
    skin_to: float
    clearance: float
    surface: str = "upper"


@dataclass(frozen=True, kw_only=True)
class Moving:
    """Skin that moves, with the gap it moves in: a vane on it is refused.

    Parameters
    ----------
    name : str
        Such as ``"aileron"``.
    span_from, span_to : float
        From the aircraft's centerline [m].
    begins, ends : float
        Along the chord from the nose [shares of the local chord].
    gap_travel : float
        How far gap, seal or nose of the surface reach beyond that at any setting [m].
    """

    name: str
    span_from: float
    span_to: float
    begins: float
    ends: float
    gap_travel: float


@dataclass(frozen=True, kw_only=True)
class Datum:
    """A line on the wing that a tape can start from, other than the foremost line.

    Parameters
    ----------
    name : str
        Such as ``"main rivet line"``.
    station : float or None
        Where it lies along the chord [share], where it follows one.
    at : tuple of (float, float)
        Else: span position [m] and distance from the foremost point along the skin [m], from inboard
        outward; straight between, and not known beyond.
    """

    name: str
    station: float | None = None
    at: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Covering:
    """What the vanes are bonded to.

    Parameters
    ----------
    kind : str
        One of ``COVERINGS``.
    sheet_to : float or None
        Where stiff sheet at the nose ends, along the skin from the foremost point [m].
    rib_spacing, first_rib : float or None
        Of ribs or stitching, and where the first is, from the centerline [m].
    sag : float
        How far the covering hangs in between two ribs [m].
    stitch_width : float
        Of the lumpy tape over a rib [m].
    """

    kind: str
    sheet_to: float | None = None
    rib_spacing: float | None = None
    first_rib: float | None = None
    sag: float = 0.0
    stitch_width: float = 0.025


@dataclass(frozen=True, kw_only=True)
class Part:
    """One vane as it is bought or made.

    Parameters
    ----------
    base_width, base_thickness : float
        Of its foot [m].
    tape : float
        Thickness of tape or glue under it [m].
    mass_each : float or None
        With its tape [kg].
    cost_each : float or None
        In `currency`.
    currency : str
    spares : float
        Share of the fitted number.
    """

    base_width: float = BASE_WIDTH_M
    base_thickness: float = BASE_THICKNESS_M
    tape: float = 0.0
    mass_each: float | None = None
    cost_each: float | None = None
    currency: str = ""
    spares: float = SPARE_SHARE


@dataclass(frozen=True, kw_only=True)
class Patch:
    """A few pairs of a trial on one wing.

    Parameters
    ----------
    name, side : str
        ``side`` is ``"both"``, ``"left"`` or ``"right"``; what is not on both is refused.
    station : float
        Of the forward tips, along the chord [share].
    span_from, span_to : float
        From the aircraft's centerline [m].
    """

    name: str
    side: str
    station: float
    span_from: float
    span_to: float


@dataclass(frozen=True, kw_only=True)
class Bought:
    """A vane by calipers.

    Parameters
    ----------
    height, length : float
        Over all, above the underside of its base and along itself [m].
    top_length : float
        Of its upper edge [m]; 0 where it runs to a point.
    rounded : bool
        Whether its forward edge is a curve.
    base_length, base_width : float
        Of its foot [m].
    edge_radius : float
        Of its upper edge [m].
    """

    height: float
    length: float
    top_length: float
    rounded: bool
    base_length: float
    base_width: float
    edge_radius: float


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Everything in fit.toml; as it stands, nothing was said.

    Parameters
    ----------
    zones : tuple of Zone
        From inboard outward, none over another.
    keep_outs : tuple of KeepOut
    moving : tuple of Moving
    datum : Datum or None
    covering : Covering or None
    part : Part
    patches : tuple of Patch
    bought : Bought or None
    """

    zones: tuple[Zone, ...] = ()
    keep_outs: tuple[KeepOut, ...] = ()
    moving: tuple[Moving, ...] = ()
    datum: Datum | None = None
    covering: Covering | None = None
    part: Part = field(default_factory=Part)
    patches: tuple[Patch, ...] = ()
    bought: Bought | None = None


NOTHING_SAID = Fit()
