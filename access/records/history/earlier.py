"""A patient or an access as a clinic knew it when its care ended: later corrections belong to the next clinic.

It reads the versions that the writers keep; while a care period is open the record is taken as it stands.
"""

from typing import TypeVar

from django.db.models import Q

from access.records.entry.project import columns
from access.records.history.sight import Sight
from access.records.models import Patient, RecordVersion, VascularAccess
from access.records.problems import Missing

Kept = TypeVar("Kept", Patient, VascularAccess)


def as_known(record: Kept, *, sight: Sight) -> Kept:
    """This record with what the clinic knew of it, unsaved; ``Missing`` where it was made after its care."""
    if sight.until is None:
        return record
    versions = RecordVersion.objects.filter(record=record.pk)
    in_time = Q(received_at__lte=sight.until) | Q(clinic=sight.clinic)
    known = versions.filter(in_time).order_by("-number").first()
    if known is None:
        if versions.exists():
            raise Missing
        return record
    for name, value in columns(type(record), known.document).items():
        setattr(record, name, value)
    return record
