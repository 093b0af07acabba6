"""Flows, recirculations, doses and hematocrits as readings: what was measured beside the treatment itself.

A value that is still awaited, a recirculation whose method was not valid, and what hangs on a treatment made in error
or possibly entered twice are left out. Nothing is computed here; results were worked out when they were entered.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Q

from access.measures.pressure import mean_arterial_mmhg
from access.measures.readings import DoseReading, FlowReading, RecirculationReading
from access.records.history.rows import Runs
from access.records.history.sight import Sight
from access.records.models import DoseResult, FlowMeasurement, LabValue, Prescription, RecirculationTest, VascularAccess

# Nobody has to say what two treatments are once the other one was made in error.
_NO_TWIN = Q(treatment__possibly_same_as__isnull=True) | Q(treatment__possibly_same_as__made_in_error=True)
# The row stands alone, hangs on a treatment that is neither in error nor possibly another one entered twice, or on one
# that was joined into another, of which it is then.
SOUND = (
    Q(treatment__isnull=True)
    | (
        Q(treatment__made_in_error=False)
        & ~Q(treatment__state="made in error")
        & (_NO_TWIN | ~Q(treatment__pairing=""))
    )
    | Q(treatment__pairing="same", treatment__possibly_same_as__made_in_error=False)
)
# A recirculation drawn in a treatment by another route gets no verdict.
BY_TWO_NEEDLES = Q(treatment__isnull=True) | Q(treatment__route="two needles")


def mean_of(systolic_mmhg: float | None, diastolic_mmhg: float | None) -> float | None:
    """Mean arterial pressure (mmHg) of a cuff reading, or None where a part is missing or cannot be."""
    if systolic_mmhg is None or diastolic_mmhg is None or not systolic_mmhg > diastolic_mmhg > 0:
        return None
    return mean_arterial_mmhg(systolic_mmhg, diastolic=diastolic_mmhg)


def flows(ids: Collection[UUID], *, as_of: datetime, sight: Sight) -> dict[UUID, list[FlowReading]]:
    """Access flows by access, in order of bedside time."""
    rows = FlowMeasurement.objects.filter(
        SOUND, sight.observed(), access__in=ids, made_in_error=False, flow_ml_min__isnull=False, measured_at__lte=as_of
    )
    columns = (
        "id", "access_id", "measured_at", "method", "flow_ml_min", "low_ml_min", "high_ml_min", "comparable",
        "systolic_mmhg", "diastolic_mmhg",
    )  # fmt: skip
    found: dict[UUID, list[FlowReading]] = defaultdict(list)
    for id_, access, at, method, flow, low, high, comparable, systolic, diastolic in rows.order_by(
        "measured_at", "id"
    ).values_list(*columns):
        found[access].append(
            FlowReading(
                id=str(id_),
                at=at.astimezone(as_of.tzinfo),
                method=method,
                ml_min=float(flow or 0.0),
                low_ml_min=low,
                high_ml_min=high,
                mean_arterial_mmhg=mean_of(systolic, diastolic),
                comparable=comparable,
            )
        )
    return found


def recirculations(ids: Collection[UUID], *, as_of: datetime, sight: Sight) -> dict[UUID, list[RecirculationReading]]:
    """Recirculations that were valid as a method, at a treatment with two needles, in order of bedside time."""
    rows = RecirculationTest.objects.filter(
        SOUND, BY_TWO_NEEDLES, sight.observed(), access__in=ids, made_in_error=False, measured_at__lte=as_of,
        pump_ml_min__isnull=False,
    )  # fmt: skip
    found: dict[UUID, list[RecirculationReading]] = defaultdict(list)
    for id_, access, at, result, lines, pump in rows.order_by("measured_at", "id").values_list(
        "id", "access_id", "measured_at", "result", "lines", "pump_ml_min"
    ):
        if not result.get("valid") or result.get("percent") is None:
            continue
        found[access].append(
            RecirculationReading(
                id=str(id_),
                at=at.astimezone(as_of.tzinfo),
                percent=result["percent"],
                low_percent=result.get("low_percent"),
                high_percent=result.get("high_percent"),
                probability_above_limit=result.get("probability_above_limit"),
                lines=lines,  # type: ignore[arg-type]
                pump_ml_min=float(pump or 0.0),
            )
        )
    return found


def doses(
    accesses: Iterable[VascularAccess], *, runs: Runs, as_of: datetime, sight: Sight
) -> dict[UUID, list[DoseReading]]:
    """Monthly doses by access: those of treatments needled there, and those tied to no treatment."""
    listed = list(accesses)
    patients = {one.patient_id for one in listed}
    orders = _orders(patients, sight=sight)
    rows = DoseResult.objects.filter(
        SOUND, sight.observed(), patient__in=patients, made_in_error=False, measured_at__lte=as_of
    )
    columns = (
        "id", "patient_id", "treatment_id", "treatment__pairing", "treatment__possibly_same_as_id", "measured_at",
        "kt_v", "hours", "pump_ml_min", "dialysate_flow_ml_min", "dialyzer",
    )  # fmt: skip
    read: dict[UUID, list[tuple[set[UUID], DoseReading]]] = defaultdict(list)
    ordered_rows = rows.order_by("measured_at", "id").values_list(*columns)
    for id_, patient, named, pairing, twin, measured_at, kt_v, *given in ordered_rows:
        at, treatment = measured_at.astimezone(as_of.tzinfo), twin if pairing == "same" else named
        ordered = orders.get(patient, ([], []))
        text = in_force_on(ordered, day=at.date()) or order_text(*given)
        needled = set() if treatment is None else runs.accesses_of(treatment)
        read[patient].append((needled, DoseReading(id=str(id_), at=at, kt_v=kt_v, prescription=text)))
    return {
        one.pk: [dose for needled, dose in read.get(one.patient_id, ()) if not needled or one.pk in needled]
        for one in listed
    }


def order_text(hours: float, pump: float | None, dialysate: float | None, dialyzer: str) -> str:
    """One text for what a dose was reached on, so that an unchanged prescription reads the same."""
    pump_text = f"pump {pump:g} mL/min" if pump else ""
    dialysate_text = f"dialysate {dialysate:g} mL/min" if dialysate else ""
    return ", ".join(part for part in (f"{hours:g} h", pump_text, dialysate_text, dialyzer) if part)


def in_force_on(ordered: tuple[list[Any], list[str]], *, day: Any) -> str:
    """The newest of these dated texts that had begun by a day, or an empty text."""
    days, texts = ordered
    at = bisect_right(days, day)
    return texts[at - 1] if at else ""


def _orders(patients: Collection[UUID], *, sight: Sight) -> dict[UUID, tuple[list[Any], list[str]]]:
    rows = Prescription.objects.filter(sight.dated(), patient__in=patients, made_in_error=False)
    found: dict[UUID, tuple[list[Any], list[str]]] = defaultdict(lambda: ([], []))
    for patient, since, hours, pump, dialysate, dialyzer in rows.order_by("since", "id").values_list(
        "patient_id", "since", "hours", "pump_ml_min", "dialysate_flow_ml_min", "dialyzer"
    ):
        days, texts = found[patient]
        days.append(since)
        texts.append(order_text(hours, pump, dialysate, dialyzer))
    return found


def hematocrits(
    patients: Collection[UUID], *, as_of: datetime, sight: Sight
) -> dict[UUID, tuple[list[datetime], list[float]]]:
    """Hematocrits (fraction) by patient with their times, in order."""
    rows = LabValue.objects.filter(
        sight.observed(), patient__in=patients, what="hematocrit", made_in_error=False, measured_at__lte=as_of
    )
    found: dict[UUID, tuple[list[datetime], list[float]]] = defaultdict(lambda: ([], []))
    for patient, at, value, unit in rows.order_by("measured_at", "id").values_list(
        "patient_id", "measured_at", "value", "unit"
    ):
        times, values = found[patient]
        times.append(at)
        values.append(value / 100 if unit == "%" else value)
    return found
