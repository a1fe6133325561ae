"""Which row is best, and which others cannot be told from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from slowflight.compare.row_answer import RowAnswer

# What the model can tell apart among rows of one wing rests on no measured case: wide, stated defaults.
SHARE_OF_FALL = 0.3
LEAST_STEP = 0.05  # numerical noise of a stall speed, a tenth of a knot [m/s]
TIE_BAND = (
    "rows within 30 % of the best fall, 0.1 kt at least, are ties: 0 measured cases say how well this model "
    "ranks rows, so this is a stated default"
)


@dataclass(frozen=True, kw_only=True)
class Choice:
    """The best row with its ties.

    Parameters
    ----------
    best : RowAnswer or None
        ``None`` where no row gains anything at an accepted price.
    ties : tuple of RowAnswer
        Others whose fall lies within the band of the best's, best first.
    band : float
        Of a difference between rows [m/s].
    too_dear : int
        Rows that lower the stall speed and are left out because they cost more than the accepted price in
        cruise.
    unanswered : int
        Rows without an answer.
    nearest : RowAnswer or None
        Without a best row, the one at an accepted price that loses least.
    """

    best: RowAnswer | None
    ties: tuple[RowAnswer, ...]
    band: float
    too_dear: int
    unanswered: int
    nearest: RowAnswer | None = None


def choose(answers: Sequence[RowAnswer], *, cruise_price: float) -> Choice:
    """Find the largest fall of stall speed at an accepted price in cruise.

    Parameters
    ----------
    answers : sequence of RowAnswer
    cruise_price : float
        Greatest loss of cruise speed that is accepted [m/s].

    Returns
    -------
    Choice
        Among rows with the same fall, the one that costs less in cruise, then the lower vane, is best.
    """
    answered = [a for a in answers if a.answered]
    fair = [a for a in answered if _affordable(a, cruise_price)]
    ranked = sorted(fair, key=_rank)
    dear = [a for a in answered if not _affordable(a, cruise_price) and _fall(a) > 0.0]
    unanswered = len(answers) - len(answered)
    if not ranked or _fall(ranked[0]) <= 0.0:
        nearest = ranked[0] if ranked else None
        return Choice(
            best=None, ties=(), band=LEAST_STEP, nearest=nearest, too_dear=len(dear), unanswered=unanswered
        )
    best = ranked[0]
    band = math.hypot(SHARE_OF_FALL * _fall(best), LEAST_STEP)
    ties = tuple(a for a in ranked[1:] if _fall(best) - _fall(a) <= band)
    return Choice(best=best, ties=ties, band=band, too_dear=len(dear), unanswered=unanswered)


def _affordable(answer: RowAnswer, cruise_price: float) -> bool:
    return answer.cruise_loss is not None and answer.cruise_loss <= cruise_price


def _fall(answer: RowAnswer) -> float:
    return answer.fall if answer.fall is not None else -math.inf


def _rank(answer: RowAnswer) -> tuple[float, float, float]:
    loss = answer.cruise_loss if answer.cruise_loss is not None else math.inf
    return (-round(_fall(answer), 4), round(loss, 4), answer.row.height)
