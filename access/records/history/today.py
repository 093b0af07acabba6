"""Today: who is due on a shift, with what is due and to mind at each access, in a constant number of queries.

Rows come from the planned and begun treatments of the shift; planning them is for ``entry.plan_shift``. Flags are
joined one layer up.
"""

from collections import defaultdict
from collections.abc import Collection
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q

from access.accounts.models import Clinic
from access.records.history.describe import access_title, patient_card
from access.records.history.due import due, last_measured, mind
from access.records.history.limits import in_force
from access.records.history.pack import holds_in_force, last_sites, zones_in_force
from access.records.history.profile import profiles
from access.records.history.sight import SEES_ALL
from access.records.history.visible import patients_in_care
from access.records.models import Examination, Needle, Reading, Treatment, VascularAccess

LAST_SITES_WITHIN = timedelta(days=90)
# The access that is needled is named first; one that rests or is not ready yet only where there is no other.
_ORDER = ("in use", "maturing", "resting", "clotted", "abandoned")


def today(clinic: Clinic, *, clinic_day: date, shift: str, as_of: datetime) -> list[dict[str, Any]]:
    """The rows of one shift, by station and name; a treatment of a patient no longer in care is left out."""
    treatments = _treatments(clinic, clinic_day=clinic_day, shift=shift, as_of=as_of)
    accesses = _accesses({one.patient_id for one in treatments})
    chosen = {patient: rows[0] for patient, rows in accesses.items()}
    needled = _needled_in([one.pk for one in treatments])
    listed = {one.pk: _access_of(one, accesses=accesses, needled=needled, chosen=chosen) for one in treatments}
    wanted = [access for access in listed.values() if access is not None]
    known = profiles(wanted, as_of=as_of, since=as_of - LAST_SITES_WITHIN, series={"punctures"})
    last = last_measured(wanted, clinic=clinic, as_of=as_of)
    ids = [access.pk for access in wanted]
    zones = zones_in_force(ids, day=clinic_day, sight=SEES_ALL)
    holds = holds_in_force(ids, day=clinic_day, sight=SEES_ALL)
    protocol = in_force(clinic)
    rows = []
    for treatment in treatments:
        row, access = _row(treatment), listed[treatment.pk]
        if access is not None:
            row["access"] = access_title(access)
            earlier = [one for one in known[access.pk].punctures if one.treatment != str(treatment.pk)]
            row["last_sites"] = last_sites(earlier, clinic=clinic)
            row["mind"] = mind(access, zones=zones[access.pk], holds=holds[access.pk], day=clinic_day)
            waiting = due(access, last=last[access.pk], protocol=protocol, day=clinic_day)
            row["due"] = [one.words(day=clinic_day) for one in waiting]
        rows.append(row)
    return rows


def _treatments(clinic: Clinic, *, clinic_day: date, shift: str, as_of: datetime) -> list[Treatment]:
    rows = Treatment.objects.filter(
        clinic=clinic,
        clinic_day=clinic_day,
        shift=shift,
        made_in_error=False,
        patient__in=patients_in_care(clinic, at=as_of),
    ).exclude(state="made in error")
    rows = rows.exclude(Q(possibly_same_as__isnull=False) & Q(pairing="same"))
    held = {
        "has_examination": Exists(Examination.objects.filter(treatment=OuterRef("pk"), made_in_error=False)),
        "has_needles": Exists(Needle.objects.filter(treatment=OuterRef("pk"))),
        "has_pressures": Exists(Reading.objects.filter(treatment=OuterRef("pk"))),
        "has_bleeding": Exists(Needle.objects.filter(treatment=OuterRef("pk"), bleeding_minutes__isnull=False)),
    }
    listed = rows.annotate(**held).select_related("patient", "station", "patient__station")
    return sorted(listed, key=lambda one: (_station(one), one.patient.name, str(one.pk)))


def _station(treatment: Treatment) -> str:
    station = treatment.station or treatment.patient.station
    return station.name if station else ""


def _accesses(patients: Collection[UUID]) -> dict[UUID, list[VascularAccess]]:
    found: dict[UUID, list[VascularAccess]] = defaultdict(list)
    rows = VascularAccess.objects.filter(patient__in=patients, made_in_error=False).exclude(status="abandoned")
    for row in sorted(rows, key=lambda one: (_ORDER.index(one.status), str(one.pk))):
        found[row.patient_id].append(row)
    return found


def _needled_in(treatments: Collection[UUID]) -> dict[UUID, set[UUID]]:
    found: dict[UUID, set[UUID]] = defaultdict(set)
    for treatment, access in Needle.objects.filter(treatment__in=treatments).values_list("treatment_id", "access_id"):
        found[treatment].add(access)
    return found


def _access_of(
    treatment: Treatment,
    *,
    accesses: dict[UUID, list[VascularAccess]],
    needled: dict[UUID, set[UUID]],
    chosen: dict[UUID, VascularAccess],
) -> VascularAccess | None:
    """The access needled in this treatment, else the one that this patient is needled at."""
    used = [one for one in accesses.get(treatment.patient_id, ()) if one.pk in needled.get(treatment.pk, ())]
    return used[0] if used else chosen.get(treatment.patient_id)


def _row(treatment: Any) -> dict[str, Any]:
    return {
        "treatment": str(treatment.pk),
        "version": treatment.version,
        "state": treatment.state,
        "patient": patient_card(treatment.patient),
        "station": _station(treatment),
        "access": None,
        "last_sites": None,
        "due": [],
        "mind": [],
        "progress": {
            "examination": treatment.has_examination,
            "needles": treatment.has_needles,
            "pressures": treatment.has_pressures,
            "after": bool(treatment.has_bleeding or treatment.left_how),
        },
    }
