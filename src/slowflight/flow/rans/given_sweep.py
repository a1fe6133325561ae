"""Angle after angle where what is given depends on the flow: rows of vanes, and where layers turn turbulent.

Both are found from a converged flow and then held while the next is solved; that is repeated at each angle
until lift and stations stay.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.integral.marched_rows import RELAXED
from slowflight.flow.integral.section_flow import SectionModel
from slowflight.flow.integral.vanes import TRIP_FROM, TRIP_FULL
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.grid import Grid
from slowflight.flow.rans.marched_stress import RowStress, marched_stress
from slowflight.flow.rans.newton import Flow, Marching, solve
from slowflight.flow.rans.skin_layers import SkinLayers, on_panels, skin_layers
from slowflight.flow.rans.sweep import (
    EASY_ANGLE,
    NEXT_CFL,
    NEXT_STEPS,
    cold_start,
    levels,
    marching,
    step_to,
)
from slowflight.flow.rans.transition import (
    FULLY_TURBULENT,
    QUIET_STREAM,
    Stations,
    free_stations,
    turbulent_from,
)
from slowflight.flow.rans.vane_push import Places, places, push
from slowflight.flow.solution import FloatArray
from slowflight.wing.vane_row import VaneRow

PASSES, LIFT_STAYS = 3, 1e-3
STATIONS_STAY = 0.005  # [fraction of chord]


@dataclass(frozen=True, eq=False)
class Given:
    """What is held while one flow is solved.

    Parameters
    ----------
    made : FloatArray
        The rows' push, shape (n, unknowns).
    stations : Stations
        Ends of the laminar runs.
    """

    made: FloatArray
    stations: Stations


@dataclass(frozen=True, eq=False)
class GivenFlow:
    """A solved angle with what was given there.

    Parameters
    ----------
    flow : Flow
    given : Given
        It was solved with.
    rows : tuple of RowStress
        The last march of each row.
    change : float
        Of lift by the last repetition.
    """

    flow: Flow
    given: Given
    rows: tuple[RowStress, ...] = ()
    change: float = 0.0

    @property
    def settled(self) -> bool:
        """Whether lift stayed."""
        return self.change < LIFT_STAYS


@dataclass(frozen=True, eq=False)
class Conditions:
    """How what is given follows from a flow.

    Parameters
    ----------
    grid : Grid
    model : SectionModel
        Of the seconds tier: rows of vanes on its outline, their sizes, its constants.
    where : Places
    rows : tuple of VaneRow
        The same rows, for their stations.
    transition : tuple of (float or None, float or None) or None
        Upper and lower trip, ``None`` for a free side; ``None`` alone is fully turbulent.
    known : mapping or None
        Ends of laminar runs found before, by angle: those of the section without vanes.
    """

    grid: Grid
    model: SectionModel
    where: Places
    rows: tuple[VaneRow, ...]
    transition: tuple[float | None, float | None] | None
    known: Mapping[float, Stations] | None = None

    @property
    def panel_length(self) -> float:
        """Of the outline the rows were placed on [chords]."""
        return float(self.model.system.body.arc[-1])

    @property
    def constant(self) -> bool:
        """Whether nothing that is given depends on the flow."""
        return not self.rows and self.transition is None

    def from_flow(self, here: Marching, flow: Flow) -> tuple[Given, tuple[RowStress, ...]]:
        """What a flow gives, and the marches behind it."""
        problem = here.at(flow.alpha, flow.circulation)
        layers = skin_layers(problem, self.grid, flow.q)
        stations = self._stations(flow.alpha, problem.setting.nu, layers)
        if not self.rows:
            return Given(np.zeros_like(flow.q), stations), ()
        # a row that trips does so at its own place; the layer that it meets may be laminar all the same
        found = on_panels(
            layers, panel_arc=self.model.system.body.arc, alpha=flow.alpha, reynolds=1.0 / problem.setting.nu,
            laminar=stations, critical=self.model.critical, lag=self.model.lag,
        )  # fmt: skip
        marches = tuple(
            marched_stress(row, sizes, found)
            for row, sizes in zip(self.model.rows, self.model.sizes, strict=True)
        )
        made = push(
            here.problem.mesh, self.where, marches, panel_length=self.panel_length, unknowns=problem.unknowns
        )
        return Given(made, self._tripped(stations, marches, problem.setting.nu)), marches

    def _stations(self, alpha: float, nu: float, layers: SkinLayers) -> Stations:
        if self.transition is None:
            return FULLY_TURBULENT
        if self.known is not None:
            return self.known_at(alpha)
        free = free_stations(layers, reynolds=1.0 / nu, critical=self.model.critical)
        upper, lower = (
            station if trip is None else min(station, trip)
            for station, trip in zip(free, self.transition, strict=True)
        )
        return upper, lower

    def _tripped(self, stations: Stations, marches: Sequence[RowStress], nu: float) -> Stations:
        """End the laminar run at a row whose vanes trip it."""
        upper, lower = stations
        for row, march in zip(self.rows, marches, strict=True):
            if march.speed * march.tall / nu < 0.5 * (TRIP_FROM + TRIP_FULL):
                continue
            if march.upper:
                upper = min(upper, row.station)
            else:
                lower = min(lower, row.station)
        return upper, lower

    def known_at(self, alpha: float) -> Stations:
        """Those of the nearest angle that had an answer."""
        assert self.known
        return self.known[min(self.known, key=lambda a: abs(a - alpha))]

    def tripped_ahead(self, stations: Stations) -> Stations:
        """Ends of laminar runs at most at the rows, before it is known whether these trip."""
        upper, lower = stations
        for row in self.rows:
            if row.surface == "upper":
                upper = min(upper, row.station)
            else:
                lower = min(lower, row.station)
        return upper, lower

    def on(self, here: Marching, given: Given, flow: Flow) -> Marching:
        """The problem with what is given; the flow tells where the sides meet."""
        setting = here.problem.setting._replace(made=given.made)
        if given.stations != FULLY_TURBULENT:
            layers = skin_layers(here.at(flow.alpha, flow.circulation), self.grid, flow.q)
            share, seed = turbulent_from(
                self.grid, layers, given.stations, reynolds=1.0 / here.problem.setting.nu
            )
            made = given.made.copy()
            made[:, 3] += seed
            setting = setting._replace(share=share, made=made)
        return replace(here, problem=replace(here.problem, setting=setting))

    def settle(self, here: Marching, flow: Flow, given: Given, *, passes: int = PASSES) -> GivenFlow:
        """Find what is given and solve in turn at one angle until lift and stations stay.

        Parameters
        ----------
        here : Marching
            The problem with nothing given.
        flow : Flow
            A converged flow at the angle.
        given : Given
            It was solved with. Of a second or later finding half counts, as in the seconds tier.
        passes : int
            Most repetitions.

        Returns
        -------
        GivenFlow
            The last converged one.
        """
        change = np.inf
        rows: tuple[RowStress, ...] = ()
        for number in range(passes):
            wanted, rows = self.from_flow(here, flow)
            moved = max(abs(a - b) for a, b in zip(wanted.stations, given.stations, strict=True))
            if not self.rows and moved < STATIONS_STAY:
                return GivenFlow(flow, given, rows, 0.0)
            if number > 0:
                wanted = _between(given, wanted)
            again = solve(
                self.on(here, wanted, flow), alpha=flow.alpha, q=flow.q, circulation=flow.circulation,
                first_cfl=NEXT_CFL, most_steps=2 * NEXT_STEPS,
            )  # fmt: skip
            if not again.converged:
                if number == 0:
                    return GivenFlow(again, wanted, rows, np.inf)
                break
            change = abs(2.0 * (again.circulation - flow.circulation))
            flow, given = replace(again, steps=again.steps + flow.steps), wanted
            if change < LIFT_STAYS:
                break
        return GivenFlow(flow, given, rows, change)


def _between(old: Given, new: Given) -> Given:
    upper, lower = (
        RELAXED * b + (1.0 - RELAXED) * a for a, b in zip(old.stations, new.stations, strict=True)
    )
    return Given(RELAXED * new.made + (1.0 - RELAXED) * old.made, (upper, lower))


def conditions(
    grid: Grid,
    here: Marching,
    model: SectionModel,
    *,
    rows: Sequence[VaneRow] = (),
    transition: tuple[float | None, float | None] | None = None,
    known: Mapping[float, Stations] | None = None,
) -> Conditions:
    """Make conditions for a grid; see `Conditions`."""
    return Conditions(grid, model, places(grid, here.problem.mesh), tuple(rows), transition, known)


def quiet_or_not(here: Marching, transition: object) -> Marching:
    """The free stream's turbulence lowered where a laminar run is to be kept."""
    return here if transition is None else replace(here, turbulence=(QUIET_STREAM,))


