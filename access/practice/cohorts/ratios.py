"""The pressure ratios of a cohort and their baselines, for all accesses at once, as the program makes them of one.

In simulation, no patient data. The score itself is that of ``departure``; that both ways of making series and baselines
give the same numbers is held by a test.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import median_abs_deviation

from access.measures.departure import RISES, departed
from access.measures.derived import LEAST_SPREAD, OWN_SPREAD_FROM, TREATMENT_SD, median_variance
from access.measures.hydraulics import ARTERIAL_LOSS, VENOUS_LOSS, Values, bore_mm, needle
from access.measures.pressure_baseline import RUNNING, STATIC, STATIC_SD, Span
from access.measures.pressure_series import Quantity
from access.measures.series import Batch, table
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.merit import Raised, raised
from access.practice.cohorts.plain import treatments_of

A_WEEK = 3  # Treatments.
LEAST_MMHG, LEAST_MEAN_ARTERIAL_MMHG = 20.5, 75.5  # From here a number is shown as above 20, or 75.


@dataclass(frozen=True, kw_only=True)
class Ratios:
    """One ratio of all accesses, with the baseline that each row is held against and its standard error, (T, N)."""

    years: Values
    batch: Batch
    baseline: Values
    baseline_sd: Values


def static(cohort: Cohort) -> Ratios:
    """The static ratio of the venous needle, one row a reading."""
    held = treatments_of(cohort)
    at = held.years[held.static_at]
    days = np.rint((at - at[0]) * DAYS_A_YEAR)
    most = max(STATIC.most, int((days <= STATIC.days).sum()))
    before = np.arange(len(at))
    level, sd = _baselines(held.venous_ratio, before=before, span=STATIC, most=most)
    batch = table(at, measured=held.venous_ratio, variances=STATIC_SD**2)
    return Ratios(years=batch.years, batch=batch, baseline=level, baseline_sd=sd)


def derived(cohort: Cohort) -> Ratios:
    """The derived static ratio by the hydraulic model, one row a week."""
    held = treatments_of(cohort)
    alone = needle(bore_mm(held.gauge), loss=VENOUS_LOSS, hematocrit_fraction=held.hematocrit_fraction)
    known = held.venous_mmhg >= LEAST_MMHG
    return _weekly(cohort, ratio=np.where(known, held.venous_mmhg - alone.mmhg(held.pump_ml_min), np.nan))


def inflow(cohort: Cohort) -> Ratios:
    """The inflow ratio by the hydraulic model, one row a week."""
    held = treatments_of(cohort)
    alone = needle(bore_mm(held.gauge), loss=ARTERIAL_LOSS, hematocrit_fraction=held.hematocrit_fraction)
    return _weekly(cohort, ratio=held.pre_pump_arterial_mmhg + alone.mmhg(held.pump_ml_min))


def _weekly(cohort: Cohort, *, ratio: Values) -> Ratios:
    """A row a week, from the pressure (mmHg) of each treatment less that of its needle."""
    held = treatments_of(cohort)
    mean_arterial = np.where(held.mean_arterial_mmhg >= LEAST_MEAN_ARTERIAL_MMHG, held.mean_arterial_mmhg, np.nan)
    ratio = ratio / mean_arterial
    weeks = len(ratio) // A_WEEK
    by_week = ratio[: A_WEEK * weeks].reshape(weeks, A_WEEK, -1)
    counts = np.isfinite(by_week).sum(axis=1)
    variances = np.array([np.inf, *(median_variance(count) * TREATMENT_SD**2 for count in range(1, A_WEEK + 1))])
    level, sd = _baselines(ratio, before=A_WEEK * np.arange(weeks), span=RUNNING, most=RUNNING.most)
    # A row bears the time of its last treatment with a ratio.
    last = np.where(np.isfinite(by_week), np.arange(A_WEEK)[:, None], 0).max(axis=1)
    at = held.years[A_WEEK * np.arange(weeks)[:, None] + last]
    batch = table(at, measured=_middle(by_week, axis=1), variances=variances[counts])
    return Ratios(years=at, batch=batch, baseline=level, baseline_sd=sd)


def _baselines(ratios: Values, *, before: NDArray[np.intp], span: Span, most: int) -> tuple[Values, Values]:
    """Level and standard error by the first values of those before each row, (T, N); nan where they are too few."""
    order = np.cumsum(np.isfinite(ratios), axis=0)
    first = np.where(order <= most, ratios, np.nan)
    level, sd = (np.full((len(before), ratios.shape[1]), np.nan) for _ in range(2))
    counted = np.zeros(ratios.shape[1], dtype=int)
    for row, end in enumerate(before):
        now = np.minimum(order[end - 1], most) if end else counted
        if row:
            level[row], sd[row] = level[row - 1], sd[row - 1]
        new = (now > counted) & (now >= span.least)
        if new.any():
            level[row, new], sd[row, new] = _median_with_error(first[:end, new], count=now[new], span=span)
        counted = now
    return level, sd


def _median_with_error(ratios: Values, *, count: NDArray[np.int_], span: Span) -> tuple[Values, Values]:
    own = np.maximum(median_abs_deviation(ratios, axis=0, scale="normal", nan_policy="omit"), LEAST_SPREAD)
    spread = np.where(count >= OWN_SPREAD_FROM, own, span.one_sd)
    of_median = np.sqrt([median_variance(int(one)) for one in count])
    return _middle(ratios, axis=0), spread * of_median


def _middle(ratios: Values, *, axis: int) -> Values:
    """The median of what is there; nan, without a warning, where nothing is."""
    there = np.sort(ratios, axis=axis)  # What is not there stands last.
    count = np.isfinite(ratios).sum(axis=axis, keepdims=True)
    low, high = np.maximum(count - 1, 0) // 2, count // 2
    low, high = (np.minimum(one, ratios.shape[axis] - 1) for one in (low, high))
    pair = np.take_along_axis(there, low, axis=axis) + np.take_along_axis(there, high, axis=axis)
    return np.asarray(np.where(count > 0, pair / 2, np.nan).squeeze(axis))


MADE: dict[Quantity, Callable[[Cohort], Ratios]] = {
    "static ratio": static,
    "derived static ratio": derived,
    "inflow ratio": inflow,
}


@dataclass(frozen=True, kw_only=True)
class Scored:
    """P(a ratio has left its baseline by more than the margin) at each of its rows, (T, N), at times in years.

    Infinite where a reading lay so far beyond that it is asked about without a score.
    """

    years: Values
    score: Values

    def raised(self, cut: float) -> Raised:
        """Flags for a cut of the score."""
        return raised(self.score, years=self.years, cut=cut)


def scored(cohort: Cohort, *, quantity: Quantity) -> Scored:
    """The score of one ratio over a cohort, as the program computes it of one access.

    References
    ----------
    simulation
    """
    made = MADE[quantity](cohort)
    found = departed(made.batch, baseline=made.baseline, baseline_sd=made.baseline_sd, rises=RISES[quantity])
    return Scored(years=made.years, score=np.where(found.asked, np.inf, found.score))
