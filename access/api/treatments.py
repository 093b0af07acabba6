"""Treatments: the chair-side page's document, read and saved whole."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.envelope import opened
from access.api.flags import flags_of, open_flags
from access.api.resource import SAVE_HEADERS, Resource, answered, save_of
from access.api.shapes.base import Shape
from access.api.shapes.chair import TreatmentPackShape
from access.api.shapes.treatment import TreatmentSavedShape, TreatmentSaveShape
from access.audit import trail
from access.records import entry, history
from access.review import judging
from access.review.judging import Judged


class PairingShape(Shape):
    """Whether two treatments on one day are the same."""

    answer = serializers.ChoiceField(choices=["same", "two treatments"])


class ErrorShape(Shape):
    """Why a record was made in error."""

    save_id = serializers.UUIDField()
    reason = serializers.CharField(max_length=400)


def saved(judged: Judged) -> Response:
    """The answer to a save: what stands now, what is asked about, what was found."""
    body = {**judged.saved.answer, "flags": flags_of(judged.flags)}
    return answered(body, status=201 if judged.saved.created else 200)


class TreatmentResource(Resource):
    """One treatment."""

    acts = {"GET": "treatment:read", "PUT": "treatment:change"}

    @extend_schema(operation_id="treatment_get", responses=TreatmentPackShape)
    def get(self, request: Request, treatment: UUID) -> Response:
        """The document with all that the chair-side page shows around it."""
        found = history.get_treatment(treatment, user=self.user, clinic=self.the_clinic(), at=self.now)
        sight = history.sight_of(found.patient, clinic=self.the_clinic(), at=self.now)
        pack = history.treatment_pack(found, clinic=self.the_clinic(), as_of=self.now, sight=sight)
        flags = open_flags([one["id"] for one in pack["accesses"]], sight=sight)
        trail.write("treatment:read", acting=self.acting, subjects=[treatment], patients=[found.patient_id])
        return answered({**pack, "flags": flags})

    @extend_schema(
        operation_id="treatment_put",
        parameters=SAVE_HEADERS,
        request=TreatmentSaveShape,
        responses={200: TreatmentSavedShape, 201: TreatmentSavedShape},
    )
    def put(self, request: Request, treatment: UUID) -> Response:
        """Save the document; parts changed on one side only are merged."""
        body = save_of(request, opened(request))
        return saved(judging.save_treatment(treatment, body=body, acting=self.acting))


class PairingResource(Resource):
    """Whether a second treatment of one day is the same."""

    acts = {"POST": "treatment:change"}

    @extend_schema(operation_id="treatment_pairing", request=PairingShape, responses=TreatmentSavedShape)
    def post(self, request: Request, treatment: UUID) -> Response:
        """Say *same* or *two treatments*."""
        answer = opened(request, PairingShape)["answer"]
        return answered({**entry.pair_treatments(treatment, answer=answer, acting=self.acting).answer, "flags": []})


class TreatmentErrorResource(Resource):
    """A treatment made in error leaves every computation."""

    acts = {"POST": "treatment:change"}

    @extend_schema(operation_id="treatment_error", request=ErrorShape, responses=TreatmentSavedShape)
    def post(self, request: Request, treatment: UUID) -> Response:
        """Mark it, with a reason."""
        body = opened(request, ErrorShape)
        return saved(judging.mark_in_error("treatment", treatment, acting=self.acting, **body))
