"""Small cohorts for the tests beside this file: made by hand, and drawn once for all of them."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from access.measures.hydraulics import Values
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts import hydraulic, statistical
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.hydraulic import Hydraulic
from access.practice.cohorts.statistical import Statistical

SMALL_A = Statistical(stable=1000, progressing=600, sudden=300)
SMALL_B = Hydraulic(accesses=256)


@cache
def a_cohort() -> Cohort:
    """A small cohort A."""
    return statistical.cohort(SMALL_A, seed=3)


@cache
def b_cohort() -> Cohort:
    """A small cohort B."""
    return hydraulic.cohort(SMALL_B, seed=3)


def by_hand(days: Sequence[float], flows: Sequence[Sequence[float]], *, limit_ml_min: float = 600.0) -> Cohort:
    """Stable grafts of 1000 mL/min, measured on these days: one row of ``flows`` an access, nan for missed."""
    measured = np.array(flows, dtype=float).T
    size, none = measured.shape[1], np.full(measured.shape[1], np.nan)
    years: Values = np.array(days, dtype=float) / DAYS_A_YEAR
    true = np.full(measured.shape, 1000.0)
    return Cohort(
        years=np.repeat(years[:, None], size, axis=1),
        log_flow=np.log(measured),
        mean_arterial_mmhg=np.full(measured.shape, 93.0),
        true_flow_ml_min=true,
        flow_on_test_ml_min=true,
        true_percent=np.full(measured.shape, np.nan),
        stable=np.ones(size, dtype=bool),
        began_years=none,
        event_years=none,
        sudden=np.zeros(size, dtype=bool),
        places=np.full(size, "none"),
        kinds=np.full(size, "graft"),
        limit_ml_min=np.full(size, limit_ml_min),
        flow_sd=0.12,
    )


def failed(cohort: Cohort, *, began_day: float, event_days: Sequence[float]) -> Cohort:
    """The same accesses, failing since a day, with their events on these days."""
    size = len(cohort)
    return replace(
        cohort,
        stable=np.zeros(size, dtype=bool),
        began_years=np.full(size, began_day / DAYS_A_YEAR),
        event_years=np.array(event_days, dtype=float) / DAYS_A_YEAR,
    )
