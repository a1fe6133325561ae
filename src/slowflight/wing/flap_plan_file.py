"""Read the flap of whatever kind from the ``[flap]`` table of a wing.toml."""

from __future__ import annotations

from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, UnitError
from slowflight.wing.airfoils import airfoil
from slowflight.wing.answers import Answers, Notebook, StandIn
from slowflight.wing.flap import HINGE_PLACES, deflect
from slowflight.wing.flap_file import KINDS
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.own_airfoil_flap_file import OWN_AIRFOIL
from slowflight.wing.planform import Wing
from slowflight.wing.quantity import ANGLE, LENGTH, SHARE, read_quantity

SETTINGS = 'a list such as ["0 deg", "15 deg"]'
OTHER_AXES = 'places behind and below the trailing edge, such as ["1.1 %, 4.2 %", "1.1 %, 5.8 %"]'
MOST_OTHERS = 6  # each is computed at every flap setting, clean and with the row
NARROWEST_SETTING = "1 deg"  # a smaller one is more likely in radians
CHORD = StandIn("20 %", "guess, common practice, no source: measure flap and main chord at one rib")
HINGE = StandIn("middle", "guess: the hinge in the middle of the thickness")
# Keys that only some kinds have.
HUNG = ("axis_aft", "axis_below", "axis_in_flap", "other_axes")
AXIS_LIMITS = {"axis_aft": ("-10 %", "15 %"), "axis_below": ("-5 %", "15 %"), "axis_in_flap": ("0 %", "80 %")}


def read_flap_plan(values: object, *, place: Path, wing: Wing, notebook: Notebook) -> FlapPlan | None:
    """Read the flap.

    Parameters
    ----------
    values : object
        The table ``flap`` as the TOML library gives it.
    place : Path
        The file; an airfoil file is looked for beside it.
    wing : Wing
        On which it is; a plain flap is turned on the root section once, so that a hinge outside it is found
        now.
    notebook : Notebook
        Where assumptions go.

    Returns
    -------
    FlapPlan or None
        ``None`` for ``kind = "none"``.

    Raises
    ------
    InputError
        Where a required key is missing, an unknown one is there, or the flap cannot be turned.
    UnitError, RangeError
        Where a unit is missing or a number makes no sense.
    """
    table = Answers(values, where=f"{place}: flap", key="flap", notebook=notebook)
    kind = table.choice("kind", ("none", *KINDS))
    if kind == "none":
        table.table.has("settings")
        _refuse_others(table, keys=("chord", "airfoil", "hinge", *HUNG), kind="wing without a flap")
        table.finish()
        return None
    if kind not in OWN_AIRFOIL:
        _refuse_others(table, keys=HUNG, kind=f"{kind} flap")
    if kind != "plain":
        _refuse_others(table, keys=("hinge",), kind=f"{kind} flap")
    if kind not in OWN_AIRFOIL:
        _refuse_others(table, keys=("airfoil",), kind=f"{kind} flap")
    plan = FlapPlan(
        kind=kind,
        chord=table.quantity("chord", SHARE, "5 %", "50 %", stand_in=CHORD),
        settings=_settings(table),
        airfoil=_airfoil(table, place=place),
        axis_aft=_axis(table, "axis_aft"),
        axis_below=_axis(table, "axis_below"),
        axis_in_flap=_axis(table, "axis_in_flap"),
        other_axes=_other_axes(table),
        hinge=_hinge(table) if kind == "plain" else "middle",
        span_from=_place(table, "span_from", wing=wing),
        span_to=_place(table, "span_to", wing=wing),
    )
    table.finish()
    _check_span(plan, where=table.where)
    _try_out(plan, wing=wing, where=table.where)
    return plan


def _refuse_others(table: Answers, *, keys: tuple[str, ...], kind: str) -> None:
    for key in keys:
        if table.given(key):
            raise InputError(
                where=table.table.field(key),
                found="a value",
                needed=f"none for a {kind}",
                fix="take the line out, or mend the kind",
            )


