"""Judges an access when something about it was entered: writer, profile, rules and flags in one transaction.

Each function takes what the writer of the same name takes and answers with what was saved and the flags that stand.
Nothing is decided here: what is found is for the rules, what is done about it for a person.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Q

from access.accounts.models import Clinic
from access.audit.trail import Acting
from access.measures import rules
from access.measures.findings import Finding
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile
from access.records import entry
from access.records.entry import Save, Saved
from access.records.entry.record import patient_of
from access.records.history import in_force, patients_in_care, profiles
from access.records.history.visible import caring_at
from access.records.models import CarePeriod, VascularAccess
from access.records.problems import Missing
from access.review import flags
from access.review.flags import Judgement
from access.review.models import Flag
from access.review.stored import evidence_ids

# As many accesses are held in memory at once when a whole clinic is judged.
BATCH = 25
Writer = Callable[..., Saved]


@dataclass(frozen=True, kw_only=True)
class Judged:
    """What was saved, and the flags that now stand for the accesses it speaks of, most urgent first."""

    saved: Saved
    flags: list[Flag]


def save_treatment(treatment_id: UUID, *, body: Save, acting: Acting) -> Judged:
    """Save a treatment and judge each access it speaks of."""
    return _judged(entry.save_treatment, treatment_id, body=body, acting=acting)


def save_examination(record_id: UUID, *, body: Save, acting: Acting) -> Judged:
    """Save an examination made outside a treatment and judge its access."""
    return _judged(entry.save_examination, record_id, body=body, acting=acting)


def save_flow(record_id: UUID, *, body: Save, acting: Acting) -> Judged:
    """Save an access flow and judge its access."""
    return _judged(entry.save_flow, record_id, body=body, acting=acting)


def save_recirculation(record_id: UUID, *, body: Save, acting: Acting) -> Judged:
    """Save a recirculation test and judge its access."""
    return _judged(entry.save_recirculation, record_id, body=body, acting=acting)


def save_dose(record_id: UUID, *, body: Save, acting: Acting) -> Judged:
    """Save a dose and judge the accesses of the patient."""
    return _judged(entry.save_dose, record_id, body=body, acting=acting)


def save_lab(record_id: UUID, *, body: Save, acting: Acting) -> Judged:
    """Save a laboratory value and judge the accesses of the patient."""
    return _judged(entry.save_lab, record_id, body=body, acting=acting)


def save_zone(record_id: UUID, *, body: Save, acting: Acting) -> Judged:
    """Save a zone and judge its access: a scab that does not heal is a finding."""
    return _judged(entry.save_zone, record_id, body=body, acting=acting)


def save_event(record_id: UUID, *, body: Save, acting: Acting) -> Judged:
    """Save an event and judge its access, whose series it may start anew."""
    return _judged(entry.save_event, record_id, body=body, acting=acting)


def mark_in_error(subject: str, record_id: UUID, *, reason: str, save_id: UUID, acting: Acting) -> Judged:
    """Mark a record as made in error and judge what is left without it."""
    with transaction.atomic():
        saved = entry.mark_in_error(subject, record_id, reason=reason, save_id=save_id, acting=acting)
        return _with_flags(saved, acting=acting, arrived=None)


def pair_treatments(treatment_id: UUID, *, answer: str, acting: Acting) -> Judged:
    """Keep what a person said of two treatments on one day, and judge what now counts."""
    with transaction.atomic():
        saved = entry.pair_treatments(treatment_id, answer=answer, acting=acting)
        return _with_flags(saved, acting=acting, arrived=None)


def _judged(writer: Writer, record_id: UUID, *, body: Save, acting: Acting) -> Judged:
    with transaction.atomic():
        saved = writer(record_id, body=body, acting=acting)
        examinations = {str(saved.record.pk), *(one["id"] for one in saved.document.get("examinations", ()))}
        return _with_flags(saved, acting=acting, arrived=frozenset(examinations))


def _with_flags(saved: Saved, *, acting: Acting, arrived: frozenset[str] | None) -> Judged:
    """What was saved with the flags that stand; what was only repeated is not judged again."""
    ids = saved.access_ids or tuple(
        VascularAccess.objects.filter(patient=patient_of(saved.record), made_in_error=False).values_list(
            "pk", flat=True
        )
    )
    if saved.repeated:
        standing = flags.standing(ids)
    else:
        found = judge_accesses(ids, acting=acting, arrived=arrived)
        standing = flags.in_order(flag for rows in found.values() for flag in rows)
    if not CarePeriod.objects.filter(
        caring_at(acting.at), patient=patient_of(saved.record), clinic=acting.clinic
    ).exists():
        # Sent after the clinic's care had ended: it is told what rests on its own entry, and nothing later.
        standing = [flag for flag in standing if evidence_ids(flag.finding) & (arrived or frozenset())]
    return Judged(saved=saved, flags=standing)


def judge(access: VascularAccess, *, as_of: datetime, acting: Acting) -> list[Flag]:
    """Judge one access at a moment, with nothing newly entered; the flags that stand."""
    with transaction.atomic():
        return judge_accesses([access.pk], acting=acting, as_of=as_of)[access.pk]


def judge_many(clinic: Clinic, *, as_of: datetime, acting: Acting) -> int:
    """Judge every access in a clinic's care, as after a bulk load or each night; how many were judged.

    The number of queries is the same for each batch, whatever the accesses hold.
    """
    in_care = VascularAccess.objects.filter(patient__in=patients_in_care(clinic, at=as_of), made_in_error=False)
    living = in_care.filter(~Q(status="abandoned") | Q(flags__state__in=flags.STANDING)).distinct()
    ids = list(living.order_by("pk").values_list("pk", flat=True))
    for batch in _batches(ids):
        with transaction.atomic():
            judge_accesses(batch, acting=acting, as_of=as_of)
    return len(ids)


def judge_accesses(
    ids: Iterable[UUID],
    *,
    acting: Acting,
    as_of: datetime | None = None,
    arrived: frozenset[str] | None = None,
) -> dict[UUID, list[Flag]]:
    """Judge some accesses of one clinic's patients together; the flags that stand, by access.

    Parameters
    ----------
    ids : iterable of UUID
        The accesses; their rows stay locked until the caller's transaction ends.
    as_of : datetime, optional
        The moment of asking; by default the moment of acting.
    arrived : frozenset of str, optional
        Ids of examinations that were just entered; None when nothing was.
    """
    wanted = list(ids)
    clinic = _caring(wanted, acting=acting)
    moment = (as_of or acting.at).astimezone(ZoneInfo(clinic.time_zone))
    # Two entries for one access are judged one after the other, or each would open a flag of its own.
    locked = VascularAccess.objects.select_for_update().filter(pk__in=wanted, made_in_error=False)
    accesses = list(locked.order_by("pk"))
    protocol = in_force(clinic)
    known = profiles(accesses, as_of=moment)
    judgements = [
        Judgement(
            access=access,
            profile=known[access.pk],
            protocol=protocol,
            findings=_found(known[access.pk], protocol=protocol, as_of=moment, arrived=arrived or frozenset()),
            as_of=moment,
            arrived=arrived is not None,
        )
        for access in accesses
    ]
    return flags.store(judgements, clinic=clinic, acting=acting)


def _caring(ids: Sequence[UUID], *, acting: Acting) -> Clinic:
    """The clinic by whose protocol is judged: the one that acts, or the patient's own where it no longer cares."""
    acts = Clinic.objects.filter(pk=acting.clinic).first() if acting.clinic else None
    if acts is None:
        raise Missing
    caring = CarePeriod.objects.filter(caring_at(acting.at), patient__accesses__in=ids).select_related("clinic")
    clinics = {period.clinic_id: period.clinic for period in caring.order_by("visiting", "since")}
    return acts if acts.pk in clinics or not clinics else next(iter(clinics.values()))


def _found(
    profile: AccessProfile, *, protocol: Protocol, as_of: datetime, arrived: frozenset[str]
) -> tuple[Finding, ...]:
    """What the rules find now, and the emergencies of an examination that came in after a newer one."""
    found = rules.evaluate(profile, protocol=protocol, as_of=as_of)
    named = {one.rule for one in found}
    overtaken = [
        finding
        for at in _overtaken(profile, arrived=arrived)
        for finding in rules.evaluate(profile, protocol=protocol, as_of=at)
        if finding.basis == "emergency" and finding.raises
    ]
    missed = {finding.rule: finding for finding in overtaken if finding.rule not in named}
    return (*found, *missed.values())


def _overtaken(profile: AccessProfile, *, arrived: frozenset[str]) -> Iterator[datetime]:
    """The times of examinations that just came in although a newer one was there already."""
    if not profile.examinations:
        return
    newest = profile.examinations[-1]
    for one in profile.examinations:
        if one.id in arrived and one.id != newest.id and (one.treatment is None or one.treatment != newest.treatment):
            yield one.at


def _batches(ids: Sequence[UUID]) -> Iterator[Sequence[UUID]]:
    for start in range(0, len(ids), BATCH):
        yield ids[start : start + BATCH]
