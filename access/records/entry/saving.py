"""What every save has in common: the envelope, the answer, whose entry it is, and whether it may be taken.

A save is looked up by its id first: one that is known gets the answer given then. Documents are read elsewhere.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from access.accounts.models import Clinic, Device, DeviceSignIn, Membership
from access.audit import trail
from access.audit.trail import Acting
from access.records.entry.fields import as_text, storable
from access.records.entry.project import Origin
from access.records.models import CarePeriod, Patient, RecordVersion, TreatmentVersion
from access.records.problems import Document, Invalid, Missing, Remark

# Another's entry is taken only when that person had signed in on the device within this time before it.
SIGNED_IN_WITHIN = timedelta(hours=24)
LONGEST_REASON = 400
# Own choice: a device that was off for long may be late by much, and still its entries are to be had.
LARGEST_OFFSET = timedelta(days=400)


@dataclass(frozen=True, kw_only=True)
class Save:
    """One save as it was sent: what, by whom, on which device, and the version it started from."""

    save_id: UUID
    document: Document
    base_version: int | None = None
    create: bool = False
    recorded_by: UUID | None = None
    device: UUID | None = None
    device_now: datetime | None = None
    reason: str = ""
    # Earlier saves that this one takes the place of because their answers never came.
    replaces: tuple[UUID, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Saved:
    """What a save led to; the same again when it is repeated."""

    record: Any
    version: int
    document: Document
    received_at: datetime
    asks: tuple[Remark, ...] = ()
    access_ids: tuple[UUID, ...] = ()
    created: bool = False
    repeated: bool = False
    possibly_same: UUID | None = None
    result: dict[str, Any] = field(default_factory=dict)

    @property
    def answer(self) -> dict[str, Any]:
        """The answer as plain data."""
        return {
            "id": str(self.record.pk),
            "version": self.version,
            "document": self.document,
            "asks": [{"field": name, "text": text} for name, text in self.asks],
            "possibly_same": str(self.possibly_same) if self.possibly_same else None,
            "received_at": as_text(self.received_at),
            "result": self.result,
        }


def kept(saved: Saved) -> dict[str, Any]:
    """What a version row keeps of an answer, beside the document."""
    return {
        "asks": [list(ask) for ask in saved.asks],
        "access_ids": [str(one) for one in saved.access_ids],
        "created": saved.created,
        "possibly_same": str(saved.possibly_same) if saved.possibly_same else None,
        "result": saved.result,
    }


def again(record: Any, version: TreatmentVersion | RecordVersion) -> Saved:
    """The answer that was given to a save when it first came."""
    answer = version.answer
    return Saved(
        record=record,
        version=version.number,
        document=version.document,
        received_at=version.received_at,
        asks=tuple((name, text) for name, text in answer.get("asks", ())),
        access_ids=tuple(UUID(one) for one in answer.get("access_ids", ())),
        created=answer.get("created", False),
        repeated=True,
        possibly_same=UUID(answer["possibly_same"]) if answer.get("possibly_same") else None,
        result=answer.get("result", {}),
    )


def clinic_of(acting: Acting) -> Clinic:
    """The clinic that acts; whoever acts for none finds nothing."""
    clinic = Clinic.objects.filter(pk=acting.clinic).first() if acting.clinic and acting.user else None
    if clinic is None:
        raise Missing
    return clinic


def locked(patient: UUID | str) -> Patient:
    """The patient, whose row is locked until the transaction ends: one save of a patient's records at a time.

    SQLite has no row locks; there every transaction of this program is exclusive from its start.
    """
    found = Patient.objects.select_for_update(no_key=True).filter(pk=patient).first()
    if found is None:
        raise Missing
    return found


def held(clinic: UUID) -> Clinic:
    """The clinic, whose row is locked until the transaction ends: one new record of its own at a time."""
    return Clinic.objects.select_for_update(no_key=True).get(pk=clinic)


def is_known(body: Save) -> bool:
    """Whether a save of any small record came with this id before."""
    return RecordVersion.objects.filter(save_id=body.save_id).exists()


def must_care(patient: UUID, *, clinic: UUID, bedside_at: datetime, now: datetime) -> None:
    """Refuse, as if absent, a patient who is not in the clinic's care now and was not at the bedside time."""
    periods = CarePeriod.objects.filter(patient=patient, clinic=clinic)
    if not periods.filter(covers(now) | covers(bedside_at)).exists():
        raise Missing


