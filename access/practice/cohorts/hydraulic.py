"""Cohort B: narrowings that grow in the hydraulic model, and what flow tests, gauges and chambers show of them.

In simulation, no patient data; how the accesses are made is in ``narrowings``. How much a venous pressure wanders
within a treatment is set so that a ratio derived from it varies by .131 from treatment to treatment, as in the study.
An access has one narrowing at most, is never treated and never clots.
"""

import math
from dataclasses import replace

import numpy as np

from access.measures.circuit import Access, Conditions, Needle, arterial_needle, solve, venous_needle
from access.measures.hydraulics import Values, values
from access.measures.pressure import HEIGHT_TERMS
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts.cohort import (
    Cohort,
    Texts,
    Treatments,
    outcome,
    read_with_noise,
    side_by_side,
)
from access.practice.cohorts.narrowings import (
    CENTRAL_VENOUS_MMHG,
    PLACES,
    Accesses,
    Hydraulic,
    access_of,
    drawn,
    on_test_ml_min,
    percent_at,
    usual_flow_ml_min,
)

__all__ = ["PLACES", "Hydraulic", "cohort"]

STANDARD_ML_MIN, GAUGE = 200.0, 15
# By how much the flow follows the blood pressure in the model, on the log scale: .90 (fistula) to .94 (graft).
MEAN_ARTERIAL_EXPONENT = 0.92
TOGETHER = 64  # Accesses solved at once: their numbers stay in the cache and the memory small.


def cohort(used: Hydraulic | None = None, *, seed: int) -> Cohort:
    """Cohort B, always the same for one seed and one set of assumptions.

    Parameters
    ----------
    used : Hydraulic, optional
    seed : int

    Notes
    -----
    The flow is measured as drawn: with the lines reversed at 300 mL/min. Solved in blocks of accesses.

    References
    ----------
    simulation
    """
    given = used or Hydraulic()
    accesses = drawn(given, draw=np.random.default_rng(seed))
    blocks = [slice(start, start + TOGETHER) for start in range(0, given.accesses, TOGETHER)]
    streams = np.random.SeedSequence([seed, 1]).spawn(len(blocks))
    parts = [
        _block(accesses.of(block), used=given, draw=np.random.default_rng(stream))
        for block, stream in zip(blocks, streams, strict=True)
    ]
    return side_by_side(parts)


def _treatment_years(years: float) -> Values:
    """Three treatments a week, in years: the same three days of each week."""
    weeks = np.arange(math.ceil(years * DAYS_A_YEAR / 7))
    days = (7 * weeks[:, None] + np.array([0, 2, 4])).ravel()
    return values(days[days <= years * DAYS_A_YEAR] / DAYS_A_YEAR)


def _block(some: Accesses, *, used: Hydraulic, draw: np.random.Generator) -> Cohort:
    """The cohort of a few accesses: their treatments, their flow tests and what was true."""
    years = _treatment_years(used.years)
    access = access_of(some, percent_at(some, years, used=used))
    days = _conditions(some, rows=len(years), used=used, draw=draw)
    treatments = _treatments(some, access, days, years=years, used=used, draw=draw)
    tested = np.arange(0, len(years), used.flow_every_treatments)
    found = outcome(
        lambda at: usual_flow_ml_min(some, at, used=used),
        years=used.years,
        limit_ml_min=(limit := _limits(some.kinds, used=used)),
        step_years=7 / DAYS_A_YEAR,
    )
    percent, slow = percent_at(some, years[tested], used=used), some.slow > 0
    that_day = on_test_ml_min(
        some,
        percent,
        mean_arterial=values(days.mean_arterial_mmhg)[tested],
        hematocrit=values(days.hematocrit_fraction)[tested],
    )
    return Cohort(
        years=np.repeat(years[tested, None], len(some.kinds), axis=1),
        log_flow=read_with_noise(
            that_day, cv=used.flow_cv, outlier_share=used.outlier_share, missed_share=used.missed_share, draw=draw
        ),
        mean_arterial_mmhg=treatments.mean_arterial_mmhg[tested],
        true_flow_ml_min=usual_flow_ml_min(some, years[tested], used=used),
        flow_on_test_ml_min=on_test_ml_min(some, percent, mean_arterial=some.mean_arterial, hematocrit=some.hematocrit),
        true_percent=percent,
        stable=found.steady & slow,
        began_years=np.where(slow, np.nan, some.began),
        event_years=found.event_years,
        sudden=np.zeros(len(some.kinds), dtype=bool),
        places=np.where(percent[-1] > 0, some.places, "none"),
        kinds=some.kinds,
        limit_ml_min=limit,
        flow_sd=math.hypot(used.flow_cv, MEAN_ARTERIAL_EXPONENT * used.mean_arterial_sd),
        treatments=treatments,
    )


