"""The filter and smoother beneath the trend: two states, level and slope, for many accesses side by side.

One row after the other, each row one number an access, so that a clinic costs little more than one patient. It knows
nothing of flow or pressure; ``trend`` asks it and says what the numbers mean.
"""

import math
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from access.measures.hydraulics import Values
from access.measures.series import Batch, Flags


@dataclass(frozen=True, kw_only=True)
class Trend:
    """The only tunables; on the log scale of flow, times in years. The defaults come from simulation, not patients."""

    slope_drift: float = 0.5  # Variance of the slope's random walk, a year cubed; larger is the safe side.
    prior_level: float = math.log(1000)
    prior_level_sd: float = 0.35
    prior_slope_sd: float = 0.3
    jump_sd: float = 0.35  # Of the level where the vessel was changed; the slope starts from its prior.
    outlier_share: float = 0.04
    outlier_sd: float = 0.5
    least_sd: float = 0.01  # No measurement is taken as more exact than this.


class State(NamedTuple):
    """Level and slope (a year) with their variances and covariance; arrays (T, N), or (N,) for the newest row.

    A named tuple, since two are made at every row.
    """

    level: Values
    slope: Values
    level_variance: Values
    covariance: Values
    slope_variance: Values

    def row(self, number: int) -> "State":
        """The state in one row, (N,)."""
        return State(
            level=self.level[number],
            slope=self.slope[number],
            level_variance=self.level_variance[number],
            covariance=self.covariance[number],
            slope_variance=self.slope_variance[number],
        )

    def keep(self, number: int, now: "State") -> None:
        """Write what is known in one row."""
        self.level[number] = now.level
        self.slope[number] = now.slope
        self.level_variance[number] = now.level_variance
        self.covariance[number] = now.covariance
        self.slope_variance[number] = now.slope_variance


NAMES = State._fields


def stacked(columns: Values) -> State:
    """The state whose five numbers stand one behind the other, (5, ...); what is kept in it is written there."""
    return State(*columns)


@dataclass(frozen=True, kw_only=True)
class Steps:
    """From each row to the next: years and whether the vessel was changed, (T, N); ``changed``: whether any was, (T,).

    Few rows bring a change, and the others need not be asked about it access by access.
    """

    years: Values
    resets: Flags
    jumps: Values
    changed: Flags


def steps(batch: Batch) -> Steps:
    """The steps of a batch; no time passes and no vessel is changed before the first measurement."""
    measured = batch.weights > 0
    begun = (np.arange(batch.shape[0])[:, None] >= _first(measured)) & measured.any(axis=0)
    years, resets = np.zeros(batch.shape), np.broadcast_to(batch.resets, batch.shape)
    np.multiply(np.diff(batch.years, axis=0), begun[:-1], out=years[1:])
    if batch.resets.any():
        resets = resets & np.vstack([np.zeros_like(begun[:1]), begun[:-1]])
    jumps, changed = np.broadcast_to(batch.jumps, batch.shape), np.asarray(resets.any(axis=1))
    return Steps(years=years, resets=resets, jumps=jumps, changed=changed)


@dataclass(frozen=True, kw_only=True)
class Rows:
    """A batch as a filter takes it, row by row: (T, N), or (T,) where there is one access.

    One access is worked out with plain numbers, since an array of one costs as much as an array of hundreds; the
    equations are the same. Its resets stay NumPy's, which can be turned round (``~``).
    """

    along: Steps
    values: Values
    weights: Values
    doubtful: Flags
    before: State  # What is known before the first row.


def rows_of(batch: Batch, *, used: Trend) -> Rows:
    """The rows of a batch; those of an only access without its dimension."""
    rows = Rows(
        along=steps(batch),
        values=batch.values,
        weights=exact_at_most(batch, used=used),
        doubtful=open_to_doubt(batch, used=used),
        before=prior(batch.shape[1], used),
    )
    return _of_one(rows) if batch.shape[1] == 1 else rows


