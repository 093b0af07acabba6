"""The alarm of falling flow: how likely it is low, falling fast or far below its usual, row by row, as known then.

A far too low measurement is asked about at once and taken as real when it is low again or not repeated in time, so that
a large fall never speaks later than a small one. The cut that the score is held against is not here: it stands in the
operating table, since it follows from how many false flags a clinic is to have.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

from access.measures.fieller import Z_90
from access.measures.hydraulics import Values, values
from access.measures.series import Batch, Flags
from access.measures.smoother import (
    NAMES,
    State,
    Trend,
    exact_at_most,
    moved_on,
    renewed,
    rows_of,
    stacked,
    taken_in,
    where,
)
from access.measures.units import DAYS_A_YEAR
from access.measures.usual_flow import usual_flow


@dataclass(frozen=True, kw_only=True)
class Alarm:
    """When a measurement is doubted and when a trend speaks; own choices, checked in simulation, no patient data."""

    doubted_above: float = 0.5  # P(wild) from which a measurement is asked about.
    repeat_days: float = 7.0  # Not repeated by then, and within two treatments, it counts as real.
    low_again_z: float = Z_90
    least: int = 3  # Measurements before a trend speaks ...
    least_since_change: int = 2  # ... and since the vessel was last changed.
    fall_fraction: float = 0.25
    fall_years: float = 1 / 3
    lost_fraction: float = 0.33  # Of the usual flow: what two single readings must differ by to be told from noise.


@dataclass(frozen=True, kw_only=True)
class Watched:
    """The alarm at each row (T, N), by what was known then; ``state`` holds the filter with real falls taken as such.

    ``score`` is the greatest of three probabilities, nan while no trend speaks and where nothing was measured:
    ``below`` the limit, ``falling`` fast, ``lost`` much of its ``usual`` log flow; ``outlier`` is P(wild).
    ``asked``: repeat at the next treatment; ``first`` says that it was asked since one of the first values lies below
    the limit. ``low_again``: what was asked about was seen again. ``overdue``: a doubted measurement was not repeated
    in time, so that it counts as real until the next one. ``real`` are the measurements that proved so, as known at
    the end, and ``fell`` those at which the level fell at once.
    """

    state: State
    score: Values
    below: Values
    falling: Values
    lost: Values
    usual: Values
    outlier: Values
    asked: Flags
    first: Flags
    low_again: Flags
    overdue: Flags
    real: Flags
    fell: Flags

    def flagged(self, cut: ArrayLike) -> Flags:
        """Whether the alarm speaks at each row, for a cut of the score."""
        with np.errstate(invalid="ignore"):
            return np.asarray((self.score >= values(cut)) | self.low_again | self.overdue)


@dataclass(kw_only=True)
class _Doubt:
    """A measurement that was asked about, one an access: where the trend would stand had it been taken as real."""

    open: Flags
    first: Flags  # Asked about only since it is one of the first values, below the limit.
    believed: State
    level_before: Values
    due_years: Values
    row: NDArray[np.intp]


def watch(
    batch: Batch,
    *,
    limit_ml_min: ArrayLike,
    due_years: ArrayLike | None = None,
    on_request: ArrayLike = False,
    alarm: Alarm | None = None,
    parameters: Trend | None = None,
) -> Watched:
    """The alarm at each row of many series of log flow.

    Parameters
    ----------
    batch : Batch
        Log flow in log(mL/min).
    limit_ml_min : array_like
        Limit in mL/min, one or one an access; nan where the protocol has none, then only a fall speaks.
    due_years : array_like, (T, N), optional
        By when a repeat of this row's measurement is due, in the years of the batch; without it 7 days.
    on_request : array_like of bool, (T,)
        Rows that were measured only where the row before was asked about: the repeats of a simulated clinic.
    alarm : Alarm, optional
    parameters : Trend, optional

    References
    ----------
    masreliez-1975, simulation
    """
    used, rule = parameters or Trend(), alarm or Alarm()
    rows, accesses = batch.shape
    due = batch.years + rule.repeat_days / DAYS_A_YEAR if due_years is None else values(due_years)
    requested = np.broadcast_to(np.asarray(on_request, dtype=bool), (rows,))
    limit = np.log(np.broadcast_to(values(limit_ml_min), (accesses,)))
    clinic = _Watch(batch, limit=limit, alarm=rule, used=used)
    due = due[:, 0] if accesses == 1 else due
    for number in range(rows):
        clinic.row(number, due=due[number], requested=bool(requested[number]))
    return clinic.said()


class _Watch:
    """The filter with its doubts, moved from row to row, and what it said at each.

    A row is an array over the accesses, or plain numbers where there is one; what was said is always (T, N).
    """

    def __init__(self, batch: Batch, *, limit: Values, alarm: Alarm, used: Trend) -> None:
        self.batch, self.alarm, self.used = batch, alarm, used
        self.rows, shape = rows_of(batch, used=used), batch.shape
        self.years, self.limit = batch.years, limit
        if shape[1] == 1:
            self.years, self.limit = batch.years[:, 0], limit[0]
        self.now, self.still = self.rows.before, np.zeros_like(self.rows.before.level)
        self.nowhere = self.still > 0
        self.seen = self.since = self.nowhere.astype(int)
        self.doubt: _Doubt | None = None
        self.states, self.outlier = stacked(np.empty((len(NAMES), *shape))), np.zeros(shape)
        self.told = {name: np.zeros(shape, dtype=bool) for name in _TOLD}

    def row(self, number: int, *, due: Values, requested: bool) -> None:
        """One row: what happened since the one before, then its measurement, then what is kept of it."""
        if number:
            self._move_on(number)
        if self.doubt is not None or not requested:
            self._measure(number, due=due, requested=requested)
        self.states.keep(number, self._overdue(number))

    def _move_on(self, number: int) -> None:
        """Time passes: a repeat may be overdue, and a change of the vessel ends a doubt."""
        along, doubt = self.rows.along, self.doubt
        if doubt is not None:
            late = doubt.open & ~doubt.first & (self.years[number] > doubt.due_years)
            self.told["overdue"][number] = late & ~along.resets[number]
            doubt.believed = moved_on(doubt.believed, along=along, row=number, used=self.used)
            self._close(along.resets[number])
        if along.changed[number]:
            self.since = np.where(along.resets[number], 0, self.since)
        self.now = moved_on(self.now, along=along, row=number, used=self.used)

    def _overdue(self, number: int) -> State:
        """The state as it is told: a doubted measurement that is overdue is believed until the next one."""
        if self.doubt is None:
            return self.now
        overdue = self.told["overdue"][number] & self.doubt.open
        self._proved(overdue, doubt=self.doubt)
        return where(overdue, self.doubt.believed, self.now)

    def _proved(self, real: Flags, *, doubt: _Doubt) -> None:
        """Mark the doubted measurements that proved real."""
        chosen = np.flatnonzero(real)
        row, first = np.atleast_1d(doubt.row)[chosen], np.atleast_1d(doubt.first)[chosen]
        self.told["real"][row, chosen], self.told["fell"][row, chosen] = True, ~first

    def _measure(self, number: int, *, due: Values, requested: bool) -> None:
        """A measurement is taken in, answers what was asked about before, and may be asked about itself."""
        value, weight, ahead, doubt = self.rows.values[number], self.rows.weights[number], self.now, self.doubt
        if requested and doubt is not None:
            weight = np.where(doubt.open, weight, 0.0)
        measured = weight > 0
        may_be_wild = self.rows.doubtful[number] & measured if requested else self.rows.doubtful[number]
        self.now, wild = taken_in(ahead, value=value, weight=weight, doubtful=may_be_wild, used=self.used)
        self.told["low_again"][number] = low_again = self._answered(number, value=value, weight=weight)
        self.told["measured"][number] = measured
        self.told["speaks"][number] = speaks = self._speaks(measured)
        self.outlier[number] = wild = wild * ~low_again
        low = (wild > self.alarm.doubted_above) & (value < ahead.level)
        first = measured & (value < self.limit) & ~(speaks | low | low_again)
        asked = low | first
        if np.count_nonzero(asked):
            self.told["asked"][number], self.told["first"][number] = asked, first
            # A fall at once is no slope: where it proves real, the level has jumped.
            before = renewed(ahead, resets=low, jump=self.still, used=self.used)
            believed = self._certain(before, value=value, weight=weight)
            # Where no trend speaks yet there is no level of its own to fall from: low again is below the limit only.
            level = np.where(speaks, ahead.level, -np.inf)
            self._open(asked, first=first, believed=believed, level_before=level, due=due, row=number)

    def _speaks(self, measured: Flags) -> Flags:
        """Whether a trend speaks at this measurement: there are enough, and enough since the vessel was changed."""
        self.seen, self.since = self.seen + measured, self.since + measured
        return measured & (self.seen >= self.alarm.least) & (self.since >= self.alarm.least_since_change)

    def _answered(self, number: int, *, value: Values, weight: Values) -> Flags:
        """Where what was asked about is low again: it was real then, and both are believed."""
        doubt = self.doubt
        if doubt is None:
            return self.nowhere
        apart = self.alarm.low_again_z * math.sqrt(2) / np.sqrt(np.maximum(weight, 1e-12))
        # Below the limit, or below the level before the fall by more than two measurements differ by chance.
        fallen = (value < self.limit) | (~doubt.first & (value < doubt.level_before - apart))
        low_again = doubt.open & (weight > 0) & fallen
        self.now = where(low_again, self._certain(doubt.believed, value=value, weight=weight), self.now)
        self.told["real"][number] |= low_again
        self._proved(low_again, doubt=doubt)
        self._close(weight > 0)
        return np.asarray(low_again, dtype=bool)

    def _certain(self, state: State, *, value: Values, weight: Values) -> State:
        """A state with a measurement taken in as real."""
        return taken_in(state, value=value, weight=weight, doubtful=False, used=self.used)[0]

    def _close(self, ended: Flags) -> None:
        if self.doubt is not None:
            self.doubt.open = self.doubt.open & np.logical_not(ended)
            self.doubt = self.doubt if np.count_nonzero(self.doubt.open) else None

    def _open(
        self, asked: Flags, *, first: Flags, believed: State, level_before: Values, due: Values, row: int
    ) -> None:
        rows = np.full(asked.shape, row)
        new = _Doubt(open=asked, first=first, believed=believed, level_before=level_before, due_years=due, row=rows)
        old = self.doubt or new
        self.doubt = _Doubt(
            open=asked | old.open,
            first=np.where(asked, first, old.first),
            believed=where(asked, believed, old.believed),
            level_before=np.where(asked, level_before, old.level_before),
            due_years=np.where(asked, due, old.due_years),
            row=np.where(asked, rows, old.row),
        )

    def said(self) -> Watched:
        """What the trend says at each row, where it may speak."""
        state, rule, speaks, measured = self.states, self.alarm, self.told.pop("speaks"), self.told.pop("measured")
        sd, batch = np.sqrt(state.level_variance), self.batch
        below = ndtr((np.nan_to_num(self.limit, nan=-np.inf) - state.level) / sd)
        fast = (-state.slope * rule.fall_years - _depth(rule.fall_fraction)) / rule.fall_years
        falling = ndtr(fast / np.sqrt(state.slope_variance))
        weights, resets = exact_at_most(batch, used=self.used), self.rows.along.resets.reshape(batch.shape)
        usual = usual_flow(batch.values, weights=weights, measured=measured, resets=resets)
        missing = usual.level - state.level - _depth(rule.lost_fraction)
        lost = np.nan_to_num(ndtr(missing / np.sqrt(state.level_variance + usual.variance)))
        below, falling, lost = (np.where(speaks, one, np.nan) for one in (below, falling, lost))
        return Watched(
            state=state,
            score=np.maximum(np.maximum(below, falling), lost),
            below=below,
            falling=falling,
            lost=lost,
            usual=usual.level,
            outlier=self.outlier,
            **self.told,
        )


_TOLD = ("asked", "first", "low_again", "overdue", "real", "fell", "speaks", "measured")


def _depth(fraction: float) -> float:
    """A fall by a fraction on the log scale."""
    return -math.log1p(-fraction)
