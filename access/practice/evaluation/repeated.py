"""A plain rule with a repeat on request: the first value beyond it is measured again at the next treatment.

The fairest plain rule to hold an alarm against, since the alarm may ask for repeats too. In simulation, no patient
data; as for the alarm, nine of ten repeats that are asked for are made.
"""

import numpy as np

from access.measures.hydraulics import Values
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts.cohort import Cohort, read_with_noise
from access.practice.cohorts.watching import OUTLIER_SHARE, REPEATED_AFTER_DAYS, SHARE_REPEATED
from access.practice.evaluation.score import Score


def repeated(score: Values, *, cohort: Cohort, seed: int) -> Score:
    """The score of a plain flow rule that flags when a value and its repeat both lie beyond its cut.

    Parameters
    ----------
    score : array_like, (T, N)
        How far each measured flow lies beyond the rule, on the log scale.
    cohort : Cohort
    seed : int
        Of the repeats.

    Returns
    -------
    Score
        (2T, N): at each measurement and at its repeat. Where a repeat was not made the next measurement stands for it.

    Notes
    -----
    The lesser of the two, so that one cut asks for the repeat and judges it: what stays below the cut at first is never
    above it later. A repeat is held against the same earlier flows as the value that it repeats.
    """
    again = read_with_noise(
        cohort.true_ml_min_at(0.0),
        cv=cohort.flow_sd,
        outlier_share=OUTLIER_SHARE,
        missed_share=1 - SHARE_REPEATED,
        draw=np.random.default_rng(seed),
    )
    both = np.full((2 * len(score), score.shape[1]), np.nan)
    both[1::2] = np.minimum(score, score + cohort.log_flow - again)
    both[2::2] = np.where(np.isnan(again[:-1]), np.minimum(score[:-1], score[1:]), np.nan)
    years = np.empty(both.shape)
    years[::2], years[1::2] = cohort.years, cohort.years + REPEATED_AFTER_DAYS / DAYS_A_YEAR
    return Score(years=years, score=both)
