"""One simulated cohort under trial, and the scores that rules give its accesses: worked out once, used by many.

In simulation, no patient data. Which cut a score is held against is for ``contenders``.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from access.measures.alarm import Watched
from access.measures.fieller import Z_90
from access.measures.flow_series import PRESSURE_EXPONENT
from access.measures.hydraulics import Values
from access.measures.pressure_series import Quantity
from access.practice.cohorts import merit, plain, ratios
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.merit import Raised
from access.practice.cohorts.watching import watching

OF_NORMAL = 1.4826  # A median absolute deviation times this is the standard deviation of a normal spread.


@dataclass(frozen=True, kw_only=True)
class Score:
    """A score that flags above a cut, (T, N), at times in years, (T,) or (T, N)."""

    years: Values
    score: Values

    def raised(self, cut: float) -> Raised:
        """Flags for a cut."""
        return merit.raised(self.score, years=self.years, cut=cut)

    def cut_for(self, per_year: float, *, cohort: Cohort) -> float:
        """The cut with at most so many false flags a stable access-year."""
        return merit.cut_for(self.score, years=self.years, cohort=cohort, per_year=per_year)


@dataclass(frozen=True, kw_only=True)
class Stated:
    """What the flow trend stated at each measurement, (T, N): the 90 % interval (mL/min) and P(below the limit)."""

    low_ml_min: Values
    high_ml_min: Values
    below: Values


@dataclass(frozen=True, kw_only=True)
class Flow:
    """The flow alarm over a cohort: its score, what it stated, and how often a stable access is asked about a year."""

    score: Score
    stated: Stated
    asked_a_year: float


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One cohort, the seed it was drawn by, and the scores of its accesses."""

    name: str
    cohort: Cohort
    seed: int

    @cached_property
    def flow(self) -> Flow:
        """The flow alarm with flow as measured."""
        seen = watching(self.cohort, seed=self.seed)
        return Flow(
            score=Score(years=seen.years, score=seen.score),
            stated=_stated(seen.watched),
            asked_a_year=seen.asked_a_year(self.cohort),
        )

    @cached_property
    def adjusted(self) -> Score:
        """The flow alarm with flow at the access's usual blood pressure, which is shown beside and does not decide."""
        seen = watching(self.cohort, seed=self.seed, log_flow=_adjusted(self.cohort), flow_sd=self.adjusted_sd)
        return Score(years=seen.years, score=seen.score)

    @cached_property
    def adjusted_sd(self) -> float:
        """How much an adjusted log flow varies between measurements, by the differences of stable accesses."""
        apart = np.diff(_adjusted(self.cohort)[:, self.cohort.stable], axis=0)
        return float(OF_NORMAL * np.nanmedian(np.abs(apart)) / np.sqrt(2))

    def ratio(self, quantity: Quantity) -> Score:
        """The departure of a pressure ratio from its baseline."""
        return self._ratios[quantity]

    @cached_property
    def _ratios(self) -> dict[Quantity, Score]:
        found = {quantity: ratios.scored(self.cohort, quantity=quantity) for quantity in ratios.MADE}
        return {quantity: Score(years=one.years, score=one.score) for quantity, one in found.items()}

    @cached_property
    def limit_twice(self) -> Score:
        """The plain rule that others are held against: the limit passed twice in a row."""
        return Score(years=self.cohort.years, score=plain.in_a_row(plain.below_limit(self.cohort), times=2))

    @cached_property
    def outcome(self) -> Cohort:
        """The cohort without its treatments: all that figures of merit need."""
        return replace(self.cohort, treatments=None)


def _stated(watched: Watched) -> Stated:
    """What was stated at the regular measurements, which are every second row."""
    level, half = watched.state.level[::2], Z_90 * np.sqrt(watched.state.level_variance[::2])
    return Stated(low_ml_min=np.exp(level - half), high_ml_min=np.exp(level + half), below=watched.below[::2])


def _adjusted(cohort: Cohort) -> Values:
    """Log flow at the access's own median blood pressure; the median of all years, which the program knows later."""
    pressure = cohort.mean_arterial_mmhg
    return np.asarray(cohort.log_flow - PRESSURE_EXPONENT * np.log(pressure / np.median(pressure, axis=0)))