def _settings(table: Answers) -> tuple[float, ...]:
    found = table.listed("settings", needed=SETTINGS)
    where = table.table.field("settings")
    if found is None:
        table.table.value("settings", needed=SETTINGS)  # refuses a key that is missing
        raise InputError(where=where, found="unknown", needed=SETTINGS, fix="measure the flap at each stop")
    settings = tuple(
        read_quantity(
            text, ANGLE, low="-20 deg", high="60 deg", where=where, smallest=NARROWEST_SETTING
        ).value
        for text in found
    )
    for index, setting in enumerate(settings):
        if any(abs(setting - other) < 1e-6 for other in settings[:index]):
            raise InputError(where=where, found=f"{found[index]} twice", needed="each setting once")
    return settings


def _airfoil(table: Answers, *, place: Path) -> str | None:
    named = table.words("airfoil")
    if named is not None:
        try:
            airfoil(named, base_folder=place.parent)
        except InputError as error:
            if error.where != "airfoil":
                raise  # names the airfoil's own file and line
            raise type(error)(
                where=table.table.field("airfoil"), found=error.found, needed=error.needed, fix=error.fix
            ) from None
    return named


def _axis(table: Answers, key: str) -> float | None:
    if not table.given(key):
        return None
    low, high = AXIS_LIMITS[key]
    return table.quantity(key, SHARE, low, high)


def _other_axes(table: Answers) -> tuple[tuple[float, float], ...]:
    listed = table.listed("other_axes", needed=OTHER_AXES)
    if listed is None:
        return ()
    where = table.table.field("other_axes")
    if len(listed) > MOST_OTHERS:
        raise InputError(where=where, found=f"{len(listed)} of them", needed=f"at most {MOST_OTHERS}")
    found = []
    for text in listed:
        parts = [part.strip() for part in text.split(",")] if isinstance(text, str) else []
        if len(parts) != 2:
            raise InputError(where=where, found=repr(text), needed=OTHER_AXES)
        aft, below = (
            read_quantity(part, SHARE, low=low, high=high, where=where).value
            for part, (low, high) in zip(
                parts, (AXIS_LIMITS["axis_aft"], AXIS_LIMITS["axis_below"]), strict=True
            )
        )
        found.append((aft, below))
    return tuple(found)


def _place(table: Answers, key: str, *, wing: Wing) -> float | None:
    if not table.given(key):
        return None
    return table.quantity(key, LENGTH, "0 m", units.format_length(wing.semi_span, "m", decimals=4))


def _check_span(plan: FlapPlan, *, where: str) -> None:
    if plan.span_from is not None and plan.span_to is not None and plan.span_to <= plan.span_from:
        raise InputError(
            where=f"{where} span_to",
            found=f"an end at {units.format_length(plan.span_to, 'm', decimals=3)}, inboard of the start",
            needed="the end outboard of the start",
        )


def _hinge(table: Answers) -> str | float:
    if not table.given("hinge"):
        table.notebook.assume("flap.hinge", HINGE)
        return HINGE.value
    found = table.table.value("hinge", needed="a place")
    if isinstance(found, str) and found in HINGE_PLACES:
        return found
    try:
        return units.fraction(found, where=table.table.field("hinge"))
    except UnitError as error:
        raise UnitError(
            where=error.where,
            found=error.found,
            needed='"middle", "lower", "upper" or a height above the chord line such as "-1.5 %"',
        ) from None


def _try_out(plan: FlapPlan, *, wing: Wing, where: str) -> None:
    flap = plan.plain()
    if flap is None:
        return
    for setting in plan.settings:
        try:
            deflect(wing.stations[0].section, flap=flap, angle=setting)
        except InputError as error:
            raise type(error)(
                where=f"{where}, on {wing.stations[0].airfoil}, {error.where}",
                found=error.found,
                needed=error.needed,
                fix=error.fix,
            ) from None
