"""How rows of vanes and the places where layers turn turbulent follow from a flow, and the loop of both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.integral.marched_rows import RELAXED
from slowflight.flow.integral.section_flow import SectionModel
from slowflight.flow.integral.vanes import TRIP_FROM, TRIP_FULL
from slowflight.flow.rans.given_flow import LIFT_STAYS, Given, GivenFlow
from slowflight.flow.rans.marched_stress import RowStress, marched_stress
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.skin_columns import SkinColumns
from slowflight.flow.rans.skin_layers import SkinLayers, on_panels, skin_layers
from slowflight.flow.rans.steady import solve
from slowflight.flow.rans.sweep import NEXT_CFL, NEXT_STEPS
from slowflight.flow.rans.transition import FULLY_TURBULENT, Stations, free_stations, turbulent_from
from slowflight.flow.rans.vane_push import Places, places, push
from slowflight.wing.vane_row import VaneRow

PASSES = 3
HASTY_CFL = 1e5  # saves a third to half of the steps where little has changed
STATIONS_STAY = 0.005  # [fraction of chord]


@dataclass(frozen=True, eq=False)
class Conditions:
    """How what is given follows from a flow.

    Parameters
    ----------
    columns : SkinColumns
        Off the skin that carries the rows.
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

    columns: SkinColumns
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
        layers = skin_layers(problem, self.columns, flow.q)
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
            layers = skin_layers(here.at(flow.alpha, flow.circulation), self.columns, flow.q)
            share, seed = turbulent_from(
                self.columns, layers, given.stations, reynolds=1.0 / here.problem.setting.nu
            )
            made = given.made.copy()
            made[:, 3] += seed
            setting = setting._replace(share=share, made=made)
        return replace(here, problem=replace(here.problem, setting=setting))

    def _solved_near(self, here: Marching, given: Given, flow: Flow) -> Flow:
        """Solve with what is given from a flow that had something like it."""
        nearly = self.on(here, given, flow)
        for cfl in (HASTY_CFL, NEXT_CFL):
            found = solve(
                nearly, alpha=flow.alpha, q=flow.q, circulation=flow.circulation, first_cfl=cfl,
                most_steps=2 * NEXT_STEPS if cfl == NEXT_CFL else NEXT_STEPS,
            )  # fmt: skip
            if found.converged:
                break
        return found

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
            again = self._solved_near(here, wanted, flow)
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
    columns: SkinColumns,
    here: Marching,
    model: SectionModel,
    *,
    rows: Sequence[VaneRow] = (),
    transition: tuple[float | None, float | None] | None = None,
    known: Mapping[float, Stations] | None = None,
) -> Conditions:
    """Make conditions on a grid; see `Conditions`."""
    return Conditions(columns, model, places(columns, here.problem.mesh), tuple(rows), transition, known)
