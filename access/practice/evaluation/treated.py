"""Whether the level is honest again after an intervention: failing accesses that are treated, measured on.

In simulation, no patient data. That a treatment opens the flow by 45 % +/- 25 % is an assumption of the study before
the program, as is how fast the flow falls again.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from access.measures import trend
from access.measures.fieller import Z_90
from access.measures.flow_series import EXPECTED_GAIN
from access.measures.hydraulics import Values
from access.measures.series import table
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts import statistical
from access.practice.cohorts.cohort import Cohort, Flags, read_with_noise
from access.practice.cohorts.statistical import Statistical

VISITS = 6


@dataclass(frozen=True, kw_only=True)
class Treated:
    """The assumptions of the treated accesses; committed, so that a figure can be found again."""

    accesses: int = 1000
    treated_after_days: tuple[float, float] = (10.0, 90.0)  # After the true event.
    gain: float = 1.45
    gain_sd: float = 0.25
    least_gain: float = 0.8
    narrows_after_years: tuple[float, float] = (0.0, 0.5)
    halves_in_years: tuple[float, float] = (0.5, 2.0)
    acceleration: float = 1.5


@dataclass(frozen=True, kw_only=True)
class AfterTreatment:
    """Share of 90 % intervals of the level that hold the true flow, by the visit after a treatment, and how many."""

    by_visit: dict[int, float]
    from_second: float
    accesses: int


def after_treatment(used: Treated | None = None, *, seed: int) -> AfterTreatment:
    """How often the interval holds at the first six visits after a treatment, with the treatment recorded.

    Parameters
    ----------
    used : Treated, optional
    seed : int

    References
    ----------
    simulation
    """
    given = used or Treated()
    failing = statistical.cohort(Statistical(stable=0, progressing=given.accesses, sudden=0), seed=seed)
    failing = failing.of(np.isfinite(failing.event_years))
    draw = np.random.default_rng([seed, 1])
    at = failing.event_years + draw.uniform(*given.treated_after_days, len(failing)) / DAYS_A_YEAR
    true = _true_ml_min(failing, at=at, used=given, draw=draw)
    read = read_with_noise(true, cv=failing.flow_sd, outlier_share=0.02, missed_share=0.10, draw=draw)
    later = failing.years > at
    resets = later & ~np.concatenate([np.zeros((1, len(failing)), dtype=bool), later[:-1]])
    batch = table(failing.years, measured=read, variances=failing.flow_sd**2)
    fitted = trend.fit(replace(batch, resets=resets, jumps=EXPECTED_GAIN * resets, certain=np.zeros_like(resets)))
    apart = np.abs(np.log(true) - fitted.filtered.level)
    held = apart <= Z_90 * np.sqrt(fitted.filtered.level_variance)
    measured = np.isfinite(read) & later
    return _counted(held, visit=np.where(measured, np.cumsum(measured, axis=0), 0), accesses=len(failing))


def _true_ml_min(failing: Cohort, *, at: Values, used: Treated, draw: np.random.Generator) -> Values:
    """True flow (mL/min) that rises where it is treated, from what it was then, and falls again, (T, N)."""
    size = len(failing)
    log = np.log(failing.true_flow_ml_min)
    then = np.array([np.interp(at[n], failing.years[:, n], log[:, n]) for n in range(size)])
    gain = np.log(np.maximum(used.gain + used.gain_sd * draw.standard_normal(size), used.least_gain))
    begins = at + draw.uniform(*used.narrows_after_years, size)
    since = np.maximum(failing.years - begins, 0.0)
    lost = math.log(2) * (since / draw.uniform(*used.halves_in_years, size)) ** used.acceleration
    return np.asarray(np.exp(np.where(failing.years > at, then + gain - lost, log)))


def _counted(held: Flags, *, visit: NDArray[np.int_], accesses: int) -> AfterTreatment:
    after = (visit >= 2) & (visit <= VISITS)
    return AfterTreatment(
        by_visit={one: float(held[visit == one].mean()) for one in range(1, VISITS + 1)},
        from_second=float(held[after].mean()),
        accesses=accesses,
    )