def _limits(kinds: Texts, *, used: Hydraulic) -> Values:
    return np.where(kinds == "graft", used.graft_limit_ml_min, used.fistula_limit_ml_min)


def _conditions(some: Accesses, *, rows: int, used: Hydraulic, draw: np.random.Generator) -> Conditions:
    """Patient, pump and needles at each treatment, (S, n), as they were."""
    shape = (rows, len(some.kinds))
    lot = np.arange(rows) * used.lots // rows
    pressure = some.mean_arterial * np.exp(used.mean_arterial_sd * draw.standard_normal(shape))
    arterial, venous = (
        Needle(bore_mm=values(one.bore_mm) * some.bore_factor[lot], loss=values(one.loss) * some.loss_factor[lot])
        for one in (arterial_needle(GAUGE), venous_needle(GAUGE))
    )
    return Conditions(
        mean_arterial_mmhg=np.clip(pressure, 55.0, 150.0),
        central_venous_mmhg=CENTRAL_VENOUS_MMHG,
        hematocrit_fraction=np.clip(some.hematocrit + used.hematocrit_sd * draw.standard_normal(shape), 0.2, 0.5),
        pump_ml_min=some.pump * (1 + used.pump_sd * draw.standard_normal(shape)),
        arterial=arterial,
        venous=venous,
        chamber_height_cm=some.height,
    )


def _treatments(
    some: Accesses,
    access: Access,
    days: Conditions,
    *,
    years: Values,
    used: Hydraulic,
    draw: np.random.Generator,
) -> Treatments:
    """What chambers, cuff and static readings showed, with their errors."""
    running = solve(access, conditions=days)
    standard = solve(
        access, conditions=replace(days, pump_ml_min=values(days.pump_ml_min) * STANDARD_ML_MIN / some.pump)
    )
    shape, static_at = running.venous_mmhg.shape, np.arange(0, len(years), used.static_every_treatments)
    cuff = values(days.mean_arterial_mmhg) * np.exp(used.cuff_sd * draw.standard_normal(shape))
    term = HEIGHT_TERMS["hydrostatic"][1] * some.height_known

    def drifted(true_mmhg: Values, sd_mmhg: float) -> Values:
        return true_mmhg + sd_mmhg * draw.standard_normal(true_mmhg.shape)

    def ratio(static_mmhg: Values) -> Values:
        return (drifted(static_mmhg[static_at], used.static_drift_mmhg) + term) / cuff[static_at]

    def true_ratio(static_mmhg: Values) -> Values:
        inside = static_mmhg[static_at] + HEIGHT_TERMS["hydrostatic"][1] * some.height
        return np.asarray(inside / values(days.mean_arterial_mmhg)[static_at])

    return Treatments(
        years=years,
        venous_mmhg=drifted(running.venous_mmhg, used.venous_drift_mmhg),
        pre_pump_arterial_mmhg=drifted(running.pre_pump_arterial_mmhg, used.pre_pump_drift_mmhg),
        standard_venous_mmhg=drifted(standard.venous_mmhg, used.venous_drift_mmhg),
        mean_arterial_mmhg=cuff,
        pump_ml_min=some.pump,
        gauge=GAUGE,
        hematocrit_fraction=some.hematocrit,
        chamber_height_cm=some.height_known,
        static_at=static_at,
        arterial_ratio=ratio(running.static_arterial_mmhg),
        venous_ratio=ratio(running.static_venous_mmhg),
        true_arterial_ratio=true_ratio(running.static_arterial_mmhg),
        true_venous_ratio=true_ratio(running.static_venous_mmhg),
    )