def given_sweep(
    grid: Grid,
    *,
    reynolds: float,
    angles: Sequence[float],
    model: SectionModel,
    rows: Sequence[VaneRow] = (),
    transition: tuple[float | None, float | None] | None = None,
    known: Mapping[float, Stations] | None = None,
    recall: Callable[[float], Flow | None] | None = None,
    on_solved: Callable[[Marching, GivenFlow], None] | None = None,
) -> dict[float, GivenFlow]:
    """Solve at angles [rad], up and down from the easiest.

    Parameters
    ----------
    grid : Grid
    reynolds : float
    angles : sequence of float
        [rad]
    model : SectionModel
        Holds the rows.
    rows, transition, known
        See `Conditions`.
    recall : callable, optional
        Returns the flow of an angle solved earlier, or ``None``.
    on_solved : callable, optional
        Called with the problem solved last and each flow, converged or not.

    Returns
    -------
    dict
        By angle; angles not reached are missing.
    """
    turbulent = marching(grid, reynolds=reynolds)
    here = quiet_or_not(turbulent, transition)
    how = conditions(grid, here, model, rows=rows, transition=transition, known=known)
    nothing = Given(np.zeros_like(here.problem.setting.made), FULLY_TURBULENT)
    ordered = sorted(set(angles))
    found: dict[float, GivenFlow] = {}
    start = min(ordered, key=lambda a: abs(a - EASY_ANGLE))

    def solved_before(alpha: float) -> GivenFlow | None:
        flow = None if recall is None else recall(alpha)
        return None if flow is None else GivenFlow(flow, *how.from_flow(here, flow))

    def take(done: GivenFlow) -> GivenFlow:
        found[done.flow.alpha] = done
        if on_solved is not None:
            on_solved(how.on(here, done.given, done.flow), done)
        return done

    def settled(flow: Flow, given: Given) -> GivenFlow:
        if not flow.converged:
            return GivenFlow(flow, given, (), np.inf)
        return GivenFlow(flow, given) if how.constant else how.settle(here, flow, given)

    # the flow that leads from angle to angle: with what was given where rows keep it attached, else fully
    # turbulent, because a station left behind lets the layer go ahead of it
    begun = solved_before(start)
    leading = cold_start(levels(grid), turbulent, alpha=start, reynolds=reynolds) if begun is None else None
    first = settled(leading, nothing) if leading is not None else begun
    assert first is not None
    take(first)
    if not first.flow.converged:
        return found
    for branch in ([a for a in ordered if a > start], [a for a in reversed(ordered) if a < start]):
        last, lead = first, leading
        for alpha in branch:
            done = solved_before(alpha)
            if done is None and how.rows:
                stations = last.given.stations if known is None else how.tripped_ahead(how.known_at(alpha))
                given = Given(last.given.made, stations)
                done = settled(step_to(how.on(here, given, last.flow), last.flow, alpha=alpha), given)
            elif done is None:
                if how.constant:
                    lead = last.flow
                elif lead is None:
                    lead = cold_start(levels(grid), turbulent, alpha=last.flow.alpha, reynolds=reynolds)
                lead = step_to(turbulent, lead, alpha=alpha)
                done = settled(lead, nothing)
            last = take(done)
            if not last.flow.converged:
                break
    return found


def vane_force(here: Marching, made: FloatArray, *, alpha: float) -> tuple[float, float]:
    """Lift and drag coefficients on the vanes themselves: the push on the air, turned round."""
    total = -2.0 * np.sum(made[:, 1:3] * here.problem.mesh.volume[:, None], axis=0)
    return (
        float(-np.sin(alpha) * total[0] + np.cos(alpha) * total[1]),
        float(np.cos(alpha) * total[0] + np.sin(alpha) * total[1]),
    )


def whole_force(here: Marching, found: GivenFlow) -> tuple[float, float, float, float]:
    """Lift, drag, moment of section and vanes, and the vanes' drag in it."""
    flow = found.flow
    body = force(here.at(flow.alpha, flow.circulation), flow.q, alpha=flow.alpha)
    lift, drag = vane_force(here, found.given.made, alpha=flow.alpha)
    return body.lift + lift, body.drag + drag, body.moment, drag
