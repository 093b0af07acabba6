"""Access flows as the trend takes them: log flow with the doubt of its method, anew where the vessel was changed.

A flow whose doubt is not known cannot be weighed and is left out, and so is flow of blood water. It judges nothing.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from access.measures.alarm import Alarm
from access.measures.fieller import Z_90
from access.measures.hydraulics import Values
from access.measures.readings import AccessProfile, EventReading, FlowReading
from access.measures.series import Series, series
from access.measures.succession import LONGEST_TREATMENT, one_an_occasion
from access.measures.units import DAYS_A_YEAR
from access.measures.words import CHANGES_THE_VESSEL

# What a flow differs by from day to day: .142 between sessions less .077 within one (ndt-2005), as squares.
DAY_TO_DAY = math.sqrt(0.142**2 - 0.077**2)
WITHIN_ONE_TEST = frozenset({"urea, lines reversed"})  # Their interval knows nothing of the day.
EXPECTED_GAIN = 0.3  # Mean of the jump of log flow where a narrowed access was treated (simulation).
GAINS = CHANGES_THE_VESSEL - {"ligation"}
# Exponent of blood pressure in flow, from the model; shown beside the flow as measured and never gating by itself.
PRESSURE_EXPONENT = 0.9


@dataclass(frozen=True, kw_only=True)
class FlowSeries:
    """Flows as a series, the reading of each row, by when its repeat is due (years before ``as_of``), and the rest."""

    series: Series
    readings: tuple[FlowReading, ...]
    due_years: Values
    left_out: tuple[FlowReading, ...]
    as_of: datetime

    def years(self, at: datetime) -> float:
        """A time on the scale of the series: years from ``as_of``, negative before."""
        return (at - self.as_of).total_seconds() / 86400 / DAYS_A_YEAR


def flow_series(profile: AccessProfile, *, as_of: datetime, adjusted: bool = False) -> FlowSeries:
    """The flows of an access as a series of log flow, log(mL/min).

    Parameters
    ----------
    profile : AccessProfile
        With all flows and events, also those before the vessel was changed.
    as_of : datetime
        Later readings do not exist yet; it is the zero of the years.
    adjusted : bool
        Flow at the access's own median blood pressure instead of flow as measured; a reading without a blood pressure
        stands as measured.

    Notes
    -----
    One flow an occasion, the last one: a reading repeated at once is no second measurement. Readings of the day of an
    event that changes the vessel may come from before it and are left out. The variance is that of the interval of
    the method; a urea test's interval holds no day-to-day part, so that is added.

    References
    ----------
    ndt-2005, pressure-flow-1999, simulation
    """
    changed = sorted({one.on for one in profile.events if one.what in CHANGES_THE_VESSEL and one.on <= as_of.date()})
    known = [one for one in profile.flows if one.at <= as_of and one.comparable and one.at.date() not in changed]
    # Weighed first: a reading of unknown doubt must not take the place of one of known doubt at the same occasion.
    chosen = one_an_occasion(one for one in known if spread(one) is not None)
    pressures = [one.mean_arterial_mmhg for one in chosen if one.mean_arterial_mmhg is not None]
    middle = float(np.median(pressures)) if adjusted and pressures else None
    zero = FlowSeries(series=_EMPTY, readings=(), due_years=np.empty(0), left_out=(), as_of=as_of)
    resets, treated = _resets([one.at.date() for one in chosen], changed=changed), _treated(profile)
    rows = series(
        [zero.years(one.at) for one in chosen],
        measured=[_log(one, middle=middle) for one in chosen],
        variances=[(spread(one) or math.nan) ** 2 for one in chosen],
        resets=[bool(one) for one in resets],
        jumps=[_expected(days, events=profile.events) for days in resets],
    )
    return FlowSeries(
        series=rows,
        readings=tuple(chosen),
        due_years=np.array([_due_years(one, treated=treated, scale=zero) for one in chosen]),
        left_out=tuple(one for one in profile.flows if one.at <= as_of and spread(one) is None),
        as_of=as_of,
    )


_EMPTY = series([], measured=[], variances=[])


def spread(reading: FlowReading) -> float | None:
    """Standard deviation of a log flow from one usual day to the next, or None where the doubt is not known."""
    if reading.low_ml_min is None:
        return None
    if reading.high_ml_min is None:
        half = math.log(reading.ml_min / reading.low_ml_min)
    else:
        half = math.log(reading.high_ml_min / reading.low_ml_min) / 2
    own = max(half, 1e-6) / Z_90
    return math.hypot(own, DAY_TO_DAY) if reading.method in WITHIN_ONE_TEST else own


def _log(reading: FlowReading, *, middle: float | None) -> float:
    if middle is None or reading.mean_arterial_mmhg is None:
        return math.log(reading.ml_min)
    return math.log(reading.ml_min) - PRESSURE_EXPONENT * math.log(reading.mean_arterial_mmhg / middle)


def _resets(days: Sequence[date], *, changed: Sequence[date]) -> list[tuple[date, ...]]:
    """For each measurement, the days since the one before on which the vessel was changed."""
    return [tuple(one for one in changed if row and days[row - 1] < one < day) for row, day in enumerate(days)]


def _expected(days: Sequence[date], *, events: Sequence[EventReading]) -> float:
    """The jump of log flow to expect: a treated narrowing opens the access, however often it was treated since."""
    treated = any(one.on in days and one.what in GAINS for one in events)
    return EXPECTED_GAIN if treated else 0.0


def _due_years(reading: FlowReading, *, treated: Sequence[datetime] | None, scale: FlowSeries) -> float:
    """By when the repeat of a doubted flow is due: the later of 7 days and the second treatment after it.

    ``treated`` are the times of the treatments in order, or None where none was ever recorded.
    """
    by_days = scale.years(reading.at) + Alarm().repeat_days / DAYS_A_YEAR
    if treated is None:
        return by_days
    second = bisect_right(treated, reading.at + LONGEST_TREATMENT / 2) + 1
    return max(by_days, scale.years(treated[second])) if second < len(treated) else math.inf


def _treated(profile: AccessProfile) -> list[datetime] | None:
    if not profile.treatments:
        return None
    return sorted(one.at for one in profile.treatments if one.route != "not dialysed")
