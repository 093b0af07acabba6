"""A patient handed over: one clinic's coordinator sends, the other's accepts, and only then the care passes.

Who may do it stands in ``accounts.permissions``; what either clinic sees then, ``history`` says.
"""

from uuid import UUID

from django.db import IntegrityError, transaction
from uuid_utils.compat import uuid7

from access.accounts.models import Clinic
from access.audit import trail
from access.audit.trail import Acting
from access.records.entry import saving
from access.records.models import CareMove, CarePeriod, Patient, RecordVersion
from access.records.problems import Invalid, Missing


@transaction.atomic
def send_patient(patient_id: UUID, *, to_clinic: UUID, acting: Acting) -> CareMove:
    """Offer a patient who is at home here to another clinic; sent twice to the same clinic, it is one move.

    Raises
    ------
    Missing, Invalid
    """
    clinic = saving.clinic_of(acting)
    patient = saving.locked(patient_id)
    if not _home(patient, clinic=clinic, acting=acting):
        raise Missing
    if to_clinic == clinic.pk or not Clinic.objects.filter(pk=to_clinic).exists():
        raise Invalid([("to_clinic", "Choose another clinic.")])
    waiting = CareMove.objects.filter(patient=patient, accepted_at__isnull=True).first()
    if waiting and waiting.to_clinic_id == to_clinic:
        return waiting
    if waiting:
        raise Invalid([("to_clinic", "This patient has already been sent to another clinic, which has yet to accept.")])
    move = CareMove.objects.create(
        patient=patient, from_clinic=clinic, to_clinic_id=to_clinic, sent_by_id=acting.person, sent_at=acting.at
    )
    _told(move, what="sent", acting=acting)
    return move


@transaction.atomic
def accept_patient(move_id: UUID, *, acting: Acting) -> CareMove:
    """Take over a patient who was sent to the acting clinic; accepted twice, it is one acceptance.

    Raises
    ------
    Missing
        When there is no such move to this clinic.
    """
    clinic = saving.clinic_of(acting)
    found = CareMove.objects.filter(pk=move_id, to_clinic=clinic).first()
    if found is None:
        raise Missing
    patient = saving.locked(found.patient_id)
    move = CareMove.objects.get(pk=move_id)
    if move.accepted_at:
        return move
    ending = CarePeriod.objects.filter(patient=patient, until__isnull=True)
    ending.filter(clinic__in=[move.from_clinic_id, clinic.pk], since__lt=acting.at).update(until=acting.at)
    try:
        CarePeriod.objects.create(patient=patient, clinic=clinic, since=acting.at)
    except IntegrityError as refused:
        raise Invalid([("move", "This patient is at home in a third clinic by now.")]) from refused
    move.accepted_by_id, move.accepted_at = acting.person, acting.at
    move.save()
    _leave_the_place(patient, clinic=clinic, acting=acting)
    _told(move, what="accepted", acting=acting)
    return move


def _home(patient: Patient, *, clinic: Clinic, acting: Acting) -> bool:
    periods = CarePeriod.objects.filter(saving.covers(acting.at), patient=patient, clinic=clinic, visiting=False)
    return periods.exists()


def _leave_the_place(patient: Patient, *, clinic: Clinic, acting: Acting) -> None:
    """Take the patient off the station and shift of the clinic that is left; the new clinic says its own."""
    last = RecordVersion.objects.filter(record=patient.pk, number=patient.version).first()
    document = {**(last.document if last else {}), "station": None, "shift": ""}
    patient.station, patient.shift = None, ""
    patient.version += 1
    patient.save(update_fields=["station", "shift", "version"])
    RecordVersion.objects.create(
        subject="patient",
        record=patient.pk,
        clinic=clinic,
        number=patient.version,
        save_id=uuid7(),
        document=document,
        author_id=acting.person,
        sent_by_id=acting.person,
        reason="Moved to another clinic.",
        received_at=acting.at,
    )


def _told(move: CareMove, *, what: str, acting: Acting) -> None:
    detail: dict[str, object] = {"what": what, "from": str(move.from_clinic_id), "to": str(move.to_clinic_id)}
    trail.write("care-period:change", acting=acting, subjects=[move.pk], patients=[move.patient_id], detail=detail)
