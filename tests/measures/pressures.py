"""Invented line pressures of one access, three treatments a week, read off the circuit model; for the tests beside it.

Noise is drawn with a fixed seed; no number here is of a patient.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from access.measures.circuit import HEALTHY, Conditions, Solution, arterial_needle, solve, venous_needle
from access.measures.readings import AccessProfile, DynamicReading
from tests.measures.histories import an_access, at

MEAN_ARTERIAL_MMHG = 93.0


def a_reading(
    day: float,
    *,
    venous: float | None = 180.0,
    pre_pump: float | None = None,
    pump: float = 300,
    gauge: int | None = 15,
    minute: float = 30,
    mean_arterial: float | None = MEAN_ARTERIAL_MMHG,
) -> DynamicReading:
    """A reading at the usual pump speed; the treatment is named by its day."""
    return DynamicReading(
        id=f"reading {day} {minute:g}",
        treatment=f"treatment {day}",
        at=at(day) + timedelta(minutes=minute),
        minute=minute,
        pump_ml_min=pump,
        venous_mmhg=venous,
        pre_pump_arterial_mmhg=pre_pump,
        gauge=gauge,
        mean_arterial_mmhg=mean_arterial,
    )


def days_of(weeks: int, *, since: int = 0) -> list[int]:
    """Monday, Wednesday and Friday of so many weeks; day 0 is a Monday."""
    return [since + 7 * week + day for week in range(weeks) for day in (0, 2, 4)]


def solved(*, pump: float, gauge: int, place: str = "outflow_percent", percent: float = 0.0) -> Solution:
    """The graft of the model at a pump speed, with one narrowing."""
    graft = replace(HEALTHY["graft"], **{place: percent})
    conditions = Conditions(
        mean_arterial_mmhg=MEAN_ARTERIAL_MMHG,
        pump_ml_min=pump,
        arterial=arterial_needle(gauge),
        venous=venous_needle(gauge),
    )
    return solve(graft, conditions=conditions)


def lived(
    percents: Sequence[float],
    *,
    place: str = "outflow_percent",
    pump: float = 300,
    gauge: int = 15,
    since: int = 0,
    noise_mmhg: float = 0.0,
    seed: int = 1,
) -> AccessProfile:
    """An access that narrows week by week at one place, read three times a week."""
    drawn = np.random.default_rng(seed).normal(0, noise_mmhg, size=(len(percents), 3, 2))
    readings = []
    for week, percent in enumerate(percents):
        true = solved(pump=pump, gauge=gauge, place=place, percent=percent)
        for number, day in enumerate(days_of(1, since=since + 7 * week)):
            venous, pre_pump = drawn[week, number]
            readings.append(
                a_reading(
                    day,
                    venous=float(true.venous_mmhg) + venous,
                    pre_pump=float(true.pre_pump_arterial_mmhg) + pre_pump,
                    pump=pump,
                    gauge=gauge,
                )
            )
    return replace(an_access(), dynamics=tuple(readings))
