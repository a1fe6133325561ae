"""What the tool claims beside what was measured: the library of published cases through a tier."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

from slowflight import __version__
from slowflight.compare.evidence.comparison import NOT_CONVERGED, Comparison, compare
from slowflight.compare.evidence.library import ANY, cases
from slowflight.compare.evidence.spread import SpreadLine, spreads
from slowflight.errors import InputError
from slowflight.study import pool
from slowflight.study.evidence_case import evidence_run
from slowflight.study.store import RunStore

TIERS_TO_COME = ("rans", "slab")
Told = Callable[[str, int, int], None]
CAUTION = (
    "Caution: how far section values were off says how far to trust the tool, not how slow an aircraft may"
    " fly. None of these cases clears a wing; slow flight and stalls kill."
)


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """The library through a tier.

    Parameters
    ----------
    tier : str
    comparisons : tuple of Comparison
        Every published number, whether or not it could be computed.
    spreads : tuple of SpreadLine
        Mean and spread of the errors by kind, Reynolds number and role.
    folder : Path
        Where the runs are kept.
    """

    tier: str
    comparisons: tuple[Comparison, ...]
    spreads: tuple[SpreadLine, ...]
    folder: Path

    @property
    def unanswered(self) -> tuple[str, ...]:
        """Names of what the tier computes but has no converged answer for."""
        return tuple(c.name for c in self.comparisons if c.status == NOT_CONVERGED)

    def record(self) -> dict[str, Any]:
        """Return it as plain data, as the command line prints it."""
        return {
            "cases": [comparison.record() for comparison in self.comparisons],
            "tier": self.tier,
            "version": __version__,
            "spreads": [line.record() for line in self.spreads],
            "results": str(self.folder),
            "sources": list(dict.fromkeys(c.case.source for c in self.comparisons)),
            "cautions": [CAUTION],
        }


def evidence(
    *,
    tier: str = "integral",
    workers: int | str = 1,
    results: str | Path | None = None,
    library: Path | None = None,
    on_progress: Told | None = None,
) -> Evidence:
    """Run every published case through a tier and set the numbers side by side.

    Parameters
    ----------
    tier : str, optional
        ``"integral"``; the others are not there yet.
    workers : int or str, optional
        Processes to compute with, or whose workers compute: ``"cluster"`` or a scheduler's address.
    results : str or Path, optional
        Folder for the runs; a cache of this user's otherwise. What is kept there from before, by the same
        code, is not computed again.
    library : Path, optional
        Other case files than those of the package.
    on_progress : callable, optional
        Called with what is being computed, how many are done and how many there are.

    Returns
    -------
    Evidence

    Raises
    ------
    InputError
        For a tier that is not there, a faulty case file, or a folder that cannot be written.
    """
    if tier != "integral":
        known = "'integral'" if tier in TIERS_TO_COME else "'integral', the one tier there is"
        fix = "this version computes only the integral tier"
        raise InputError(where="--tier", found=repr(tier), needed=known, fix=fix)
    folder = results_folder() if results is None else Path(results)
    published = cases(role=ANY, folder=library)
    runs = {case.name: evidence_run(case, tier=tier) for case in published}

    def tell(done: int, total: int) -> None:
        if on_progress is not None:
            on_progress("published cases", done, total)

    wanted = [run for run in runs.values() if run is not None]
    found = pool.run(wanted, RunStore(folder), workers=workers, on_done=tell)
    compared: list[Comparison] = []
    for case in published:
        run = runs[case.name]
        compared += compare(case, tier=tier, result=None if run is None else found[run.key])
    return Evidence(tier=tier, comparisons=tuple(compared), spreads=spreads(compared), folder=folder)


def results_folder() -> Path:
    """Return the folder of this user in which runs of the library are kept."""
    return user_cache_path("slowflight", appauthor=False) / "evidence"
