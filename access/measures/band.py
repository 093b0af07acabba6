"""What is usual for one access: the band in which a pressure of its own lies while nothing changes.

A band never moves by itself, since a moving one would follow the disease. It makes no finding; the absolute limits of
a protocol are not here.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.distance import pdist
from scipy.special import stdtrit

from access.measures.readings import DynamicReading
from access.measures.units import is_above, is_below

MONTHS = (
    "January February March April May June July August September October November December"  # Not the locale's.
).split()
QN_EFFICIENCY = 0.82
# Rousseeuw & Croux 1993, from memory: what makes Qn right for normal values, in small samples by a factor of its own.
QN_NORMAL, QN_SMALL = 2.2219, {8: 0.669, 9: 0.872}


@dataclass(frozen=True, kw_only=True)
class Band:
    """Where a pressure of this access usually lies; both ends ``None`` where it cannot be called usual."""

    low: float | None
    high: float | None
    median: float
    count: int
    since: date
    note: str

    def place(self, value: float) -> Literal["below", "within", "above"] | None:
        """Where a value lies, both rounded to whole mmHg as shown; ``None`` where there is no band to ask by."""
        if self.low is None or self.high is None:
            return None
        if is_below(value, self.low, decimals=0):
            return "below"
        return "above" if is_above(value, self.high, decimals=0) else "within"


def alike(
    readings: Sequence[DynamicReading], *, gauge: int, pump_ml_min: float, since: date, within_ml_min: float = 10
) -> tuple[DynamicReading, ...]:
    """The first reading of each treatment from ``since`` on at this gauge and (within 10 mL/min) pump speed."""
    first: dict[str, DynamicReading] = {}
    for reading in sorted(readings, key=lambda one: one.at):
        near = not is_above(abs(reading.pump_ml_min - pump_ml_min), within_ml_min, decimals=0)
        if near and reading.gauge == gauge and reading.at.date() >= since:
            first.setdefault(reading.treatment, reading)
    return tuple(first.values())


def usual_band(
    values: Sequence[float],
    *,
    since: date,
    already_in_use: bool,
    beyond_limit: bool = False,
    least: int = 8,
    settled: int = 12,
    most: int = 39,
    floor_mmhg: float = 5.0,
) -> Band | None:
    """The band (mmHg) in which 99 % of this pressure's values lie while nothing changes, ``None`` below 8 values.

    Parameters
    ----------
    values : sequence of float
        One value a treatment at one gauge and pump speed, in order of bedside time (see ``alike``), mmHg.
    since : date
        First use, last intervention or first treatment recorded here, whichever is latest.
    already_in_use : bool
        True when the access was in use before its first treatment recorded here, and no intervention came since.
    beyond_limit : bool
        True when static ratio or flow was beyond the protocol's limit as the baseline began: no band then.
    least, settled, most : int
        Fewest treatments for a band; fewer than ``settled`` are called few; those after ``most`` never move it.
    floor_mmhg : float
        Least spread, since machines show pressures in coarse steps (own choice).

    Notes
    -----
    Median and the spread Qn (or the floor), widened for the number of values by Student's t, with .82 of its degrees
    of freedom since Qn uses the values that well, and by the doubt of the median (pi / 2n). The width is the project's
    own choice, checked on normal draws.

    References
    ----------
    rousseeuw-croux-1993, own-choice
    """
    first = np.asarray(values[:most], dtype=float)
    if first.size < least:
        return None
    middle = float(np.median(first))
    when = f"since {MONTHS[since.month - 1]} {since.year}"
    if beyond_limit:
        note = f"not called usual: already beyond the protocol's limit {when}; the limits speak alone"
        return Band(low=None, high=None, median=middle, count=first.size, since=since, note=note)
    spread = max(_spread(first), floor_mmhg)
    student = float(stdtrit(QN_EFFICIENCY * (first.size - 1), 0.995))
    reach = student * spread * math.sqrt(1 + math.pi / (2 * first.size))
    note = f"usual {when}" + ("; not known to be healthy" if already_in_use else "")
    note += f"; from {first.size} treatments only" if first.size < settled else ""
    return Band(low=middle - reach, high=middle + reach, median=middle, count=first.size, since=since, note=note)


def _spread(numbers: NDArray[np.float64]) -> float:
    """Qn of at least 8 numbers, in their unit: a quantile of the pairwise distances, blind to a few wild values."""
    count = numbers.size
    distances = np.sort(pdist(numbers[:, None]))
    half = count // 2 + 1
    small = QN_SMALL.get(count, count / (count + (1.4 if count % 2 else 3.8)))
    return QN_NORMAL * small * float(distances[half * (half - 1) // 2 - 1])
