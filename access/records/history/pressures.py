"""Static ratios and line pressures of accesses, from the minutes of their treatments.

Only a treatment with two needles, both in this access, gives any: a one-needle or mixed treatment does not show what
these numbers mean. A static pressure without its height, its formula or a blood pressure at the same time gives no
ratio. Which value is beyond a limit is for the rules.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from datetime import datetime, tzinfo
from uuid import UUID

from access.measures import Refused
from access.measures.pressure import static_ratio
from access.measures.readings import DynamicReading, RatioReading
from access.measures.words import NeedleRole
from access.records.history.measured import mean_of
from access.records.history.rows import Minute, Run, Runs, Stick
from access.records.models import VascularAccess

Hematocrits = dict[UUID, tuple[list[datetime], list[float]]]


def of_accesses(
    accesses: Iterable[VascularAccess], *, runs: Runs, hematocrits: Hematocrits, zone: tzinfo | None
) -> tuple[dict[UUID, list[RatioReading]], dict[UUID, list[DynamicReading]]]:
    """The ratios and the running pressures of each access, in order of bedside time."""
    ratios: dict[UUID, list[RatioReading]] = {}
    dynamics: dict[UUID, list[DynamicReading]] = {}
    for access in accesses:
        mine_ratios, mine_dynamics = ratios.setdefault(access.pk, []), dynamics.setdefault(access.pk, [])
        for run in runs.of_patient.get(access.patient_id, ()):
            if run.doubtful or run.route != "two needles" or runs.accesses_of(run.id) != {access.pk}:
                continue
            minutes, needles = runs.pressures.get(run.id, ()), runs.needles.get(run.id, [])
            means = {minute.measured_at: mean for minute in minutes if (mean := _mean(minute)) is not None}
            times = hematocrits.get(run.patient)
            for minute in minutes:
                mean = means.get(minute.measured_at)
                at = minute.measured_at.astimezone(zone)
                mine_ratios.extend(_ratios(minute, at=at, mean=mean))
                mine_dynamics.extend(_running(minute, at=at, run=run, needles=needles, mean=mean, hematocrits=times))
        mine_ratios.sort(key=lambda row: (row.at, row.id, row.role))
        mine_dynamics.sort(key=lambda row: (row.at, row.id))
    return ratios, dynamics


def gauge_in_use(needles: Iterable[Stick], *, role: NeedleRole, at: datetime) -> int | None:
    """The gauge of the needle of this role through which blood ran at a moment; the one put in last counts."""
    used = [needle for needle in needles if needle.role == role and needle.in_use(at)]
    return used[-1].gauge if used else None


def _mean(minute: Minute) -> float | None:
    return mean_of(minute.systolic_mmhg, minute.diastolic_mmhg)


def _ratios(minute: Minute, *, at: datetime, mean: float | None) -> Iterator[RatioReading]:
    sites: tuple[tuple[NeedleRole, float | None, float | None], ...] = (
        ("arterial", minute.arterial_static_mmhg, minute.arterial_height_cm),
        ("venous", minute.venous_static_mmhg, minute.venous_height_cm),
    )
    for role, pressure, height in sites:
        if pressure is None or height is None or mean is None or not minute.height_formula:
            continue
        try:
            found = static_ratio(
                pressure,
                height_cm=height,
                mean_arterial_mmhg=mean,
                formula=minute.height_formula,  # type: ignore[arg-type]  # An unknown one is refused.
            )
        except Refused:
            continue  # The blood pressure lies outside what a ratio may be worked out from.
        yield RatioReading(id=str(minute.id), at=at, role=role, ratio=found.ratio, formula=found.formula)


def _running(
    minute: Minute,
    *,
    at: datetime,
    run: Run,
    needles: list[Stick],
    mean: float | None,
    hematocrits: tuple[list[datetime], list[float]] | None,
) -> Iterator[DynamicReading]:
    if not minute.pump_ml_min or (minute.venous_mmhg is None and minute.pre_pump_arterial_mmhg is None):
        return
    into = (minute.measured_at - run.at).total_seconds() / 60 if minute.minute is None else minute.minute
    yield DynamicReading(
        id=str(minute.id),
        treatment=str(run.id),
        at=at,
        minute=into,
        pump_ml_min=minute.pump_ml_min,
        venous_mmhg=minute.venous_mmhg,
        pre_pump_arterial_mmhg=minute.pre_pump_arterial_mmhg,
        gauge=gauge_in_use(needles, role="venous", at=at),
        mean_arterial_mmhg=mean,
        hematocrit_fraction=_latest(hematocrits, at=at),
        venous_limit_mmhg=run.venous_limit_mmhg,
        venous_height_cm=minute.venous_height_cm,
        height_formula=minute.height_formula or None,  # type: ignore[arg-type]  # The database holds it to the words.
    )


def _latest(series: tuple[list[datetime], list[float]] | None, *, at: datetime) -> float | None:
    if series is None:
        return None
    times, values = series
    before = bisect_right(times, at)
    return values[before - 1] if before else None