def must_know(record: Any, *, clinic: UUID, now: datetime) -> None:
    """Refuse, as if absent, a record that a clinic whose care has ended would not see: made elsewhere and later."""
    patient = record.patient_id if hasattr(record, "patient_id") else record.access.patient_id
    periods = CarePeriod.objects.filter(patient=patient, clinic=clinic)
    if periods.filter(covers(now)).exists():
        return
    seen_at = getattr(record, "measured_at", None)
    if record.clinic_id != clinic and not (seen_at and periods.filter(covers(seen_at)).exists()):
        raise Missing


def midnight(day: str, *, clinic: Clinic) -> datetime:
    """When a day begins in the clinic's zone."""
    return datetime.combine(date.fromisoformat(day), time(), tzinfo=ZoneInfo(clinic.time_zone))


def day_of(at: datetime, *, clinic: Clinic) -> date:
    """The day that a time belongs to in the clinic's zone."""
    return at.astimezone(ZoneInfo(clinic.time_zone)).date()


def covers(at: datetime) -> Q:
    """Whether a care period or a membership holds at a time."""
    return Q(since__lte=at) & (Q(until__isnull=True) | Q(until__gt=at))


def origin(body: Save, *, bedside_at: datetime, acting: Acting) -> Origin:
    """Whose entry this is, and whether it may be taken from the one who sends it.

    Raises
    ------
    Invalid
        When the device is not the clinic's, or when the entry is another's who had not signed in on that
        device in the 24 hours before the bedside time, or did not then belong to the clinic.
    """
    if acting.user is None or acting.clinic is None:
        raise Missing
    if len(body.reason) > LONGEST_REASON or not storable(body.reason):
        raise Invalid([("reason", f"The reason must be a text of at most {LONGEST_REASON} characters.")])
    device = _device(body, acting=acting)
    recorded_by = body.recorded_by or acting.user
    if recorded_by != acting.user:
        _must_have_been_there(recorded_by, on=device, true_time=bedside_at + offset(body, acting=acting), acting=acting)
    return Origin(
        clinic=acting.clinic,
        recorded_by=recorded_by,
        sent_by=acting.user,
        received_at=acting.at,
        device=device,
    )


def _device(body: Save, *, acting: Acting) -> UUID | None:
    """The device that the save names, else the one on which its sender is signed in."""
    named = body.device or acting.device
    if named is None or Device.objects.filter(pk=named, clinic=acting.clinic).exists():
        return named
    if body.device:
        raise Invalid([("device", "This device is not one of the clinic's.")])
    return None


def offset(body: Save, *, acting: Acting) -> timedelta:
    """How far the server's clock is ahead of the device's; a clock that is years off is refused."""
    ahead = acting.at - body.device_now if body.device_now else timedelta(0)
    if abs(ahead) > LARGEST_OFFSET:
        raise Invalid([("device_now", "The clock of this device is wrong. Set its date and time and send again.")])
    return ahead


def _must_have_been_there(person: UUID, *, on: UUID | None, true_time: datetime, acting: Acting) -> None:
    there = DeviceSignIn.objects.filter(device=on, user=person, at__lte=true_time, at__gte=true_time - SIGNED_IN_WITHIN)
    belonged = Membership.objects.filter(covers(true_time), user=person, clinic=acting.clinic)
    if on is None or not there.exists() or not belonged.exists():
        text = (
            "This entry names somebody who had not signed in on this device in the 24 hours before it, "
            "or did not work in this clinic then. Let that person sign in and send it."
        )
        raise Invalid([("recorded_by", text)])


def version_columns(body: Save, *, saved: Saved, origin: Origin, acting: Acting) -> dict[str, Any]:
    """The columns that every version row has, whatever it is a version of."""
    return {
        "clinic_id": origin.clinic,
        "number": saved.version,
        "save_id": body.save_id,
        "document": saved.document,
        "author_id": origin.recorded_by,
        "sent_by_id": origin.sent_by,
        "device_id": origin.device,
        "reason": body.reason,
        "received_at": origin.received_at,
        "device_offset_s": offset(body, acting=acting).total_seconds() if body.device_now else None,
        "answer": kept(saved),
    }


def told(action: str, *, saved: Saved, patient: UUID, origin: Origin, acting: Acting) -> None:
    """Write a save into the trail; ids only, never what was written."""
    detail: dict[str, object] = {"version": saved.version}
    if origin.recorded_by != origin.sent_by:
        detail["recorded_by"] = str(origin.recorded_by)
    trail.write(action, acting=acting, subjects=[saved.record.pk], patients=[patient], detail=detail)


def distinct(ids: Iterable[str | None]) -> tuple[UUID, ...]:
    """The ids that are there, each once, in order."""
    return tuple(UUID(one) for one in dict.fromkeys(ids) if one)
