"""The small records, all by one path: read one, save one with its envelope, mark one as made in error."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.envelope import opened
from access.api.flags import flags_of
from access.api.resource import SAVE_HEADERS, Resource, answered, save_of
from access.api.shapes import measured as shapes
from access.api.shapes.base import Shape
from access.audit import trail
from access.audit.trail import Acting
from access.records import entry
from access.records.entry import Save, Saved
from access.records.history.small import small_record
from access.review import judging
from access.review.judging import Judged


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of small record: its name, the act that changes it, its shape and its judged writer."""

    subject: str
    act: str
    shape: type[Shape]
    save: Callable[..., Judged]


def unjudged(write: Callable[..., Saved]) -> Callable[..., Judged]:
    """A writer of what is no observation of the access: nothing is judged, so no flag is answered."""

    def save(record: UUID, *, body: Save, acting: Acting) -> Judged:
        return Judged(saved=write(record, body=body, acting=acting), flags=[])

    return save


KINDS: dict[str, Kind] = {
    "accesses": Kind(
        subject="access",
        act="access:change",
        shape=shapes.AccessDocumentShape,
        save=unjudged(entry.save_access),
    ),
    "doses": Kind(subject="dose", act="dose:change", shape=shapes.DoseDocumentShape, save=judging.save_dose),
    "events": Kind(subject="event", act="event:change", shape=shapes.EventDocumentShape, save=judging.save_event),
    "examinations": Kind(
        subject="examination",
        act="examination:change",
        shape=shapes.ExaminationDocumentShape,
        save=judging.save_examination,
    ),
    "flows": Kind(subject="flow", act="flow:change", shape=shapes.FlowDocumentShape, save=judging.save_flow),
    "holds": Kind(subject="hold", act="hold:change", shape=shapes.HoldDocumentShape, save=unjudged(entry.save_hold)),
    "labs": Kind(subject="lab", act="lab:change", shape=shapes.LabDocumentShape, save=judging.save_lab),
    "patients": Kind(
        subject="patient",
        act="patient:change",
        shape=shapes.PatientDocumentShape,
        save=unjudged(entry.save_patient),
    ),
    "prescriptions": Kind(
        subject="prescription",
        act="prescription:change",
        shape=shapes.PrescriptionDocumentShape,
        save=unjudged(entry.save_prescription),
    ),
    "recirculations": Kind(
        subject="recirculation",
        act="recirculation:change",
        shape=shapes.RecirculationDocumentShape,
        save=judging.save_recirculation,
    ),
    "zones": Kind(subject="zone", act="zone:change", shape=shapes.ZoneDocumentShape, save=unjudged(entry.save_zone)),
}


def address(name: str) -> str:
    """Where the records of a kind are; the bare address of an access is its page."""
    return f"{name}/<uuid:record>/record" if name == "accesses" else f"{name}/<uuid:record>"


def resource(kind: Kind) -> type[Resource]:
    """The resource of one kind of record."""
    record_shape, save_shape = shapes.record_of(kind.shape), shapes.save_of(kind.shape)
    saved_shape = shapes.saved_of(kind.shape)

    class RecordResource(Resource):
        """One small record."""

        acts = {"GET": "treatment:read", "PUT": kind.act}

        @extend_schema(operation_id=f"{kind.subject}_record_get", responses=record_shape)
        def get(self, request: Request, record: UUID) -> Response:
            """The record as it stands, with what was computed from it."""
            found = small_record(kind.subject, record, user=self.user, clinic=self.the_clinic(), at=self.now)
            trail.write("patient:read", acting=self.acting, subjects=[record], patients=[found["patient"]])
            return answered({key: value for key, value in found.items() if key != "patient"})

        @extend_schema(
            operation_id=f"{kind.subject}_record_put",
            parameters=SAVE_HEADERS,
            request=save_shape,
            responses={200: saved_shape, 201: saved_shape},
        )
        def put(self, request: Request, record: UUID) -> Response:
            """Save it; a correction needs a reason."""
            judged = kind.save(record, body=save_of(request, opened(request)), acting=self.acting)
            body: dict[str, Any] = {**judged.saved.answer, "flags": flags_of(judged.flags)}
            return answered(body, status=201 if judged.saved.created else 200)

    RecordResource.__name__ = f"{kind.subject.title()}Resource"
    return RecordResource
