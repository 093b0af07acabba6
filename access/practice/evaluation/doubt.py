"""Whether the flow trend's own doubt is honest: its probabilities against what was true, its intervals by stretch.

In simulation, no patient data. What is true of a flow here is what a test without error would have read on a usual day.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts import honesty
from access.practice.cohorts.cohort import Cohort, side_by_side
from access.practice.cohorts.honesty import Bin
from access.practice.evaluation.score import Stated, Trial

# How long after its true event an access is looked at; an access that failed is seldom watched for long untreated.
STRETCHES: dict[str, float] = {
    "up to the event": 0.0,
    "up to 60 days after it": 60.0,
    "up to 180 days after it": 180.0,
    "all the years": math.inf,
}


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """How honest the trend's doubt is in one cohort (its seed), or in all together ("all").

    ``stable`` and ``failing`` are the shares of 90 % intervals of the level that hold the true flow, the latter by
    stretch of time; ``brier`` and ``reliability`` belong to P(below the limit) at each measurement.
    """

    seed: str
    brier: float
    base_rate: float
    reliability: tuple[Bin, ...]
    stable: float
    failing: dict[str, float]


def doubts(trials: Sequence[Trial]) -> tuple[Doubt, ...]:
    """Each cohort, and all of them together as the last."""
    single = [_doubt(trial.flow.stated, cohort=trial.outcome, seed=str(trial.seed)) for trial in trials]
    names = Stated.__dataclass_fields__
    joined = Stated(
        **{name: np.concatenate([getattr(trial.flow.stated, name) for trial in trials], axis=1) for name in names}
    )
    return (*single, _doubt(joined, cohort=side_by_side([trial.outcome for trial in trials]), seed="all"))


def _doubt(stated: Stated, *, cohort: Cohort, seed: str) -> Doubt:
    low = cohort.flow_on_test_ml_min < cohort.limit_ml_min
    known = np.isfinite(stated.below)
    whole = honesty.coverage(stated.low_ml_min, high_ml_min=stated.high_ml_min, cohort=cohort)
    return Doubt(
        seed=seed,
        brier=honesty.brier(stated.below, happened=low),
        base_rate=float(low[known].mean()),
        reliability=honesty.reliability(stated.below, happened=low),
        stable=whole.stable,
        failing={name: _failing(stated, cohort=cohort, days=days) for name, days in STRETCHES.items()},
    )


def _failing(stated: Stated, *, cohort: Cohort, days: float) -> float:
    """Coverage in failing accesses up to so many days after their event."""
    within = cohort.years <= cohort.event_years + days / DAYS_A_YEAR
    low = np.where(within, stated.low_ml_min, np.nan)
    return honesty.coverage(low, high_ml_min=stated.high_ml_min, cohort=cohort).failing
