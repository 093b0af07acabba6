"""Plain rules over a cohort at once, to hold an alarm against: the guideline's as written, and others with a cut.

Each gives a score, time-major, that flags above its cut; nan where nothing was measured. The program's own rules of
one access are in ``access.measures.rules``; the first of these agrees with it access by access.
"""

import numpy as np

from access.measures import Refused, protocol
from access.measures.hydraulics import Values
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts.cohort import Cohort, Treatments

BASELINE_FLOWS, BASELINE_TREATMENTS = 6, 39
EWMA_WEIGHT, EWMA_CLIP = 0.3, 0.3
AS_WRITTEN = 0.0  # The cut at which the rule of the guideline is the one that is printed.
HALF = 0.5  # Numbers are compared as shown, whole: below 600 is below 599.5.


def two_point(cohort: Cohort) -> Values:
    """The guideline's rule of 2000 as a score (T, N): how far below its limit, or below a fall of 25 %, log scale.

    Notes
    -----
    Below the limit of the access; or below 1000 and fallen by more than 25 % from the highest flow within the four
    months before. Above 0 the rule is met as written; a higher cut asks for more.

    References
    ----------
    kdoqi-2000
    """
    held = protocol.load("kdoqi-2000")
    least_fall = (held.number("flow.fall-percent") + HALF) / 100
    flow = cohort.log_flow
    below = np.log(cohort.limit_ml_min - HALF) - flow
    fallen = _highest_before(cohort, within_days=held.number("flow.fall-days")) + np.log1p(-least_fall) - flow
    counts = flow < np.log(held.number("flow.fall-from") - HALF)
    return np.asarray(np.where(counts, np.fmax(below, fallen), below))


def below_limit(cohort: Cohort) -> Values:
    """How far each flow lies below the limit of its access, log scale, (T, N)."""
    return np.asarray(np.log(cohort.limit_ml_min - HALF) - cohort.log_flow)


def in_a_row(score: Values, *, times: int) -> Values:
    """The least of the newest ``times`` scores, so that it flags when all of them do; a missed one is passed over."""
    least, earlier = score, score
    for _ in range(times - 1):
        earlier = _newest_before(earlier, measured=np.isfinite(score))
        least = np.minimum(least, earlier)
    return least


def smoothed_against_baseline(cohort: Cohort) -> Values:
    """How far a running mean of log flow (weight 0.3, steps clipped) lies below the access's own baseline, (T, N).

    The baseline is the median of the first six measurements; there is no score before the seventh.
    """
    flow = cohort.log_flow
    measured = np.isfinite(flow)
    order = np.cumsum(measured, axis=0)
    baseline = np.nanmedian(np.where(measured & (order <= BASELINE_FLOWS), flow, np.nan), axis=0)
    level, score = baseline.copy(), np.full(flow.shape, np.nan)
    for row in range(len(flow)):
        counts = measured[row] & (order[row] > BASELINE_FLOWS)
        step = EWMA_WEIGHT * np.clip(flow[row] - level, -EWMA_CLIP, EWMA_CLIP)
        level = np.where(counts, level + np.where(counts, step, 0.0), level)
        score[row] = np.where(counts, baseline - level, np.nan)
    return score


def venous_against_baseline(cohort: Cohort, *, standard: bool = False) -> Values:
    """By how much (mmHg) three venous pressures in a row all lie above the median of the first 39, (S, N)."""
    pressure = _venous(cohort, standard=standard)
    score = in_a_row(pressure - np.median(pressure[:BASELINE_TREATMENTS], axis=0), times=3)
    score[:BASELINE_TREATMENTS] = np.nan
    return score


def venous_alone(cohort: Cohort, *, standard: bool = False) -> Values:
    """The least (mmHg) of three venous pressures in a row, for a cut that is the same for all accesses, (S, N)."""
    return in_a_row(_venous(cohort, standard=standard), times=3)


def _venous(cohort: Cohort, *, standard: bool) -> Values:
    held = treatments_of(cohort)
    return held.standard_venous_mmhg if standard else held.venous_mmhg


def treatments_of(cohort: Cohort) -> Treatments:
    """The treatments of a cohort, refused where it has none."""
    if cohort.treatments is None:
        raise Refused("This cohort has flows only: no pressure was read.", field="treatments")
    return cohort.treatments


def _newest_before(score: Values, *, measured: np.typing.NDArray[np.bool_]) -> Values:
    """At each row the score of the newest measured row before it; nan before the first."""
    rows = np.arange(len(score))[:, None]
    newest = np.maximum.accumulate(np.where(measured, rows, -1), axis=0)
    before = np.concatenate([np.full((1, score.shape[1]), -1), newest[:-1]])
    return np.asarray(np.where(before >= 0, np.take_along_axis(score, np.maximum(before, 0), axis=0), np.nan))


def _highest_before(cohort: Cohort, *, within_days: float) -> Values:
    """The highest log flow among the measurements at most so many days before each row; nan where there is none."""
    days = np.rint(cohort.years * DAYS_A_YEAR)
    highest = np.full(days.shape, np.nan)
    for back in range(1, len(days)):
        near = days[back:] - days[:-back] <= within_days
        if not near.any():
            break
        highest[back:] = np.fmax(highest[back:], np.where(near, cohort.log_flow[:-back], np.nan))
    return highest
