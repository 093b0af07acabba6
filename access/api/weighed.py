"""What the numbers of an access say together, worked out when a person asks."""

from uuid import UUID
from zoneinfo import ZoneInfo

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.resource import Resource
from access.api.shapes.weighed import WeighedShape
from access.audit import trail
from access.records import history
from access.records.history.weighed import weighed


class WeighedResource(Resource):
    """The numbers of one access, weighed together."""

    acts = {"GET": "access:read"}

    @extend_schema(operation_id="access_weighed", responses=WeighedShape)
    def get(self, request: Request, access: UUID) -> Response:
        """Where it narrows, how evenly it is needled and how long each site rested, as far as this clinic sees."""
        clinic = self.the_clinic()
        found = history.get_access(access, user=self.user, clinic=clinic, at=self.now)
        sight = history.sight_of(found.patient, clinic=clinic, at=self.now)
        clock = sight.clock(self.now).astimezone(ZoneInfo(clinic.time_zone))
        profile = history.profile(found, as_of=clock, sight=sight)
        trail.write("access:read", acting=self.acting, subjects=[access], patients=[found.patient_id])
        return Response({"items": weighed(profile, protocol=history.in_force(clinic), as_of=clock)})
