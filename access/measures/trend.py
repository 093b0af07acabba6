"""The level of a quantity and its drift, with honest doubt, for one access or a million at once.

Irregular times, gaps and repeats, single wild measurements doubted, a new start where the vessel was changed. Nothing
is stored: a trend is a function of the record and the parameters. It knows no limit of a protocol and raises nothing.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from access.measures.hydraulics import Values, values
from access.measures.series import Batch, Series, side_by_side
from access.measures.smoother import NAMES, State, Trend, backward, forward, stacked, steps

__all__ = [
    "Fit",
    "Horizon",
    "State",
    "Trend",
    "fit",
    "horizon",
    "newest",
    "probability_below",
    "probability_downward",
    "probability_fallen",
    "probability_of_fall",
]

WITHIN_YEARS = (0.25, 0.5, 1.0)  # 3, 6 and 12 months.
SHARES = (0.1, 0.5, 0.9)
_AHEAD_YEARS = np.arange(1, 121) / 24  # Half months, to five years.


@dataclass(frozen=True, kw_only=True)
class Fit:
    """What is known of each access at each row, (T, N), nan above where a shorter series begins.

    ``filtered`` is what was known at that time, ``smoothed`` what is known now of that time; they agree in the last
    row, which is the newest of every access. ``outlier`` is the probability, as it stood then, that the measurement
    was wild, and 0 where nothing was measured; ``with_last`` the covariance of the level with the newest one.
    """

    years: Values
    filtered: State
    smoothed: State
    outlier: Values
    with_last: Values
    parameters: Trend

    @property
    def newest(self) -> State:
        """The state in the last row, (N,); nan for an access without a row."""
        return self.filtered.row(-1)


@dataclass(frozen=True, kw_only=True)
class Horizon:
    """If the present trend goes on: P(below the limit) in 3, 6 and 12 months, and when it passes 10, 50 and 90 %.

    Arrays (3, N); ``crossing_years`` from the newest row on, infinite where it lies beyond five years.
    """

    below: Values
    crossing_years: Values


def fit(given: Series | Sequence[Series] | Batch, *, parameters: Trend | None = None) -> Fit:
    """Level and slope of each access at each of its measurements, with their variances.

    Parameters
    ----------
    given : Series, sequence of Series or Batch
        One access, or many.
    parameters : Trend, optional

    Returns
    -------
    Fit
        Columns in the order given; one series gives one column.

    Notes
    -----
    State (l, b): dl = b dt, db = sqrt(q) dW. A measurement is l + N(0, R), with probability pi l + N(0, R + V). Before
    the first measurement no time passes, so that a missing row is as good as none.

    References
    ----------
    masreliez-1975, rauch-1965, simulation
    """
    used, batch = parameters or Trend(), _batch(given)
    rows, accesses = max(batch.shape[0], 1), batch.shape[1]
    columns = np.empty((2 * len(NAMES) + 2, rows, accesses))
    for chosen, part in batch.blocks():
        top = rows - part.shape[0]
        written = columns[:, top:, chosen]  # Accesses side by side are written where they stand, others aside.
        _work_out(part, columns=written, used=used)
        if not isinstance(chosen, slice):
            columns[:, top:, chosen] = written
    absent = np.arange(rows)[:, None] < rows - batch.lengths
    if absent.any():
        columns[:, absent] = np.nan
    years = batch.years if batch.shape[0] else np.full((rows, accesses), np.nan)
    return _fit(columns, years=years, used=used)


def _fit(columns: Values, *, years: Values, used: Trend) -> Fit:
    """The fit whose numbers stand one behind the other, (12, T, N)."""
    count = len(NAMES)
    return Fit(
        years=years,
        filtered=stacked(columns[:count]),
        smoothed=stacked(columns[count:-2]),
        outlier=columns[-2],
        with_last=columns[-1],
        parameters=used,
    )


def _work_out(part: Batch, *, columns: Values, used: Trend) -> None:
    """Write all numbers of a block."""
    along, here = steps(part), _fit(columns, years=part.years, used=used)
    forward(part, along=along, used=used, found=here.filtered, wild=here.outlier)
    backward(here.filtered, along=along, used=used, found=here.smoothed, with_last=here.with_last)


def newest(given: Sequence[Series] | Batch, *, parameters: Trend | None = None) -> State:
    """The state of each access after its last row, (N,), without keeping what came before: for very many accesses."""
    used, batch = parameters or Trend(), _batch(given)
    found = {name: np.full(batch.shape[1], np.nan) for name in NAMES}
    for chosen, part in batch.blocks():
        if part.shape[0]:
            filtered = stacked(np.empty((len(NAMES), *part.shape)))
            forward(part, along=steps(part), used=used, found=filtered, wild=np.empty(part.shape))
            for name in NAMES:
                found[name][chosen] = np.where(part.lengths > 0, getattr(filtered, name)[-1], np.nan)
    return State(**found)


def _batch(given: Series | Sequence[Series] | Batch) -> Batch:
    if isinstance(given, Batch):
        return given
    return side_by_side([given] if isinstance(given, Series) else given)


def probability_below(fitted: Fit | State, limit_ml_min: ArrayLike) -> Values:
    """P(flow below a limit) by what was known at each row; shape of the state.

    Parameters
    ----------
    fitted : Fit or State
        A fit gives each row by its filter; a state is taken as it is.
    limit_ml_min : array_like
        Limit in mL/min, one or one an access.
    """
    state = _state(fitted)
    return values(ndtr((np.log(values(limit_ml_min)) - state.level) / np.sqrt(state.level_variance)))


def probability_of_fall(fitted: Fit | State, fraction: float = 0.25, over_years: float = 1 / 3) -> Values:
    """P(flow falls by more than a fraction within a time at its present slope); shape of the state.

    Notes
    -----
    The form by the slope, which tells a fall some days before the one by two levels, and is better calibrated in
    simulation: (-b T - log(1 / (1 - fraction))) / (T sd(b)).
    """
    state, least = _state(fitted), -math.log1p(-fraction)
    return values(ndtr((-state.slope * over_years - least) / (over_years * np.sqrt(state.slope_variance))))


def probability_downward(fitted: Fit | State) -> Values:
    """P(the level is on its way down) at each row; shape of the state. Without it no trend can be said to go on."""
    state = _state(fitted)
    return values(ndtr(-state.slope / np.sqrt(state.slope_variance)))


def probability_fallen(fitted: Fit, *, since_row: int, fraction: float) -> Values:
    """P(the newest level lies more than a fraction below the level at an earlier row), (N,): both as known now."""
    before, now = fitted.smoothed.row(since_row), fitted.newest
    variance = before.level_variance + now.level_variance - 2 * fitted.with_last[since_row]
    least = -math.log1p(-fraction)
    return values(ndtr((before.level - now.level - least) / np.sqrt(np.maximum(variance, 1e-12))))


def horizon(fitted: Fit | State, limit_ml_min: ArrayLike) -> Horizon:
    """P(below a limit) within 3, 6 and 12 months, and when it becomes likely, should the present trend go on.

    Parameters
    ----------
    fitted : Fit or State
        The newest row of a fit is taken.
    limit_ml_min : array_like
        Limit in mL/min, one or one an access.

    Returns
    -------
    Horizon
        (3, N) each; a crossing already past is 0; nan for an access of which nothing is known.

    Notes
    -----
    The straight line of the logarithm is too hopeful in simulation, where a narrowing hastens: more often sooner than
    later. No date is told, and no quotient of level and slope, whose denominator may be zero.
    """
    state = fitted.newest if isinstance(fitted, Fit) else fitted
    drift = fitted.parameters.slope_drift if isinstance(fitted, Fit) else Trend().slope_drift
    years = np.concatenate([WITHIN_YEARS, [0.0], _AHEAD_YEARS])[:, None]
    variance = state.level_variance + 2 * years * state.covariance + years**2 * state.slope_variance
    away = np.log(values(limit_ml_min)) - state.level - years * state.slope
    likely = values(ndtr(away / np.sqrt(variance + drift * years**3 / 3)))
    below, curve, times = likely[:3], likely[3:], years[3:, 0]
    crossings = []
    for share in SHARES:
        passed = curve >= share
        crossing = np.where(passed.any(axis=0), times[passed.argmax(axis=0)], np.inf)
        crossings.append(np.where(np.isnan(curve[0]), np.nan, crossing))
    return Horizon(below=below, crossing_years=np.stack(crossings))


def _state(fitted: Fit | State) -> State:
    return fitted.filtered if isinstance(fitted, Fit) else fitted
