"""Reads the rows behind a profile: one query a table, however many patients, and plain tuples instead of models.

What was made in error is left out here, once for every computation. A treatment that is possibly the same as another
keeps only its examinations, and those count as the other treatment's, until a person says which it is: so it adds
nothing to a succession of measurements, and a sign or an emergency seen in it is never lost.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from access.records.history.sight import Sight
from access.records.models import Needle, Reading, Treatment

WITH_STATIC = Q(arterial_static_mmhg__isnull=False) | Q(venous_static_mmhg__isnull=False)


class Run(NamedTuple):
    """One treatment as far as the computation needs it; ``counts_as`` is another's id while the two may be the same."""

    id: UUID
    patient: UUID
    at: datetime
    route: str
    pump_prescribed_ml_min: float | None
    pump_reached_ml_min: float | None
    heparin: str
    venous_limit_mmhg: float | None
    counts_as: UUID
    doubtful: bool


class Stick(NamedTuple):
    """One needle's row; its columns are those of the table, in the order in which they are read."""

    id: UUID
    treatment: UUID
    access: UUID
    role: str
    segment: str
    along_cm: float | None
    gauge: int | None
    direction: str
    technique: str
    tip: str
    in_at: datetime | None
    out_at: datetime | None
    outcome: str
    bleeding_minutes: float | None

    def in_use(self, at: datetime) -> bool:
        """Whether blood ran through this needle at that moment, as far as its times and outcome tell."""
        begun = self.in_at is None or self.in_at <= at
        return self.outcome != "failed" and begun and (self.out_at is None or at < self.out_at)


class Minute(NamedTuple):
    """The pressures of one minute; its columns are those of the table, in the order in which they are read."""

    id: UUID
    treatment: UUID
    measured_at: datetime
    minute: float | None
    pump_ml_min: float | None
    pre_pump_arterial_mmhg: float | None
    venous_mmhg: float | None
    systolic_mmhg: float | None
    diastolic_mmhg: float | None
    arterial_static_mmhg: float | None
    venous_static_mmhg: float | None
    arterial_height_cm: float | None
    venous_height_cm: float | None
    height_formula: str


@dataclass(kw_only=True)
class Runs:
    """The treatments of some patients with their needles and pressures, each in order of bedside time."""

    by_id: dict[UUID, Run] = field(default_factory=dict)
    of_patient: dict[UUID, list[Run]] = field(default_factory=lambda: defaultdict(list))
    needles: dict[UUID, list[Stick]] = field(default_factory=lambda: defaultdict(list))
    pressures: dict[UUID, list[Minute]] = field(default_factory=lambda: defaultdict(list))
    needled: dict[UUID, set[UUID]] = field(default_factory=lambda: defaultdict(set))

    def accesses_of(self, treatment: UUID) -> set[UUID]:
        """Which accesses were needled in a treatment."""
        return self.needled.get(treatment, set())


def load_runs(
    patients: Collection[UUID],
    *,
    as_of: datetime,
    since: datetime | None,
    sight: Sight,
    pressures: Q | None = None,
    only_with: Q | None = None,
) -> Runs:
    """The treatments begun or saved by ``as_of`` with their needles, in three queries at most.

    ``pressures`` says which readings are read besides; ``only_with``, that a treatment without such ones is left out.
    """
    found = Runs()
    treatments = Treatment.objects.filter(sight.observed(), patient__in=patients, made_in_error=False)
    treatments = treatments.filter(~Q(state__in=["planned", "made in error"]) | Q(state="planned", version__gt=0))
    if only_with is not None:
        treatments = treatments.filter(Exists(Reading.objects.filter(only_with, treatment=OuterRef("pk"))))
    for run in _runs(treatments, as_of=as_of, since=since):
        found.by_id[run.id] = run
        found.of_patient[run.patient].append(run)
    window: dict[str, Any] = {"treatment__patient__in": patients}
    if since is not None:
        window["treatment__measured_at__gte"] = since
    _add_needles(found, window=window, only_with=only_with)
    if pressures is not None:
        _add_pressures(found, window=window, which=pressures, as_of=as_of)
    return found


def _runs(treatments: QuerySet[Treatment], *, as_of: datetime, since: datetime | None) -> Iterable[Run]:
    columns = (
        "id", "patient_id", "measured_at", "started_at", "route", "pump_prescribed_ml_min", "pump_reached_ml_min",
        "heparin", "station__venous_limit_mmhg", "possibly_same_as_id", "pairing",
    )  # fmt: skip
    if since is not None:
        treatments = treatments.filter(measured_at__gte=since)
    rows = list(treatments.filter(measured_at__lte=as_of).order_by("measured_at", "id").values_list(*columns))
    known = {row[0] for row in rows}
    for id_, patient, measured, started, route, prescribed, reached, heparin, limit, twin, pairing in rows:
        if twin in known and pairing == "same":
            continue  # Its parts were merged into the other one, which is read by itself.
        doubtful = twin in known and pairing == ""
        yield Run(
            id=id_,
            patient=patient,
            at=(started or measured).astimezone(as_of.tzinfo),
            route=route,
            pump_prescribed_ml_min=prescribed,
            pump_reached_ml_min=reached,
            heparin=heparin,
            venous_limit_mmhg=limit,
            counts_as=twin if doubtful else id_,
            doubtful=doubtful,
        )


def _add_needles(found: Runs, *, window: dict[str, Any], only_with: Q | None) -> None:
    needles = Needle.objects.filter(**window)
    if only_with is not None:
        needles = needles.filter(Exists(Reading.objects.filter(only_with, treatment=OuterRef("treatment"))))
    columns = (
        "id", "treatment_id", "access_id", "role", "segment", "along_cm", "gauge", "direction", "technique", "tip",
        "in_at", "out_at", "outcome", "bleeding_minutes",
    )  # fmt: skip
    for values in needles.order_by("in_at", "id").values_list(*columns):
        needle = Stick(*values)
        if needle.treatment in found.by_id:
            found.needles[needle.treatment].append(needle)
            found.needled[needle.treatment].add(needle.access)


def _add_pressures(found: Runs, *, window: dict[str, Any], which: Q, as_of: datetime) -> None:
    columns = (
        "id", "treatment_id", "measured_at", "minute", "pump_ml_min", "pre_pump_arterial_mmhg", "venous_mmhg",
        "systolic_mmhg", "diastolic_mmhg", "arterial_static_mmhg", "venous_static_mmhg", "arterial_height_cm",
        "venous_height_cm", "height_formula",
    )  # fmt: skip
    readings = Reading.objects.filter(which, measured_at__lte=as_of, **window).order_by("measured_at", "id")
    for values in readings.values_list(*columns):
        minute = Minute(*values)
        if minute.treatment in found.by_id:
            found.pressures[minute.treatment].append(minute)