def _of_one(rows: Rows) -> Rows:
    along = rows.along
    return Rows(
        along=replace(along, years=_plain(along.years), resets=along.resets[:, 0], jumps=_plain(along.jumps)),
        values=_plain(rows.values),
        weights=_plain(rows.weights),
        doubtful=_plain(rows.doubtful),
        before=State(*(_plain(one) for one in rows.before)),
    )


def _plain(column: NDArray[np.generic]) -> Any:
    """The numbers of an only access as Python's own, which are quicker one by one."""
    return column[..., 0].tolist()


def where(chosen: Flags, one: State, other: State) -> State:
    """One state where it is chosen, else the other."""
    return State(*(np.where(chosen, mine, its) for mine, its in zip(one, other, strict=True)))


def _first(measured: Flags) -> NDArray[np.intp]:
    """The row of the first measurement, (N,)."""
    return measured.argmax(axis=0) if len(measured) else np.zeros(measured.shape[1], dtype=np.intp)


def moved_on(now: State, *, along: Steps, row: int, used: Trend) -> State:
    """A state after the step to a row; where the vessel was changed the level keeps its past and the slope does not.

    F = [[1, dt], [0, k]], Q = q [[dt^3/3, k dt^2/2], [k dt^2/2, k dt]] + (1 - k) [[J, 0], [0, s0]]; k = 0 at a change.
    """
    years = along.years[row]
    drift = used.slope_drift * years
    bend = drift * years
    across = now.covariance + years * now.slope_variance
    later = State(
        level=now.level + years * now.slope,
        slope=now.slope,
        level_variance=now.level_variance + years * (now.covariance + across + bend / 3),
        covariance=across + bend / 2,
        slope_variance=now.slope_variance + drift,
    )
    return renewed(later, resets=along.resets[row], jump=along.jumps[row], used=used) if along.changed[row] else later


def renewed(now: State, *, resets: Flags, jump: Values, used: Trend) -> State:
    """A state where the vessel was changed or the level fell at once: the slope starts anew, the level may jump."""
    return State(
        level=now.level + np.where(resets, jump, 0.0),
        slope=np.where(resets, 0.0, now.slope),
        level_variance=now.level_variance + resets * used.jump_sd**2,
        covariance=np.where(resets, 0.0, now.covariance),
        slope_variance=np.where(resets, used.prior_slope_sd**2, now.slope_variance),
    )


def open_to_doubt(batch: Batch, *, used: Trend) -> Flags:
    """Where a measurement may be wild, (T, N): it was made, and is not taken as certain."""
    return np.asarray((batch.weights > 0) & ~batch.certain & (used.outlier_share > 0))


def taken_in(now: State, *, value: Values, weight: Values, doubtful: Flags | bool, used: Trend) -> tuple[State, Values]:
    """A state with a measurement taken in, and the probability that the measurement was wild.

    The mixture (1 - pi) N(0, S) + pi N(0, S + V): its mean and variance are exact, and a surprise raises the variance.
    Where the weight is 0 nothing changes.

    References
    ----------
    masreliez-1975
    """
    wide, share = used.outlier_sd**2, used.outlier_share
    against = (1 - share) / share if share else 0.0
    precise = weight / (1 + now.level_variance * weight)
    gap = value - now.level
    wider = 1 + wide * precise
    lost = precise - precise / wider
    surprise = gap * gap * lost
    odds: Any = against * np.sqrt(wider) * np.exp(-0.5 * surprise)
    wild = doubtful / (1 + (odds if odds.ndim else odds.item()))
    share_lost = wild * lost
    told = precise - share_lost
    gain = told * gap
    told = told - share_lost * (1 - wild) * surprise
    left = 1 - now.level_variance * told
    state = State(
        level=now.level + now.level_variance * gain,
        slope=now.slope + now.covariance * gain,
        level_variance=now.level_variance * left,
        covariance=now.covariance * left,
        slope_variance=now.slope_variance - now.covariance * now.covariance * told,
    )
    return state, wild


