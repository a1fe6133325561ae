"""One published case: what was measured, by whom, how it was read, and what is needed to compute it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

CALIBRATES, CHECKS = "calibrates", "checks"
ROLES = (CALIBRATES, CHECKS)
KINDS = ("section", "flap", "vane", "wing")
FROM_MEMORY, EXACT = "from memory", "exact"
PROVENANCES = ("read", "secondary", "computed", EXACT, FROM_MEMORY)
TIERS = ("integral", "rans", "slab")


@dataclass(frozen=True)
class Quantity:
    """What a number is of.

    Parameters
    ----------
    unit : str
        Of the published and the predicted value, and of their difference.
    relative : bool
        Whether an error is shown in per cent of the published value.
    short : str
        Under which the error record keeps it; empty where it keeps it not.
    """

    unit: str
    relative: bool = True
    short: str = ""


QUANTITIES: Mapping[str, Quantity] = {
    "maximum lift": Quantity("-", short="maximum_lift"),
    "angle of maximum lift": Quantity("deg", relative=False, short="stall_angle"),
    "lift slope": Quantity("1/deg", short="slope"),
    "lift": Quantity("-"),
    "mean drag": Quantity("-", short="drag"),
    "separation": Quantity("share of chord", relative=False),
    "mean pressure coefficient, upper side": Quantity("-", relative=False),
    "mean pressure coefficient, lower side": Quantity("-", relative=False),
    "wing lift slope": Quantity("1/rad"),
    "span efficiency": Quantity("-"),
    "largest local lift over wing lift": Quantity("-"),
    "maximum lift with vanes": Quantity("-", short="maximum_lift"),
    "maximum lift with flap": Quantity("-", short="maximum_lift"),
    "increase of maximum lift with flap": Quantity("share"),
    "least drag with flap": Quantity("-"),
    "lift added by flap over that at 10 deg": Quantity("-"),
    "flap effectiveness over thin-airfoil theory": Quantity("-"),
    "loss of maximum lift by grit": Quantity("share", relative=False),
    "best pitch over height": Quantity("-"),
    "separated length removed": Quantity("share", relative=False),
    "ranking": Quantity("1 where it holds", relative=False),
}


@dataclass(frozen=True, kw_only=True)
class Measured:
    """One published number, or one that follows from the case's table.

    Parameters
    ----------
    quantity : str
        A key of ``QUANTITIES``.
    value : float or None
        In the quantity's unit; ``None`` where it is reckoned from the table.
    reading_error : float
        By how much our reading of the source may be off, either way, in the quantity's unit; not the error of
        the measurement itself.
    variant : str
        What tells it from others of the same quantity, such as the size of grit; may be empty.
    angle_deg : float or None
        At which it holds [deg].
    span : tuple of (float, float) or None
        Stretch of the table that is used, in the unit of its first column.
    against : str
        ``"alpha_deg"`` or ``"cl"``: at equal values of which column of the table drag is compared.
    note : str
        What a reader has to know.
    """

    quantity: str
    value: float | None
    reading_error: float
    variant: str = ""
    angle_deg: float | None = None
    span: tuple[float, float] | None = None
    against: str = "alpha_deg"
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Conditions:
    """Under which something was measured; ``None`` or "not stated" where the source read does not say.

    Parameters
    ----------
    reynolds : float or None
        On the chord [-].
    mach : float or None
        [-]
    transition : tuple of (float or None, float or None)
        Where the layers are tripped in the computation, upper and lower [fraction of chord].
    trips, turbulence, aspect_ratio, tunnel : str
        As the source has it, and what was taken where it says nothing.
    """

    reynolds: float | None
    mach: float | None
    transition: tuple[float | None, float | None]
    trips: str
    turbulence: str
    aspect_ratio: str
    tunnel: str


@dataclass(frozen=True, kw_only=True)
class Case:
    """One published case.

    Parameters
    ----------
    name : str
        Of its file, without ending.
    title : str
        For people.
    kind : str
        ``"section"``, ``"flap"``, ``"vane"`` or ``"wing"``.
    role : str
        ``"calibrates"`` where a constant of a model was set on it, else ``"checks"``.
    source : str
        Key into the bibliography.
    place : str
        Table, figure or page, and through which text it was read.
    how_read : str
        How the numbers came from there to here.
    provenance : str
        ``"read"`` in the source, ``"secondary"`` (in a text that transcribes it), ``"computed"`` from data
        read, ``"exact"`` solution, or ``"from memory"``, which counts nowhere.
    conditions : Conditions
    airfoil : str or None
        By formula; ``None`` where there is nothing to draw.
    closed_trailing_edge : bool
        Whether the formula is closed at the trailing edge.
    angles_deg : tuple of float
        Angles of attack to compute [deg].
    wing : tuple of (float, float) or None
        Aspect ratio and taper of a straight wing without washout.
    measured : tuple of Measured
    table : mapping of str to tuple
        Columns of its table; numbers, or ``"upper"`` and ``"lower"`` in a column ``side``.
    not_run : mapping of str to str
        Why it has no prediction, by tier; ``"any"`` stands for every tier.
    """

    name: str
    title: str
    kind: str
    role: str
    source: str
    place: str
    how_read: str
    provenance: str
    conditions: Conditions
    airfoil: str | None
    closed_trailing_edge: bool
    angles_deg: tuple[float, ...]
    wing: tuple[float, float] | None
    measured: tuple[Measured, ...]
    table: Mapping[str, tuple[float | str, ...]] = field(default_factory=dict, repr=False)
    not_run: Mapping[str, str] = field(default_factory=dict)

    @property
    def counts(self) -> bool:
        """Whether it belongs in a mean: a number from memory does not."""
        return self.provenance != FROM_MEMORY

    def why_not(self, tier: str) -> str | None:
        """Return why a tier does not compute it, or ``None`` where it does."""
        return self.not_run.get("any") or self.not_run.get(tier)
