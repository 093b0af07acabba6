"""What a simulated cohort holds: what was measured, what was true, and when each access truly failed.

In simulation, no patient data. It draws nothing (that is ``statistical`` and ``hydraulic``) and judges no rule.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.ndimage import maximum_filter1d

from access.measures.hydraulics import Values, values
from access.measures.units import DAYS_A_YEAR

Flags = NDArray[np.bool_]
Texts = NDArray[np.str_]
FOUR_MONTHS_YEARS = 1 / 3
# A true event is a flow below the limit or a fall by more than this within four months; a stable access stays short
# of the second number as well, so that nothing lies between the two by a hair.
EVENT_FALL, STABLE_FALL = 0.25, 0.20
OUTLIER_TIMES = (0.35, 0.65)  # What a gross error makes of a flow.


@dataclass(frozen=True, kw_only=True)
class Treatments:
    """What the lines showed at every treatment: time-major (S, N), and static ratios at some of the treatments.

    ``venous_mmhg`` and ``pre_pump_arterial_mmhg`` were read at the prescribed speed, ``standard_venous_mmhg`` at
    200 mL/min. Blood pressure, hematocrit and height of the chamber are as the clinic knows them, with their errors;
    the ratios that are called true have none.
    """

    years: Values  # (S,)
    venous_mmhg: Values
    pre_pump_arterial_mmhg: Values
    standard_venous_mmhg: Values
    mean_arterial_mmhg: Values
    pump_ml_min: Values  # (N,), as set; what it delivered differed a little each time.
    gauge: int
    hematocrit_fraction: Values  # (N,), a usual one.
    chamber_height_cm: Values  # (N,)
    static_at: NDArray[np.intp]  # (R,), the treatments with a static ratio.
    arterial_ratio: Values  # (R, N)
    venous_ratio: Values
    true_arterial_ratio: Values
    true_venous_ratio: Values

    def of(self, chosen: ArrayLike) -> "Treatments":
        """Those of some accesses only."""
        named = [name for name in self.__dataclass_fields__ if name not in _ONCE]
        return replace(self, **{name: getattr(self, name)[..., np.asarray(chosen)] for name in named})


@dataclass(frozen=True, kw_only=True)
class Cohort:
    """Accesses side by side, time-major: (T, N) at the flow measurements, (N,) where one number holds for an access.

    ``log_flow`` is log(mL/min) as measured, nan where a measurement was missed. ``true_flow_ml_min`` is the flow on a
    usual day with the pump off, ``flow_on_test_ml_min`` what a test without error reads on such a day (less, where the
    lines reversed press on a narrowing between the needles), ``true_percent`` the narrowing (% of the diameter; nan
    where none is modelled). ``began_years`` is when the access began to fail and ``event_years`` when it truly had;
    nan for neither. ``stable`` accesses never came near an event; those that narrow without one are neither.
    """

    years: Values
    log_flow: Values
    mean_arterial_mmhg: Values
    true_flow_ml_min: Values
    flow_on_test_ml_min: Values
    true_percent: Values
    stable: Flags
    began_years: Values
    event_years: Values
    sudden: Flags
    places: Texts  # none, inflow, middle, outflow
    kinds: Texts
    limit_ml_min: Values
    flow_sd: float  # From one measurement to the next, on the log scale, without the gross outliers.
    treatments: Treatments | None = None

    def __len__(self) -> int:
        return len(self.stable)

    def of(self, chosen: ArrayLike) -> "Cohort":
        """Some accesses only, by number or by mask."""
        named = [name for name in self.__dataclass_fields__ if name not in {"flow_sd", "treatments"}]
        parts = {name: getattr(self, name)[..., np.asarray(chosen)] for name in named}
        return replace(self, **parts, treatments=self.treatments and self.treatments.of(chosen))

    def true_ml_min_at(self, later_years: float) -> Values:
        """True flow so many years after each measurement, (T, N); nan beyond the end."""
        columns = range(len(self))
        found = [
            np.interp(self.years[:, n] + later_years, self.years[:, n], self.true_flow_ml_min[:, n], right=np.nan)
            for n in columns
        ]
        return np.stack(found, axis=1)

    def has_failed(self) -> Flags:
        """Whether the true event lies behind each measurement, (T, N)."""
        return np.asarray(self.years >= self.event_years)


_ONCE = {"years", "gauge", "static_at"}  # What does not differ from access to access.
Part = TypeVar("Part", Cohort, Treatments)


def side_by_side(parts: Sequence[Cohort]) -> Cohort:
    """Cohorts measured at the same times, as one."""
    joined = _joined(parts, once={"flow_sd", "treatments"})
    held = [one.treatments for one in parts if one.treatments is not None]
    return replace(joined, treatments=_joined(held, once=_ONCE)) if held else joined


def _joined(parts: Sequence[Part], *, once: set[str]) -> Part:
    names = set(parts[0].__dataclass_fields__) - once
    joined: dict[str, Any] = {
        name: np.concatenate([getattr(one, name) for one in parts], axis=-1) for name in sorted(names)
    }
    return replace(parts[0], **joined)


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """When each access truly failed (years, nan for never), and whether it never came near it."""

    event_years: Values
    steady: Flags


def outcome(
    true_flow: Callable[[Values], Values], *, years: float, limit_ml_min: ArrayLike, step_years: float
) -> Outcome:
    """Find the true events of a cohort along a fine grid of time.

    Parameters
    ----------
    true_flow : callable
        True flow (mL/min) of all accesses, (G, N), at times (G,) in years.
    years, step_years : float
        How long the cohort is watched and the step of the grid, years; an event is found up to one step late.
    limit_ml_min : array_like
        Limit of each access, mL/min.
    """
    grid = np.arange(0.0, years + step_years / 2, step_years)
    flow = true_flow(grid)
    # The window ends at the row itself and holds what lies at most four months before it.
    back = int(FOUR_MONTHS_YEARS / step_years + 1e-9)
    highest = maximum_filter1d(flow, size=back + 1, axis=0, origin=back - (back + 1) // 2, mode="nearest")
    fall, low = 1 - flow / highest, flow < values(limit_ml_min)
    failed = low | (fall > EVENT_FALL)
    when = np.where(failed.any(axis=0), grid[failed.argmax(axis=0)], np.nan)
    steady = ~low.any(axis=0) & (fall.max(axis=0) <= STABLE_FALL)
    return Outcome(event_years=when, steady=steady)


def measured_years(years: float, *, every_months: int) -> Values:
    """Times of regular measurements, on whole days, in years."""
    months = np.arange(0, round(12 * years) + 1, every_months)
    return np.asarray(np.rint(months * DAYS_A_YEAR / 12) / DAYS_A_YEAR)


def read_with_noise(
    true_ml_min: Values, *, cv: float, outlier_share: float, missed_share: float, draw: np.random.Generator
) -> Values:
    """Log flow as measured (log mL/min), with lognormal noise, gross outliers (x 0.35 to 0.65) and nan where missed."""
    shape = true_ml_min.shape
    read = np.log(true_ml_min) + cv * draw.standard_normal(shape)
    wild = draw.random(shape) < outlier_share
    read += np.where(wild, np.log(draw.uniform(*OUTLIER_TIMES, shape)), 0.0)
    read[draw.random(shape) < missed_share] = np.nan
    return read
