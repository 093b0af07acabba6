"""The protocol in force: every limit with its source and standing, and the clinic's own word on it."""

from dataclasses import asdict
from typing import Any

from django.db import transaction
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from access.accounts import clinics
from access.accounts.models import Clinic
from access.api.envelope import opened
from access.api.resource import Resource
from access.api.shapes.session import LimitChangeShape, ProtocolShape
from access.records import history


def body(clinic: Clinic) -> dict[str, Any]:
    """The protocol of a clinic with its own limits in place."""
    protocol = history.in_force(clinic)
    return {
        "id": protocol.id,
        "name": protocol.name,
        "version": protocol.version,
        "unconfirmed": len(protocol.unconfirmed()),
        "limits": [asdict(one) for one in sorted(protocol.limits.values(), key=lambda limit: limit.id)],
    }


class ProtocolResource(Resource):
    """The limits in force."""

    acts = {"GET": "clinic:read"}

    @extend_schema(operation_id="protocol", responses=ProtocolShape)
    def get(self, request: Request) -> Response:
        """All of them."""
        return Response(body(self.the_clinic()))


class LimitResource(Resource):
    """One limit, as the clinic sets or confirms it."""

    acts = {"PUT": "limit:change"}

    @extend_schema(operation_id="limit_put", request=LimitChangeShape, responses=ProtocolShape)
    def put(self, request: Request, limit: str) -> Response:
        """Set or confirm it, with the reason; the rows before stay."""
        asked = opened(request, LimitChangeShape)
        with transaction.atomic():
            clinics.set_limit(self.the_clinic(), limit=limit, acting=self.acting, **asked)
            # What the protocol refuses leaves nothing behind.
            return Response(body(self.the_clinic()))
