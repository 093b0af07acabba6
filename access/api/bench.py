"""The clinic's bench table: what tubing and needle alone read at a pump speed."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.envelope import opened
from access.api.resource import SAVE_HEADERS, Resource, answered, save_of
from access.api.shapes import measured as shapes
from access.api.shapes.base import Shape
from access.records import entry
from access.records.history.bench import bench_reading, bench_tables


class BenchDocumentShape(Shape):
    """One reading on the bench."""

    needle_and_line = serializers.CharField(max_length=80)
    gauge = serializers.IntegerField()
    pump_ml_min = serializers.FloatField()
    pressure_mmhg = serializers.FloatField()
    measured_on = serializers.DateField()


class BenchRowShape(BenchDocumentShape):
    """A stored reading with its version."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()


class BenchTablesResource(Resource):
    """The readings of the clinic."""

    acts = {"GET": "clinic:read"}

    @extend_schema(operation_id="bench_tables", responses=BenchRowShape(many=True))
    def get(self, request: Request) -> Response:
        """All of them, by gauge and pump speed."""
        return Response(bench_tables(self.the_clinic()))


class BenchTableResource(Resource):
    """One reading."""

    acts = {"GET": "clinic:read", "PUT": "bench:change"}

    @extend_schema(operation_id="bench_table_get", responses=shapes.record_of(BenchDocumentShape))
    def get(self, request: Request, record: UUID) -> Response:
        """The reading as it stands."""
        return answered(bench_reading(record, clinic=self.the_clinic()))

    @extend_schema(
        operation_id="bench_table_put",
        parameters=SAVE_HEADERS,
        request=shapes.save_of(BenchDocumentShape),
        responses={
            200: shapes.saved_of(BenchDocumentShape),
            201: shapes.saved_of(BenchDocumentShape),
        },
    )
    def put(self, request: Request, record: UUID) -> Response:
        """Store or correct it."""
        saved = entry.save_bench(record, body=save_of(request, opened(request)), acting=self.acting)
        return answered({**saved.answer, "flags": []}, status=201 if saved.created else 200)
