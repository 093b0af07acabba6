"""Makes the operating table of the flow alarm: cuts by the rate of false flags, and what they bring.

In simulation, no patient data: cohort A, with its committed assumptions; the rows of the pressure ratios come from
``ratio_table``. The table ships as ``operating.toml`` in the
computation; the command that writes it is ``evaluate --write-table``.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import asdict, replace

from access.measures.alarm import Alarm
from access.measures.operating import FALSE_A_YEAR, Beside, RatioRow, Row, fingerprint, ratio_mark
from access.measures.trend import Trend
from access.practice.cohorts import merit, ratio_table
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.statistical import Statistical, cohort
from access.practice.cohorts.watching import Watching, watching

REFERENCE = Statistical(stable=6000)
CVS, MONTHS, SEED = (0.08, 0.10, 0.15), (1, 2, 3), 20
HEAD = """# The operating table of the flow alarm and the pressure ratios: made by `manage.py evaluate --write-table`.
#
# In simulation, no patient data. Each cut is the smallest (to two places) at which stable accesses measured every month
# have no more false flags a year than their share; other rows say what the same cut brings when measured less often.
# `parameters` marks the trend and alarm, `cohort` the simulated accesses it was made for; `ratio_parameters` and
# `ratio_cohort` those of the pressure ratios, whose delays stand by the place of the narrowing.
"""


def rows(say: Callable[[str], None] = lambda _: None) -> Iterator[Row]:
    """All rows of the table, by spread, then by how often was measured, then by series."""
    for cv in CVS:
        cuts: dict[Beside, float] = {}
        for months in MONTHS:
            say(f"Flow with a variation of {100 * cv:.0f} %, measured every {months} months ...")
            for beside in FALSE_A_YEAR:
                row = made(cv, every_months=months, beside=beside, cut=cuts.get(beside))
                cuts[beside] = row.cut
                yield row


def made(cv: float, *, every_months: int, beside: Beside, cut: float | None = None) -> Row:
    """One row; without a cut it is found for the share of false flags that the series has."""
    given = cohort(replace(REFERENCE, flow_cv=cv, every_months=every_months), seed=SEED)
    seen = watching(given, seed=SEED + 1)
    if cut is None:
        found = merit.cut_for(seen.score, years=seen.years, cohort=given, per_year=FALSE_A_YEAR[beside])
        cut = math.ceil(100 * found) / 100
    return _row(seen, cohort_=given, beside=beside, every_months=every_months, cut=cut)


def _row(seen: Watching, *, cohort_: Cohort, beside: Beside, every_months: int, cut: float) -> Row:
    flags = seen.raised(cut)
    bands = [rate.per_year for rate in merit.false_flags_by_band(flags, cohort=cohort_).values()]
    delay, sudden = merit.delay(flags, cohort=cohort_, seed=SEED), merit.sudden_falls(flags, cohort=cohort_)
    return Row(
        beside=beside,
        spread=round(cohort_.flow_sd, 3),
        interval_months=every_months,
        cut=cut,
        false_a_year=round(merit.false_flags(flags, cohort=cohort_).per_year, 3),
        false_600_800=round(bands[0], 3),
        false_800_1000=round(bands[1], 3),
        false_above_1000=round(bands[2], 3),
        asked_a_year=round(seen.asked_a_year(cohort_), 3),
        delay_days=round(delay.median_days),
        by_event=round(delay.by_event, 3),
        by_60_days=round(delay.by_60_days, 3),
        sudden_within_90_days=round(sudden.within_90_days, 3),
    )


def written(say: Callable[[str], None] = lambda _: None) -> str:
    """The whole table as the text of a TOML file."""
    marks = {
        "parameters": fingerprint(Trend(), Alarm()),
        "cohort": fingerprint(REFERENCE),
        "ratio_parameters": ratio_mark(),
        "ratio_cohort": fingerprint(ratio_table.REFERENCE),
    }
    tables = [*(_table("row", row) for row in rows(say)), *(_table("ratio", row) for row in ratio_table.rows(say))]
    return "\n".join([HEAD + "\n" + "".join(f'{name} = "{mark}"\n' for name, mark in marks.items()), *tables])


def _table(name: str, row: Row | RatioRow) -> str:
    return f"[[{name}]]\n" + "".join(f"{key} = {_toml(value)}\n" for key, value in asdict(row).items())


def _toml(value: str | float) -> str:
    return f'"{value}"' if isinstance(value, str) else repr(value)
