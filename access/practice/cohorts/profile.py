"""One access of a cohort as the rules take it: what was read up to a time, in the words of the readings.

So the program's own rules can be run over a cohort, one access after the other. It computes no finding.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import cast, get_args

import numpy as np

from access.measures.readings import (
    AccessProfile,
    DynamicReading,
    FlowReading,
    RatioReading,
    TreatmentReading,
)
from access.measures.units import DAYS_A_YEAR
from access.measures.words import Configuration, Kind, NeedleRole
from access.practice.cohorts.cohort import Cohort, Treatments
from access.practice.cohorts.hydraulic import STANDARD_ML_MIN

START = datetime(2020, 1, 6, 8, 0, tzinfo=UTC)  # A Monday; an invented day, on which every cohort begins.
Z_90 = 1.645
USUAL: dict[Kind, Configuration] = {"graft": "forearm loop graft", "fistula": "radiocephalic"}
# Minutes into the treatment at which each thing is read.
STANDARD_AT, STATIC_AT, FLOW_AT, RUNNING_AT = 3, 10, 30, 60


def moment(years: float) -> datetime:
    """The moment so many years after the start of a cohort, on the whole day."""
    return START + timedelta(days=round(years * DAYS_A_YEAR))


def years_of(at: datetime) -> float:
    """Years from the start of a cohort to a moment."""
    return (at - START) / timedelta(days=DAYS_A_YEAR)


def profile_of(cohort: Cohort, index: int, *, until: datetime) -> AccessProfile:
    """What had been read of one access up to a moment; missed flows are absent.

    Parameters
    ----------
    cohort : Cohort
    index : int
        Which access.
    until : datetime
        Later readings do not exist yet.
    """
    kind = _kind(str(cohort.kinds[index]))
    held = None if cohort.treatments is None else cohort.treatments.of([index])
    return AccessProfile(
        access=f"simulated {index}",
        kind=kind,
        configuration=USUAL[kind],
        side="left",
        first_needled_on=START.date(),
        needled_to_cm=20.0,
        flows=tuple(one for one in _flows(cohort, index) if one.at <= until),
        treatments=tuple(one for one in _treatments(held) if one.at <= until),
        ratios=tuple(one for one in _ratios(held) if one.at <= until),
        dynamics=tuple(one for one in _dynamics(held) if one.at <= until),
    )


def _kind(word: str) -> Kind:
    if word not in get_args(Kind):
        raise LookupError(f"A simulated access is a fistula or a graft, not “{word}”.")
    return cast(Kind, word)


def _flows(cohort: Cohort, index: int) -> Iterator[FlowReading]:
    wide = float(np.exp(Z_90 * cohort.flow_sd))
    for row in np.flatnonzero(np.isfinite(cohort.log_flow[:, index])):
        ml_min = float(np.exp(cohort.log_flow[row, index]))
        yield FlowReading(
            id=f"flow {row}",
            at=moment(float(cohort.years[row, index])) + timedelta(minutes=FLOW_AT),
            method="ultrasound dilution",
            ml_min=ml_min,
            low_ml_min=ml_min / wide,
            high_ml_min=ml_min * wide,
            mean_arterial_mmhg=float(cohort.mean_arterial_mmhg[row, index]),
        )


def _treatments(held: Treatments | None) -> Iterator[TreatmentReading]:
    for row, years in enumerate([] if held is None else held.years):
        yield TreatmentReading(id=f"treatment {row}", at=moment(float(years)), route="two needles")


def _ratios(held: Treatments | None) -> Iterator[RatioReading]:
    if held is None:
        return
    roles: tuple[tuple[NeedleRole, np.typing.NDArray[np.float64]], ...] = (
        ("arterial", held.arterial_ratio),
        ("venous", held.venous_ratio),
    )
    for place, row in enumerate(held.static_at):
        at = moment(float(held.years[row])) + timedelta(minutes=STATIC_AT)
        for role, ratio in roles:
            yield RatioReading(
                id=f"{role} {row}", at=at, role=role, ratio=float(ratio[place, 0]), formula="hydrostatic"
            )


def _dynamics(held: Treatments | None) -> Iterator[DynamicReading]:
    """At each treatment the standardized reading, then one at the prescribed speed."""
    if held is None:
        return
    for row, years in enumerate(held.years):
        yield _dynamic(held, row, minute=STANDARD_AT, pump=STANDARD_ML_MIN, at=moment(float(years)))
        yield _dynamic(held, row, minute=RUNNING_AT, pump=float(held.pump_ml_min[0]), at=moment(float(years)))


def _dynamic(held: Treatments, row: int, *, minute: int, pump: float, at: datetime) -> DynamicReading:
    standard = minute == STANDARD_AT
    venous = held.standard_venous_mmhg if standard else held.venous_mmhg
    return DynamicReading(
        id=f"dynamic {row} {minute}",
        treatment=f"treatment {row}",
        at=at + timedelta(minutes=minute),
        minute=minute,
        pump_ml_min=pump,
        venous_mmhg=float(venous[row, 0]),
        # Before the pump it was read at the prescribed speed only.
        pre_pump_arterial_mmhg=None if standard else float(held.pre_pump_arterial_mmhg[row, 0]),
        gauge=held.gauge,
        mean_arterial_mmhg=float(held.mean_arterial_mmhg[row, 0]),
        hematocrit_fraction=float(held.hematocrit_fraction[0]),
    )
