"""Cohort A: smooth true flows on the log scale, as a statistician would invent them, without any hydraulics.

In simulation, no patient data. All its numbers are assumptions, above all how fast a flow falls: no growth rate was
found in any source. What no source or study gives (spread of flows, slow wave, speed and shape of the fall) was
adjusted, over about ten settings on one seed, until plain rules and a filter came near the rates and delays of the
study before the program: that they agree is no evidence. Three groups: stable, failing slowly, losing 36 % at once.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from access.measures.hydraulics import Values
from access.practice.cohorts.cohort import Cohort, measured_years, outcome, read_with_noise


@dataclass(frozen=True, kw_only=True)
class Statistical:
    """The assumptions of cohort A; committed, so that a figure can be found again."""

    stable: int = 3000
    progressing: int = 3000
    sudden: int = 1500
    years: float = 4.0
    every_months: int = 1
    missed_share: float = 0.10
    flow_cv: float = 0.10
    mean_arterial_sd: float = 0.08  # From day to day, as a fraction.
    mean_arterial_exponent: float = 0.9  # By how much the flow follows the blood pressure, on the log scale.
    outlier_share: float = 0.02
    limit_ml_min: float = 600.0
    usual_ml_min: float = 1100.0  # The median of a truncated lognormal.
    usual_sd: float = 0.27
    least_ml_min: float = 680.0
    wander_sd: float = 0.04  # A slow wave on the log scale.
    wander_years: tuple[float, float] = (1.5, 4.0)
    begins_years: tuple[float, float] = (0.5, 2.0)
    halves_in_years: tuple[float, float] = (0.3, 1.4)
    acceleration: float = 1.5  # Power of the time since it began.
    most_lost: float = 1.6  # On the log scale.
    falls_at_years: tuple[float, float] = (1.0, 3.0)
    falls_to: float = 0.64
    step_years: float = 1 / 72


@dataclass(frozen=True, kw_only=True)
class _Drawn:
    """What was drawn for each access, (N,)."""

    level: Values
    wave: Values
    period_years: Values
    phase: Values
    began: Values  # nan for stable ones.
    halves_in: Values  # Infinite for those that do not fail slowly.
    sudden: Values  # 1 for those that fall at once.


def cohort(used: Statistical | None = None, *, seed: int) -> Cohort:
    """Cohort A, always the same for one seed and one set of assumptions.

    Parameters
    ----------
    used : Statistical, optional
    seed : int

    References
    ----------
    simulation
    """
    given = used or Statistical()
    draw = np.random.default_rng(seed)
    drawn = _draw(given, draw=draw)
    found = outcome(
        lambda at: _true_ml_min(drawn, at, used=given),
        years=given.years,
        limit_ml_min=given.limit_ml_min,
        step_years=given.step_years,
    )
    rows = measured_years(given.years, every_months=given.every_months)
    true = _true_ml_min(drawn, rows, used=given)
    pressure = given.mean_arterial_sd * draw.standard_normal(true.shape)
    that_day = true * np.exp(given.mean_arterial_exponent * pressure)
    read = read_with_noise(
        that_day, cv=given.flow_cv, outlier_share=given.outlier_share, missed_share=given.missed_share, draw=draw
    )
    size, sudden = true.shape[1], drawn.sudden > 0
    return Cohort(
        years=np.broadcast_to(rows[:, None], true.shape),
        log_flow=read,
        mean_arterial_mmhg=93.0 * np.exp(pressure),
        true_flow_ml_min=true,
        flow_on_test_ml_min=true,
        true_percent=np.broadcast_to(np.nan, true.shape),
        stable=found.steady & np.isnan(drawn.began),
        began_years=drawn.began,
        # The fall itself is the event, not the row of the grid behind it.
        event_years=np.where(sudden, np.fmin(found.event_years, drawn.began), found.event_years),
        sudden=sudden,
        places=np.full(size, "none"),
        kinds=np.full(size, "graft"),
        limit_ml_min=np.full(size, given.limit_ml_min),
        flow_sd=math.hypot(given.flow_cv, given.mean_arterial_exponent * given.mean_arterial_sd),
    )


def _draw(used: Statistical, *, draw: np.random.Generator) -> _Drawn:
    counts = (used.stable, used.progressing, used.sudden)
    stable, slow, sudden = (np.repeat(np.eye(3, dtype=bool)[group], counts) for group in range(3))
    size = sum(counts)
    middle = math.log(used.usual_ml_min)
    lowest = float(ndtr((math.log(used.least_ml_min) - middle) / used.usual_sd))
    began = np.where(slow, draw.uniform(*used.begins_years, size), draw.uniform(*used.falls_at_years, size))
    return _Drawn(
        level=middle + used.usual_sd * ndtri(draw.uniform(lowest, 1.0, size)),
        wave=math.sqrt(2) * used.wander_sd * draw.uniform(0.0, 1.5, size),
        period_years=draw.uniform(*used.wander_years, size),
        phase=draw.uniform(0.0, 2 * math.pi, size),
        began=np.where(stable, np.nan, began),
        halves_in=np.where(slow, draw.uniform(*used.halves_in_years, size), np.inf),
        sudden=sudden.astype(float),
    )


def _true_ml_min(drawn: _Drawn, years: Values, *, used: Statistical) -> Values:
    """True flow (mL/min) at times (G,), (G, N): a level with a slow wave, less what was lost since it began."""
    at = years[:, None]
    since = np.maximum(np.nan_to_num(at - drawn.began, nan=0.0), 0.0)
    lost = np.minimum(math.log(2) * (since / drawn.halves_in) ** used.acceleration, used.most_lost)
    lost = lost - math.log(used.falls_to) * drawn.sudden * (at >= drawn.began)
    wave = drawn.wave * np.sin(2 * math.pi * at / drawn.period_years + drawn.phase)
    return np.asarray(np.exp(drawn.level + wave - lost))
