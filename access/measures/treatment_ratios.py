"""The derived ratio of each treatment of a long record at once: the same numbers as ``derived.referred``, worked out
side by side, since a record of years holds thousands of readings of which a few hundred count.

It averages nothing and knows no baseline; why a treatment has no ratio is said only when somebody asks.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isnan
from operator import attrgetter

import numpy as np
from numpy.typing import NDArray

from access.measures import Refused
from access.measures.derived import Referred, referred
from access.measures.hydraulics import NEEDLE_BORE_MM, REFERENCE_HEMATOCRIT, Values
from access.measures.needle_alone import BenchTable, law
from access.measures.readings import DynamicReading
from access.measures.units import is_above
from access.measures.words import NeedleRole

# The published conditions (frinak-2002): pressure only on the venous side.
PUMP_ABOVE, MEAN_ARTERIAL_ABOVE, VENOUS_ABOVE = 200, 75, 20
Flags = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Treatments:
    """One reading a treatment, in order, with its ratio, and of the other treatments the last one, which gives none."""

    role: NeedleRole
    bench: BenchTable | None
    readings: tuple[DynamicReading, ...]
    values: tuple[float, ...]  # Ratios, one a reading.
    left_out: tuple[DynamicReading, ...]

    @property
    def ratios(self) -> tuple[Referred, ...]:
        """Each reading referred to its needle."""
        pairs = zip(self.readings, self.values, strict=True)
        return tuple(Referred(reading=one, ratio=ratio, role=self.role, bench=self.bench) for one, ratio in pairs)


def of_treatments(
    readings: Sequence[DynamicReading], *, role: NeedleRole = "venous", bench: BenchTable | None = None
) -> Treatments:
    """The ratio of each treatment: its first reading from which one follows, since pressures wander later on.

    References
    ----------
    frinak-2002, venous-pressure-drift
    """
    ordered = sorted(readings, key=attrgetter("at", "id"))
    known: dict[str, tuple[int, float]] = {}
    for place, ratio in _ratios(ordered, role=role, bench=bench):
        known.setdefault(ordered[place].treatment, (place, ratio))
    without = {one.treatment: one for one in ordered if one.treatment not in known}
    return Treatments(
        role=role,
        bench=bench,
        readings=tuple([ordered[place] for place, _ in known.values()]),
        values=tuple([ratio for _, ratio in known.values()]),
        left_out=tuple(without.values()),
    )


def why_none(reading: DynamicReading, *, role: NeedleRole = "venous", bench: BenchTable | None = None) -> str:
    """Why no ratio follows from a reading, in words; nothing where one does."""
    try:
        referred(reading, role=role, bench=bench)
    except Refused as refused:
        return str(refused)
    return ""


def _ratios(
    readings: Sequence[DynamicReading], *, role: NeedleRole, bench: BenchTable | None
) -> Iterator[tuple[int, float]]:
    """Places of readings from which a ratio follows, with it: of each treatment the first, or all for a bench table,
    which may not answer for the first.
    """
    pressure = "venous_mmhg" if role == "venous" else "pre_pump_arterial_mmhg"
    pumps, means, read = (_column(readings, name) for name in ("pump_ml_min", "mean_arterial_mmhg", pressure))
    counts = _above(pumps, PUMP_ABOVE) & _above(means, MEAN_ARTERIAL_ABOVE)
    counts &= _above(read, VENOUS_ABOVE) if role == "venous" else np.isfinite(read)
    places, first = np.flatnonzero(counts).tolist(), dict[str, int]()
    if bench is None:
        for place in places:
            if (one := readings[place]).treatment not in first and one.gauge in NEEDLE_BORE_MM:
                first[one.treatment] = place
        places = list(first.values())
    alone = _alone([readings[place] for place in places], role=role, bench=bench)
    ratios = (read[places] - alone) / means[places]
    return ((place, ratio) for place, ratio in zip(places, ratios.tolist(), strict=True) if not isnan(ratio))


def _column(readings: Sequence[DynamicReading], name: str) -> Values:
    """One number of each reading; nan where it is missing."""
    return np.array(list(map(attrgetter(name), readings)), dtype=float)


def _above(numbers: Values, limit: int) -> Flags:
    """Whether each number, as shown without decimals, lies above a whole limit: only near the half it is rounded."""
    found = numbers > limit + 0.5
    for place in np.flatnonzero(np.abs(numbers - limit - 0.5) < 1e-6).tolist():
        found[place] = is_above(float(numbers[place]), limit, decimals=0)
    return np.asarray(found)


def _alone(readings: Sequence[DynamicReading], *, role: NeedleRole, bench: BenchTable | None) -> Values:
    """What the needle of each reading alone would read, mmHg; nan where the bench table does not answer."""
    if bench is not None:
        known = {(one.gauge, one.pump_ml_min) for one in readings}
        told = {each: _by_table(bench, gauge=each[0], pump=each[1], role=role) for each in known}
        return np.array([told[one.gauge, one.pump_ml_min] for one in readings], dtype=float)
    pumps = _column(readings, "pump_ml_min")
    needles = [(one.gauge or 0, one.hematocrit_fraction) for one in readings]
    laws = {
        (gauge, known): law(gauge, role, REFERENCE_HEMATOCRIT if known is None else known)
        for gauge, known in set(needles)
    }
    linear, quadratic = np.array([laws[one] for one in needles], dtype=float).reshape(-1, 2).T
    return np.asarray((linear + quadratic * pumps) * pumps * (-1 if role == "arterial" else 1))


def _by_table(bench: BenchTable, *, gauge: int | None, pump: float, role: NeedleRole) -> float:
    try:
        return bench.mmhg(pump, gauge=gauge or 0, role=role)
    except Refused:
        return float("nan")
