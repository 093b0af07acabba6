"""Settles what two treatments of one patient on one day are: the same, entered twice, or two treatments.

Two that are the same become one: lists are joined by id, and of frame and after-care what one of them left empty is
taken from the other. Where both say something else, the treatment that was there first keeps what it says, and what
the other said is handed back and stays in its versions; nothing of it is lost.
"""

from dataclasses import replace
from typing import Any
from uuid import UUID

from django.db import transaction
from uuid_utils.compat import uuid7

from access.audit import trail
from access.audit.trail import Acting
from access.records.entry import saving
from access.records.entry.document import LISTS, STATES, WHOLES, blank
from access.records.entry.error import mark_in_error
from access.records.entry.saving import Save, Saved
from access.records.entry.treatment import document_of, save_treatment, touched
from access.records.models import Treatment
from access.records.problems import Conflict, Document, Invalid, Missing

SAME, TWO = "same", "two treatments"
JOINED = ("state", "bleeding")  # Fields of frame and after-care that have a rule of their own.


@transaction.atomic
def pair_treatments(treatment_id: UUID, *, answer: str, acting: Acting) -> Saved:
    """Say of two treatments on one day whether they are the same.

    Parameters
    ----------
    treatment_id : UUID
        Either of the two.
    answer : {"same", "two treatments"}
        With "same" the later one is joined into the earlier one and marked as made in error.

    Returns
    -------
    Saved
        Of the treatment that stays; ``result["left_behind"]`` lists what the other said differently.

    Raises
    ------
    Missing, Invalid, Conflict
        Conflict when the joined document cannot be, like one puncture entered twice: correct one of the two first.
    """
    if answer not in (SAME, TWO):
        raise Invalid([("answer", f"The answer is “{SAME}” or “{TWO}”.")])
    clinic = saving.clinic_of(acting)
    named = Treatment.objects.filter(pk=treatment_id).first()
    if named is None:
        raise Missing
    patient = saving.locked(named.patient_id)
    saving.must_care(patient.pk, clinic=clinic.pk, bedside_at=named.measured_at, now=acting.at)
    second = _waiting(treatment_id)
    first = second.possibly_same_as
    if first is None or first.made_in_error:
        raise Invalid([("answer", "The other treatment was marked as made in error; nothing is left to say.")])
    saved = _joined(first, second=second, acting=acting) if answer == SAME else _kept_apart(second)
    Treatment.objects.filter(pk=second.pk).update(pairing=answer)
    detail: dict[str, object] = {"what": answer}
    trail.write("treatment:change", acting=acting, subjects=[first.pk, second.pk], patients=[patient.pk], detail=detail)
    return saved


def _waiting(treatment_id: UUID) -> Treatment:
    """The later one of two treatments of which nobody has said yet what they are."""
    waiting = Treatment.objects.filter(pairing="", made_in_error=False, possibly_same_as__isnull=False)
    marked = waiting.select_related("possibly_same_as")
    found = marked.filter(pk=treatment_id).first() or marked.filter(possibly_same_as=treatment_id).first()
    if found is None:
        raise Invalid([("answer", "Nobody asks whether this treatment is the same as another one.")])
    return found


def _kept_apart(second: Treatment) -> Saved:
    document = document_of(second, number=second.version)
    return Saved(
        record=second,
        version=second.version,
        document=document,
        received_at=second.received_at,
        access_ids=touched(document),
    )


def _joined(first: Treatment, *, second: Treatment, acting: Acting) -> Saved:
    theirs, other = (document_of(one, number=one.version) for one in (first, second))
    document, left_behind = join(theirs, other=other)
    reason = "The same treatment had been entered twice."
    # The rows of the other one must be gone before their ids can stand in this one.
    mark_in_error("treatment", second.pk, reason=reason, save_id=uuid7(), acting=acting)
    for rows in (second.examinations, second.needles, second.readings):
        rows.all().delete()
    body = Save(save_id=uuid7(), document=document, base_version=first.version, reason=reason)
    try:
        saved = save_treatment(first.pk, body=body, acting=acting)
    except Invalid as refused:
        parts = dict.fromkeys(name.split(".")[0] for name, _ in refused.fields)
        raise Conflict(parts, yours=other, theirs=theirs, version=first.version) from refused
    return replace(saved, result={"left_behind": left_behind})


def join(document: Document, *, other: Document) -> tuple[Document, list[dict[str, Any]]]:
    """Two documents of one treatment as one, and the fields in which the other said something else."""
    joined, left_behind = dict(document), []
    empty = blank(patient=document["patient"], clinic_day=document["clinic_day"])
    for part in WHOLES:
        joined[part] = dict(document[part])
        for name, value in other[part].items():
            if document[part][name] == empty[part][name]:
                joined[part][name] = value
            elif name not in JOINED and value not in (empty[part][name], document[part][name]):
                left_behind.append({"field": f"{part}.{name}", "kept": document[part][name], "other": value})
    for part in LISTS:
        there = {one["id"] for one in document[part]}
        joined[part] = [*document[part], *(one for one in other[part] if one["id"] not in there)]
    # The state that got further is the one that both came to.
    states = [one["frame"]["state"] for one in (document, other)]
    joined["frame"]["state"] = max(states, key=STATES.index)
    joined["after"]["bleeding"] = {**other["after"]["bleeding"], **document["after"]["bleeding"]}
    return joined, left_behind
