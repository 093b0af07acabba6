"""The flow alarm of the program over a cohort, with a clinic that repeats what it is asked to repeat.

In simulation, no patient data. That nine of ten doubted flows are repeated at the next treatment is an assumption.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from access.measures.alarm import Alarm, Watched, watch
from access.measures.hydraulics import Values
from access.measures.series import table
from access.measures.trend import Trend
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts.cohort import Cohort, read_with_noise
from access.practice.cohorts.merit import Raised, onsets, raised

REPEATED_AFTER_DAYS = 7 / 3  # The next of three treatments a week.
SHARE_REPEATED = 0.9
OUTLIER_SHARE = 0.02


@dataclass(frozen=True, kw_only=True)
class Watching:
    """The alarm at each measurement and at each repeat that was asked for, (2T, N), with the times of both, years."""

    years: Values
    watched: Watched

    @property
    def score(self) -> Values:
        """The score; infinite where the alarm speaks without it: low again, or not repeated in time."""
        return np.where(self.watched.low_again | self.watched.overdue, np.inf, self.watched.score)

    def raised(self, cut: float) -> Raised:
        """Flags for a cut of the score."""
        return raised(self.score, years=self.years, cut=cut)

    def asked_a_year(self, cohort: Cohort) -> float:
        """How often a stable access is asked to be measured again, a year."""
        asked = onsets(Raised(years=self.years, flags=self.watched.asked), refractory_days=0)[:, cohort.stable]
        return float(asked.sum() / np.sum(cohort.years[-1, cohort.stable] - cohort.years[0, cohort.stable]))


def watching(
    cohort: Cohort,
    *,
    seed: int,
    alarm: Alarm | None = None,
    parameters: Trend | None = None,
    log_flow: ArrayLike | None = None,
    flow_sd: float | None = None,
) -> Watching:
    """The alarm over a cohort's flows.

    Parameters
    ----------
    cohort : Cohort
    seed : int
        Of the repeats.
    alarm : Alarm, optional
    parameters : Trend, optional
    log_flow : array_like, (T, N), optional
        Other measurements than the cohort's own, say adjusted to the blood pressure, with their ``flow_sd``.
    """
    draw = np.random.default_rng(seed)
    read = np.asarray(cohort.log_flow if log_flow is None else log_flow, dtype=float)
    sd = cohort.flow_sd if flow_sd is None else flow_sd
    again = read_with_noise(
        cohort.true_ml_min_at(0.0),
        cv=sd,
        outlier_share=OUTLIER_SHARE,
        missed_share=1 - SHARE_REPEATED,
        draw=draw,
    )
    rows = 2 * len(read)
    years, measured = np.empty((rows, read.shape[1])), np.empty((rows, read.shape[1]))
    years[::2], years[1::2] = cohort.years, cohort.years + REPEATED_AFTER_DAYS / DAYS_A_YEAR
    measured[::2], measured[1::2] = read, again
    watched = watch(
        table(years, measured=measured, variances=sd**2),
        limit_ml_min=cohort.limit_ml_min,
        on_request=np.arange(rows) % 2 == 1,
        alarm=alarm,
        parameters=parameters,
    )
    return Watching(years=years, watched=watched)