def forward(batch: Batch, *, along: Steps, used: Trend, found: State, wild: Values) -> None:
    """The filter, written to ``found`` and ``wild`` (T, N): each row from the one before and its own measurement."""
    weights, doubtful = exact_at_most(batch, used=used), open_to_doubt(batch, used=used)
    now = prior(batch.shape[1], used)
    for row in range(batch.shape[0]):
        if row:
            now = moved_on(now, along=along, row=row, used=used)
        now, wild[row] = taken_in(now, value=batch.values[row], weight=weights[row], doubtful=doubtful[row], used=used)
        found.keep(row, now)


def exact_at_most(batch: Batch, *, used: Trend) -> Values:
    """The weights, (T, N), none greater than that of the least spread."""
    return np.asarray(np.minimum(batch.weights, 1 / used.least_sd**2))


def prior(accesses: int, used: Trend) -> State:
    """What is known of each access before its first measurement, (N,)."""
    return State(
        level=np.full(accesses, used.prior_level),
        slope=np.zeros(accesses),
        level_variance=np.full(accesses, used.prior_level_sd**2),
        covariance=np.zeros(accesses),
        slope_variance=np.full(accesses, used.prior_slope_sd**2),
    )


def backward(filtered: State, *, along: Steps, used: Trend, found: State, with_last: Values) -> None:
    """The smoother, written to ``found`` (T, N): each row in the light of all later ones.

    ``with_last`` is the covariance of its level with the last one. G = P F' inv(P-), written out for two states.

    References
    ----------
    rauch-1965
    """
    rows = filtered.level.shape[0]
    if not rows:
        return
    later = filtered.row(rows - 1)
    last, last_slope = later.level_variance, later.covariance
    for row in range(rows - 1, -1, -1):
        if row < rows - 1:
            here = filtered.row(row)
            ahead = moved_on(here, along=along, row=row + 1, used=used)
            gains = _gains(here, ahead=ahead, along=along, row=row + 1)
            last, last_slope = gains[0] * last + gains[1] * last_slope, gains[2] * last + gains[3] * last_slope
            later = _smoothed(here, ahead=ahead, later=later, gains=gains)
        with_last[row] = last
        found.keep(row, later)


Gains = tuple[Values, Values, Values, Values]


def _gains(here: State, *, ahead: State, along: Steps, row: int) -> Gains:
    """The four entries of G, row by row."""
    years, cross, slope = along.years[row], here.covariance, here.slope_variance
    a, c = here.level_variance + years * cross, cross + years * slope
    if along.changed[row]:
        cross, slope = np.where(along.resets[row], 0.0, cross), np.where(along.resets[row], 0.0, slope)
    whole = ahead.level_variance * ahead.slope_variance - ahead.covariance * ahead.covariance
    m00, m01, m11 = ahead.level_variance / whole, ahead.covariance / whole, ahead.slope_variance / whole
    return a * m11 - cross * m01, cross * m00 - a * m01, c * m11 - slope * m01, slope * m00 - c * m01


def _smoothed(here: State, *, ahead: State, later: State, gains: Gains) -> State:
    """x + G (x_later - x_ahead), and P + G (P_later - P_ahead) G'."""
    g00, g01, g10, g11 = gains
    level, slope = later.level - ahead.level, later.slope - ahead.slope
    d00 = later.level_variance - ahead.level_variance
    d01, d11 = later.covariance - ahead.covariance, later.slope_variance - ahead.slope_variance
    first, second = g00 * d00 + g01 * d01, g00 * d01 + g01 * d11
    return State(
        level=here.level + g00 * level + g01 * slope,
        slope=here.slope + g10 * level + g11 * slope,
        level_variance=here.level_variance + first * g00 + second * g01,
        covariance=here.covariance + first * g10 + second * g11,
        slope_variance=here.slope_variance + g10 * (g10 * d00 + g11 * d01) + g11 * (g10 * d01 + g11 * d11),
    )
