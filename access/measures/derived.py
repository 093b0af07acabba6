"""Pressures with the pump running, less what needle and tubing alone would read: derived ratios and their averages.

A derived ratio is read against the access's own baseline and never as an absolute: what is wrong by the same amount at
every treatment (needle, height of the chamber, the model itself) cancels only there. The published limit is a
comparator beside it. Nothing here raises anything; series and baselines are made in ``pressure_series``.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, median, stdev
from typing import Literal

from scipy.special import ndtri

from access.measures import Refused
from access.measures.needle_alone import BenchTable, NeedleAlone, needle_alone
from access.measures.pressure import derived_static_ratio
from access.measures.readings import DynamicReading
from access.measures.succession import Observation, in_order, in_succession
from access.measures.units import is_above
from access.measures.words import NeedleRole

PUBLISHED_CUT, PUBLISHED_RUN = 0.55, 3  # frinak-2002
# Variance of the median of n normal values of variance 1, n = 1 to 7; beyond, pi / 2(n + pi/2 - 1).
MEDIAN_VARIANCE = (1.0, 0.5, 0.4487, 0.2982, 0.2868, 0.2147, 0.2104)
# In simulation, no patient data: the median of the three treatments of a week errs by .085, so that one errs by .127.
WEEK_SD = 0.085
TREATMENT_SD = WEEK_SD / math.sqrt(MEDIAN_VARIANCE[2])
NORMAL_SD = 1 / float(ndtri(0.75))  # Of a normal value over its median absolute deviation.
OWN_SPREAD_FROM = 8  # Fewer values say too little of their own spread (own choice, as for the usual band).
LEAST_SPREAD = 0.05  # Machines show pressures in coarse steps: 5 mmHg, as for the usual band (own choice).
How = Literal["median", "mean"]


@dataclass(frozen=True, kw_only=True)
class Referred:
    """A reading referred to its needle: the ratio (no unit), and by which needle and table."""

    reading: DynamicReading
    ratio: float
    role: NeedleRole = "venous"
    bench: BenchTable | None = None

    @property
    def needle(self) -> NeedleAlone:
        """What was taken away."""
        return needle_alone(self.reading, role=self.role, bench=self.bench)


def referred(
    reading: DynamicReading,
    *,
    role: NeedleRole = "venous",
    bench: BenchTable | None = None,
    height_term_mmhg: float = 0.0,
) -> Referred:
    """The derived ratio of one reading (no unit): static at the venous needle, inflow ratio at the arterial one.

    Parameters
    ----------
    reading : DynamicReading
        Venous: under the three conditions of ``pressure.derived_static_ratio``. Arterial: pre-pump pressure, pump
        above 200 mL/min and mean arterial pressure above 75 mmHg.
    height_term_mmhg : float
        Added for the height of the chamber, mmHg; with the pump running it is seldom recorded, and while it stays the
        same it cancels against the baseline.

    Raises
    ------
    Refused
        When a condition does not hold or the needle's own pressure is not known.

    Notes
    -----
    (P + height term - P0) / MAP. The inflow ratio falls when the inflow narrows, and changes little with the outflow.

    References
    ----------
    frinak-2002, own-choice
    """
    alone = needle_alone(reading, role=role, bench=bench)
    taken = alone.mmhg - height_term_mmhg
    if role == "arterial":
        ratio = _inflow_ratio(reading, needle_alone_mmhg=taken)
    else:
        ratio = derived_static_ratio(reading, needle_alone_mmhg=taken, needle_alone_from=alone.source).ratio
    return Referred(reading=reading, ratio=ratio, role=role, bench=bench)


def _inflow_ratio(reading: DynamicReading, *, needle_alone_mmhg: float) -> float:
    """(Pre-pump pressure - the arterial needle's own) / MAP; pump and blood pressure as for the venous side."""
    pressure, mean_arterial = reading.pre_pump_arterial_mmhg, reading.mean_arterial_mmhg
    if pressure is None:
        raise Refused("An inflow ratio needs a pre-pump arterial pressure.", field="pre_pump_arterial_mmhg")
    if not is_above(reading.pump_ml_min, 200, decimals=0):
        raise Refused(
            f"Pump {reading.pump_ml_min:.0f} mL/min: an inflow ratio needs more than 200.", field="pump_ml_min"
        )
    if mean_arterial is None or not is_above(mean_arterial, 75, decimals=0):
        raise Refused("An inflow ratio needs a mean arterial pressure above 75 mmHg.", field="mean_arterial_mmhg")
    return (pressure - needle_alone_mmhg) / mean_arterial


@dataclass(frozen=True, kw_only=True)
class Average:
    """Median or mean of ratios with its standard error (no unit), and whose spread that is."""

    ratio: float
    standard_error: float
    count: int
    how: How
    spread_from: Literal["its own values", "simulation"]


def average(ratios: Sequence[float], *, how: How = "median", one_sd: float = TREATMENT_SD) -> Average:
    """Median or mean of the ratios of some treatments, with its standard error (no unit).

    Parameters
    ----------
    ratios : sequence of float
        One a treatment.
    how : "median" or "mean"
    one_sd : float
        Spread of a single ratio, taken for fewer than 8 values, which say too little of their own.

    Raises
    ------
    Refused
        For none.

    Notes
    -----
    From 8 values on the spread is their own: the median absolute deviation for a median, the standard deviation for a
    mean, but at least .05. The values are taken as independent; a constant error is not part of the standard error.

    References
    ----------
    simulation, own-choice, median-variance
    """
    if not ratios:
        raise Refused("There is no ratio to average.", field="ratios")
    count, own = len(ratios), len(ratios) >= OWN_SPREAD_FROM
    if how == "mean":
        middle, variance = fmean(ratios), 1 / count
        spread = stdev(ratios) if own else one_sd
    else:
        middle, variance = float(median(ratios)), median_variance(count)
        spread = median(abs(one - middle) for one in ratios) * NORMAL_SD if own else one_sd
    return Average(
        ratio=middle,
        standard_error=math.sqrt(variance) * (max(spread, LEAST_SPREAD) if own else spread),
        count=count,
        how=how,
        spread_from="its own values" if own else "simulation",
    )


def median_variance(count: int) -> float:
    """Variance of the median of so many independent normal values of variance 1."""
    if count <= len(MEDIAN_VARIANCE):
        return MEDIAN_VARIANCE[count - 1]
    return math.pi / 2 / (count + math.pi / 2 - 1)


@dataclass(frozen=True, kw_only=True)
class Comparator:
    """The published limit beside the series: the treatments at the end above it, and whether that meets the rule."""

    met: bool
    run: tuple[Observation, ...]
    sentence: str


def published_cut(ratios: Sequence[Referred], *, gap_days: float) -> Comparator:
    """Whether the derived static ratio lay above .55 in three treatments in succession; shown, never a flag.

    Parameters
    ----------
    ratios : sequence of Referred
        Of the venous needle, one a treatment.
    gap_days : float
        A longer gap ends the succession, days.

    Notes
    -----
    The limit was published for a regression of the needle's own pressure that is not shipped here, so the number
    beside it is not the one that study would have had.

    References
    ----------
    frinak-2002
    """
    observations = in_order(
        Observation(
            id=one.reading.id,
            at=one.reading.at,
            odd=is_above(one.ratio, PUBLISHED_CUT, decimals=2),
            text=f"derived static ratio {one.ratio:.2f} ({one.needle.source})",
            value=one.ratio,
        )
        for one in ratios
    )
    run = in_succession(observations, gap_days=gap_days)
    met = len(run) >= PUBLISHED_RUN
    said = f"Derived static ratio above {PUBLISHED_CUT:.2f} in {PUBLISHED_RUN} treatments in succession"
    return Comparator(met=met, run=run, sentence=f"{said} (published limit, beside the own baseline): {_said(met)}.")


def _said(met: bool) -> str:
    return "met" if met else "not met"
