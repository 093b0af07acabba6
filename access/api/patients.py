"""Patients in the clinic's care, their tests, and handing one over to another clinic."""

from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.envelope import opened
from access.api.resource import Resource
from access.api.shapes.base import PatientShape, Shape
from access.api.shapes.measured import PatientTestsShape
from access.audit import trail
from access.records import entry, history
from access.records.history import lists


class PatientListShape(Shape):
    """Patients by name."""

    rows = PatientShape(many=True)
    next = serializers.CharField(allow_null=True)


class MoveShape(Shape):
    """A patient handed over, and whether the other clinic has accepted."""

    id = serializers.UUIDField()
    patient = PatientShape()
    from_clinic = serializers.CharField()
    to_clinic = serializers.CharField()
    sent_at = serializers.DateTimeField()
    accepted_at = serializers.DateTimeField(allow_null=True)


class MoveToShape(Shape):
    """Where to."""

    to_clinic = serializers.UUIDField()


class PatientsResource(Resource):
    """The patients of the clinic."""

    acts = {"GET": "patient:read"}

    @extend_schema(
        operation_id="patients",
        parameters=[OpenApiParameter("search", str), OpenApiParameter("cursor", str)],
        responses=PatientListShape,
    )
    def get(self, request: Request) -> Response:
        """One page, by name; the search looks in names and chart numbers."""
        asked = request.query_params
        page = lists.patients(
            self.user,
            clinic=self.the_clinic(),
            search=asked.get("search", ""),
            cursor=asked.get("cursor", ""),
            at=self.now,
        )
        trail.write("patient:list", acting=self.acting, patients=[row["id"] for row in page["rows"]])
        return Response(page)


class PatientTestsResource(Resource):
    """What waits for the laboratory and what was last found."""

    acts = {"GET": "patient:read"}

    @extend_schema(operation_id="patient_tests", responses=PatientTestsShape)
    def get(self, request: Request, patient: UUID) -> Response:
        """The tests of one patient."""
        found = history.get_patient(patient, user=self.user, clinic=self.the_clinic(), at=self.now)
        trail.write("patient:read", acting=self.acting, patients=[patient])
        return Response(lists.patient_tests(found, clinic=self.the_clinic(), at=self.now))


class MoveResource(Resource):
    """Sending a patient to another clinic."""

    acts = {"POST": "care-period:change"}

    @extend_schema(operation_id="patient_move", request=MoveToShape, responses={201: MoveShape})
    def post(self, request: Request, patient: UUID) -> Response:
        """Send; the care ends here when the other clinic accepts."""
        to_clinic = opened(request, MoveToShape)["to_clinic"]
        move = entry.send_patient(patient, to_clinic=to_clinic, acting=self.acting)
        return Response(lists.move(move), status=201)


class MovesResource(Resource):
    """Patients sent here and not yet accepted, or sent from here."""

    acts = {"GET": "care-period:change"}

    @extend_schema(operation_id="moves", responses=MoveShape(many=True))
    def get(self, request: Request) -> Response:
        """Both directions, newest first."""
        rows = lists.moves(self.the_clinic())
        trail.write("patient:list", acting=self.acting, patients=[row["patient"]["id"] for row in rows])
        return Response(rows)


class MoveAcceptResource(Resource):
    """Accepting a patient."""

    acts = {"POST": "care-period:change"}

    @extend_schema(operation_id="move_accept", request=None, responses=MoveShape)
    def post(self, request: Request, move: UUID) -> Response:
        """The care begins here, and ends there."""
        return Response(lists.move(entry.accept_patient(move, acting=self.acting)))
