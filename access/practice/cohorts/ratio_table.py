"""Makes the rows of the operating table for pressure ratios: cuts by the rate of false flags, and what they bring.

In simulation, no patient data: cohort B, with its committed assumptions, but static readings that err as much as their
series takes them to. ``operating_table`` writes them.
"""

import math
from collections.abc import Callable, Iterator

import numpy as np

from access.measures.operating import FALSE_A_YEAR_BY_RATIO, RatioRow
from access.measures.pressure_series import Quantity
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts import merit
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.hydraulic import Hydraulic, cohort
from access.practice.cohorts.ratios import Scored, scored

# 5 mmHg beside the error of the cuff make one static reading err by .055, which its series assumes.
REFERENCE, SEED = Hydraulic(accesses=4000, static_drift_mmhg=5.0), 20


def rows(say: Callable[[str], None] = lambda _: None) -> Iterator[RatioRow]:
    """One row a ratio."""
    given = cohort(REFERENCE, seed=SEED)
    for quantity in FALSE_A_YEAR_BY_RATIO:
        say(f"{quantity.capitalize()} ...")
        yield made(given, quantity=quantity)


def made(given: Cohort, *, quantity: Quantity) -> RatioRow:
    """The row of one ratio: its cut is found for the share of false flags that it has."""
    seen = scored(given, quantity=quantity)
    share = FALSE_A_YEAR_BY_RATIO[quantity]
    found = merit.cut_for(seen.score, years=seen.years, cohort=given, per_year=share)
    return _row(seen, given=given, quantity=quantity, cut=math.ceil(100 * found) / 100)


def _row(seen: Scored, *, given: Cohort, quantity: Quantity, cut: float) -> RatioRow:
    flags = seen.raised(cut)
    inflow, middle, outflow = (
        merit.delay(flags, cohort=given, seed=SEED, among=given.places == place)
        for place in ("inflow", "middle", "outflow")
    )
    return RatioRow(
        ratio=quantity,
        interval_days=round(float(np.median(np.diff(seen.years, axis=0))) * DAYS_A_YEAR),
        cut=cut,
        false_a_year=round(merit.false_flags(flags, cohort=given).per_year, 3),
        inflow_delay_days=_days(inflow),
        inflow_by_event=round(inflow.by_event, 3),
        inflow_by_60_days=round(inflow.by_60_days, 3),
        middle_delay_days=_days(middle),
        middle_by_event=round(middle.by_event, 3),
        middle_by_60_days=round(middle.by_60_days, 3),
        outflow_delay_days=_days(outflow),
        outflow_by_event=round(outflow.by_event, 3),
        outflow_by_60_days=round(outflow.by_60_days, 3),
    )


def _days(delay: merit.Delay) -> float:
    """Whole days; infinite where fewer than half were ever flagged."""
    return float(round(delay.median_days)) if math.isfinite(delay.median_days) else math.inf
