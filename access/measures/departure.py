"""When a pressure ratio has left its own baseline: how likely its level lies beyond it by more than a margin.

For one access or many at once. The baseline stands still, with its standard error. A reading far off is asked about and
believed once it is seen again, so that a large change never speaks later than a small one. Which cut the score is held
against stands in the operating table, and what a clinic is told is for the rules.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from access.measures.fieller import Z_90
from access.measures.hydraulics import Values, values
from access.measures.pressure_series import RATIO_TREND, PressureSeries, Quantity
from access.measures.series import Batch, Flags, side_by_side
from access.measures.smoother import Rows, State, Trend, moved_on, rows_of, taken_in, where


@dataclass(frozen=True, kw_only=True)
class Departure:
    """When a level has left its baseline; own choices, checked in simulation, no patient data."""

    by: float = 0.08  # Margin, as a ratio.
    doubted_above: float = 0.5  # P(wild) from which a reading is believed when it is seen again ...
    asked_above: float = 0.9  # ... and from which it is asked about, where it lies beyond the margin.
    again_z: float = Z_90


# A narrowing of the outlet raises its ratios, one of the inflow lowers the inflow ratio.
RISES: dict[Quantity, bool] = {"static ratio": True, "derived static ratio": True, "inflow ratio": False}


@dataclass(frozen=True, kw_only=True)
class Departed:
    """At each row, by what was known then: level, variance, and P(it left its baseline by more than the margin).

    (T, N) for a batch and (T,) for one series. ``score`` is nan where nothing was measured or there was no baseline;
    ``asked`` says that a reading lay so far beyond that it may be wrong, and ``before`` is the level it came after.
    """

    level: Values
    level_variance: Values
    before: Values
    score: Values
    asked: Flags

    def flagged(self, cut: float) -> Flags:
        """Whether each row speaks, for a cut of the score."""
        with np.errstate(invalid="ignore"):
            return np.asarray((self.score >= cut) | self.asked)


def departed(
    batch: Batch,
    *,
    baseline: ArrayLike,
    baseline_sd: ArrayLike,
    rises: bool,
    departure: Departure | None = None,
    parameters: Trend = RATIO_TREND,
) -> Departed:
    """How likely each level has left its baseline, (T, N), row by row.

    Parameters
    ----------
    batch : Batch
        Ratios, no unit.
    baseline, baseline_sd : array_like
        What each row is held against and its standard error, (T, N); nan where there is none.
    rises : bool
        Whether leaving is to rise; else it is to fall.
    departure : Departure, optional
    parameters : Trend

    Notes
    -----
    Phi((+-(level - baseline) - d) / sqrt(var(level) + var(baseline))), the level by the filter. A reading with P(wild)
    above .5 is believed, with the next one, where that lies beyond the level before it by more than 1.645 sqrt(2) of
    its spread. That level and baseline come from the same first readings is left out: it would make the doubt a little
    smaller, and less so with every row.

    References
    ----------
    masreliez-1975, simulation
    """
    used, side = departure or Departure(), 1 if rises else -1
    level, variance, before, wild = _levels(batch, side=side, departure=used, used=parameters)
    held, error = np.broadcast_to(values(baseline), level.shape), np.broadcast_to(values(baseline_sd), level.shape)
    measured = batch.weights > 0
    away = (side * (level - held) - used.by) / np.sqrt(variance + error**2)
    with np.errstate(invalid="ignore"):
        beyond = measured & (side * (batch.values - held) > used.by)
    score = np.where(measured, ndtr(away), np.nan)
    return Departed(level=level, level_variance=variance, before=before, score=score, asked=wild & beyond)


def departure_of(found: PressureSeries, *, departure: Departure | None = None) -> Departed:
    """The same for the series of one access, (T,), each row against the baseline as it was known before it."""
    held = [(one.level, one.sd) if one else (math.nan, math.nan) for one in found.baselines]
    baseline, error = np.array(held, dtype=float).reshape(-1, 2).T
    seen = departed(
        side_by_side([found.series]),
        baseline=baseline[:, None],
        baseline_sd=error[:, None],
        rises=RISES[found.quantity],
        departure=departure,
    )
    return Departed(**{name: getattr(seen, name)[:, 0] for name in Departed.__dataclass_fields__})


@dataclass(frozen=True, kw_only=True)
class _Doubt:
    """A doubted reading, one an access: where the level would stand had it been taken as real."""

    open: Flags
    believed: State
    before: Values


def _levels(batch: Batch, *, side: int, departure: Departure, used: Trend) -> tuple[Values, Values, Values, Flags]:
    """Level, variance, level ahead of the reading and whether that is asked about, at each row, (T, N)."""
    rows, doubt = rows_of(batch, used=used), None
    level, variance, before = (np.empty(batch.shape) for _ in range(3))
    asked = np.zeros(batch.shape, dtype=bool)
    now = rows.before
    for row in range(batch.shape[0]):
        now, doubt = _move_on(rows, row, now=now, doubt=doubt, used=used)
        before[row] = now.level
        now, doubt, asked[row] = _measure(rows, row, now=now, doubt=doubt, side=side, departure=departure, used=used)
        level[row], variance[row] = now.level, now.level_variance
    return level, variance, before, asked


def _move_on(rows: Rows, row: int, *, now: State, doubt: _Doubt | None, used: Trend) -> tuple[State, _Doubt | None]:
    """Time passes; a change of the vessel ends a doubt."""
    if not row:
        return now, doubt
    now = moved_on(now, along=rows.along, row=row, used=used)
    if doubt is not None:
        believed = moved_on(doubt.believed, along=rows.along, row=row, used=used)
        doubt = replace(doubt, open=doubt.open & ~rows.along.resets[row], believed=believed)
    return now, doubt


def _measure(
    rows: Rows, row: int, *, now: State, doubt: _Doubt | None, side: int, departure: Departure, used: Trend
) -> tuple[State, _Doubt | None, Flags]:
    """A reading is taken in, answers what was doubted before, and may be doubted itself."""
    value, weight, ahead = rows.values[row], rows.weights[row], now
    now, wild = taken_in(ahead, value=value, weight=weight, doubtful=rows.doubtful[row], used=used)
    doubted = (wild > departure.doubted_above) & (side * (value - ahead.level) > 0)
    if doubt is not None:
        apart = departure.again_z * np.sqrt(2 / np.maximum(weight, 1e-12))
        again = doubt.open & (weight > 0) & (side * (value - doubt.before) > apart)
        real, _ = taken_in(doubt.believed, value=value, weight=weight, doubtful=False, used=used)
        now, doubted = where(again, real, now), doubted & ~again
        still = doubt.open & (weight <= 0)
        doubt = replace(doubt, open=still) if np.count_nonzero(still) else None
    if np.count_nonzero(doubted):
        believed, _ = taken_in(ahead, value=value, weight=weight, doubtful=False, used=used)
        old = doubt or _Doubt(open=doubted, believed=believed, before=ahead.level)
        doubt = _Doubt(
            open=doubted | old.open,
            believed=where(doubted, believed, old.believed),
            before=np.where(doubted, ahead.level, old.before),
        )
    return now, doubt, doubted & (wild > departure.asked_above)
