"""What is known of accesses, as the computation takes it: ``AccessProfile`` for one or for many at once.

The number of queries does not grow with the accesses, nor with their rows. What cannot be computed honestly (a ratio
without its height, a pressure of a mixed treatment) is left out, never guessed. It judges nothing.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Q

from access.measures.readings import (
    AccessProfile,
    EventReading,
    ExaminationReading,
    Puncture,
    TreatmentReading,
    ZoneReading,
)
from access.records.history import measured, pressures
from access.records.history.bench import points_for
from access.records.history.rows import WITH_STATIC, Run, Runs, load_runs
from access.records.history.sight import SEES_ALL, Sight
from access.records.models import Event, Examination, VascularAccess, Zone

SERIES = frozenset(
    {
        "treatments", "examinations", "punctures", "flows", "ratios", "dynamics", "recirculations", "doses", "events",
        "zones",
    }
)  # fmt: skip


def profile(access: VascularAccess, *, as_of: datetime, sight: Sight = SEES_ALL) -> AccessProfile:
    """All that is known of one access at a moment."""
    return profiles([access], as_of=as_of, sight=sight)[access.pk]


def profiles(
    accesses: Iterable[VascularAccess],
    *,
    as_of: datetime,
    sight: Sight = SEES_ALL,
    since: datetime | None = None,
    series: Collection[str] = SERIES,
) -> dict[UUID, AccessProfile]:
    """All that is known of these accesses, in a number of queries that does not grow with them.

    Parameters
    ----------
    accesses : iterable of VascularAccess
    as_of : datetime
        Nothing measured later is read. All times carry its zone, so that days are those of the clinic.
    sight : Sight
        How far the clinic that asks sees; judging sees all.
    since : datetime, optional
        Treatments before it are not read; measurements, events and zones always are.
    series : collection of str
        Which series are wanted; the others stay empty.
    """
    listed = list(accesses)
    ids, patients = [one.pk for one in listed], {one.patient_id for one in listed}
    clock = sight.clock(as_of)
    wanted = frozenset(series)
    runs = _runs_for(wanted, patients=patients, as_of=clock, since=since, sight=sight)
    found: dict[str, dict[UUID, list[Any]]] = {name: {} for name in SERIES}
    if "examinations" in wanted:
        found["examinations"] = _examinations(ids, runs=runs, as_of=clock, since=since, sight=sight)
    for name, load in (("flows", measured.flows), ("recirculations", measured.recirculations)):
        if name in wanted:
            found[name] = load(ids, as_of=clock, sight=sight)
    if "doses" in wanted:
        found["doses"] = measured.doses(listed, runs=runs, as_of=clock, sight=sight)
    if "events" in wanted:
        found["events"] = _events(ids, as_of=clock, sight=sight)
    if "zones" in wanted:
        found["zones"] = _zones(ids, as_of=clock, sight=sight)
    if wanted & {"ratios", "dynamics"}:
        hematocrits = measured.hematocrits(patients, as_of=clock, sight=sight) if "dynamics" in wanted else {}
        found["ratios"], found["dynamics"] = pressures.of_accesses(
            listed, runs=runs, hematocrits=hematocrits, zone=as_of.tzinfo
        )
    tables = points_for(patients, as_of=clock) if "dynamics" in wanted else {}
    return {
        one.pk: replace(_assembled(one, runs=runs, found=found, wanted=wanted), bench=tables.get(one.patient_id, ()))
        for one in listed
    }


def _runs_for(
    wanted: frozenset[str], *, patients: set[UUID], as_of: datetime, since: datetime | None, sight: Sight
) -> Runs:
    by_themselves = {"flows", "recirculations", "events", "zones"}
    if wanted <= by_themselves:
        return Runs()
    which = Q() if "dynamics" in wanted else WITH_STATIC if "ratios" in wanted else None
    # For ratios alone, a year of treatments need not be read for the few with a static pressure.
    only = WITH_STATIC if wanted <= {*by_themselves, "ratios"} else None
    return load_runs(patients, as_of=as_of, since=since, sight=sight, pressures=which, only_with=only)


def _assembled(
    access: VascularAccess, *, runs: Runs, found: dict[str, dict[UUID, list[Any]]], wanted: frozenset[str]
) -> AccessProfile:
    mine = [run for run in runs.of_patient.get(access.patient_id, ()) if _concerns(run, access=access, runs=runs)]
    rows = {name: tuple(found[name].get(access.pk, ())) for name in SERIES - {"treatments", "punctures"}}
    return AccessProfile(
        access=str(access.pk),
        kind=access.kind,  # type: ignore[arg-type]  # The database holds it to the words.
        configuration=access.configuration,  # type: ignore[arg-type]
        side=access.side,  # type: ignore[arg-type]
        created_on=access.created_on,
        first_needled_on=access.first_needled_on,
        needled_from_cm=access.needled_from_cm,
        needled_to_cm=access.needled_to_cm,
        depth_cm=access.depth_cm,
        diameter_cm=access.diameter_cm,
        treatments=_treatments(mine) if "treatments" in wanted else (),
        punctures=_punctures(access, mine=mine, runs=runs) if "punctures" in wanted else (),
        **rows,
    )


def _concerns(run: Run, *, access: VascularAccess, runs: Runs) -> bool:
    """Whether a treatment is one of this access: not one needled elsewhere only, nor one before it was created."""
    if access.created_on is not None and run.at.date() < access.created_on:
        return False
    needled = runs.accesses_of(run.id)
    return not needled or access.pk in needled


def _treatments(mine: list[Run]) -> tuple[TreatmentReading, ...]:
    rows = [
        TreatmentReading(
            id=str(run.id),
            at=run.at,
            route=run.route,  # type: ignore[arg-type]
            pump_prescribed_ml_min=run.pump_prescribed_ml_min,
            pump_reached_ml_min=run.pump_reached_ml_min,
        )
        for run in mine
        if not run.doubtful
    ]
    return tuple(sorted(rows, key=lambda row: (row.at, row.id)))


def _punctures(access: VascularAccess, *, mine: list[Run], runs: Runs) -> tuple[Puncture, ...]:
    rows = [
        Puncture(
            id=str(needle.id),
            treatment=str(run.id),
            at=needle.in_at.astimezone(run.at.tzinfo) if needle.in_at else run.at,
            role=needle.role,  # type: ignore[arg-type]
            along_cm=needle.along_cm,
            gauge=needle.gauge,
            direction=needle.direction or None,  # type: ignore[arg-type]
            technique=needle.technique or None,  # type: ignore[arg-type]
            tip=needle.tip or None,  # type: ignore[arg-type]
            outcome=needle.outcome,  # type: ignore[arg-type]
            bleeding_minutes=needle.bleeding_minutes,
            heparin=run.heparin,
            segment=needle.segment,
        )
        for run in mine
        if not run.doubtful
        for needle in runs.needles.get(run.id, ())
        if needle.access == access.pk
    ]
    return tuple(sorted(rows, key=lambda row: (row.at, row.id)))


def _examinations(
    ids: list[UUID], *, runs: Runs, as_of: datetime, since: datetime | None, sight: Sight
) -> dict[UUID, list[ExaminationReading]]:
    rows = Examination.objects.filter(sight.observed(), access__in=ids, made_in_error=False, measured_at__lte=as_of)
    if since is not None:
        rows = rows.filter(measured_at__gte=since)
    columns = (
        "id", "access_id", "treatment_id", "measured_at", "findings", "examiner", "second_examiner", "second_findings",
    )  # fmt: skip
    found: dict[UUID, list[ExaminationReading]] = defaultdict(list)
    ordered = rows.order_by("measured_at", "id").values_list(*columns)
    for id_, access, treatment, at, seen, examiner, second, second_seen in ordered:
        if treatment is not None and treatment not in runs.by_id:
            continue  # The whole treatment was made in error.
        found[access].append(
            ExaminationReading(
                id=str(id_),
                at=at.astimezone(as_of.tzinfo),
                treatment=None if treatment is None else str(runs.by_id[treatment].counts_as),
                findings=seen,
                examiner=examiner,
                second_examiner=second,
                second_findings=second_seen,
            )
        )
    return found


def _furthest_day(as_of: datetime) -> date:
    """The latest day that a clinic anywhere may write at this moment; a day in its future is refused on entry."""
    return (as_of + timedelta(hours=14)).date()


def _events(ids: list[UUID], *, as_of: datetime, sight: Sight) -> dict[UUID, list[EventReading]]:
    rows = Event.objects.filter(sight.observed(), access__in=ids, made_in_error=False, on__lte=_furthest_day(as_of))
    found: dict[UUID, list[EventReading]] = defaultdict(list)
    for id_, access, on, what, where in rows.order_by("on", "id").values_list(
        "id", "access_id", "on", "what", "where_cm"
    ):
        found[access].append(EventReading(id=str(id_), on=on, what=what, where_cm=where))  # type: ignore[arg-type]
    return found


def _zones(ids: list[UUID], *, as_of: datetime, sight: Sight) -> dict[UUID, list[ZoneReading]]:
    rows = Zone.objects.filter(sight.dated(), access__in=ids, made_in_error=False, since__lte=_furthest_day(as_of))
    found: dict[UUID, list[ZoneReading]] = defaultdict(list)
    for access, low, high, why, action, begun, until in rows.order_by("from_cm", "id").values_list(
        "access_id", "from_cm", "to_cm", "why", "action", "since", "until"
    ):
        zone = ZoneReading(from_cm=low, to_cm=high, why=why, action=action, since=begun, until=until)  # type: ignore[arg-type]
        found[access].append(zone)
    return found
