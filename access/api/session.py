"""Sign-in: who is signed in, in which clinic, on which tablet; and the token against forged requests."""

from typing import Any

from django.middleware.csrf import get_token
from drf_spectacular.utils import extend_schema
from rest_framework.exceptions import AuthenticationFailed, NotFound
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response

from access.accounts import sign_in
from access.accounts.models import Clinic, User
from access.api.authentication import Session, client_address
from access.api.envelope import opened
from access.api.resource import Resource, acts_of
from access.api.shapes.session import ClinicChoiceShape, SessionShape, SignInShape

REFUSED = "Name or password is wrong. Type them again; after five wrong tries the sign-in waits 15 minutes."


class SessionResource(Resource):
    """The sign-in of this browser."""

    permission_classes = [AllowAny]

    @extend_schema(operation_id="session_get", responses=SessionShape)
    def get(self, request: Request) -> Response:
        """Who is signed in, or nobody."""
        return Response(self.body())

    @extend_schema(operation_id="session_post", request=SignInShape, responses=SessionShape)
    def post(self, request: Request) -> Response:
        """Sign in; audited, and locked out after five wrong tries of one name from one address."""
        # The framework asks for the token only once somebody is signed in; another site must not sign a person in.
        Session().enforce_csrf(request)
        asked = opened(request, SignInShape)
        user = sign_in.sign_in(
            request._request,
            username=asked["username"],
            password=asked["password"],
            device_name=asked.get("device_name", ""),
            at=self.now,
            address=client_address(request) or "",
        )
        if user is None:
            raise AuthenticationFailed(REFUSED)
        request.user = user
        return Response(self.body())

    @extend_schema(operation_id="session_delete", request=None, responses={204: None})
    def delete(self, request: Request) -> Response:
        """Sign out."""
        if isinstance(request.user, User):
            sign_in.sign_out(request._request, acting=self.acting)
        return Response(status=204)

    def body(self) -> dict[str, Any]:
        """What the page needs to know of the sign-in."""
        token = get_token(self.request._request)
        base: dict[str, Any] = {"csrf": token, "now": self.now, "device": self.request.session.get("device") or None}
        if not isinstance(self.request.user, User):
            return {**base, "user": None, "clinics": [], "clinic": None, "acts": []}
        clinics = sign_in.clinics_of(self.user, at=self.now)
        return {
            **base,
            "user": {"id": self.user.pk, "name": self.user.full_name},
            "clinics": [self.brief(one) for one in clinics],
            "clinic": self.clinic_body(self.clinic) if self.clinic else None,
            "acts": acts_of(self.roles),
        }

    def brief(self, clinic: Clinic) -> dict[str, Any]:
        """One clinic of the person, with the roles there."""
        return {
            "id": clinic.pk,
            "name": clinic.name,
            "roles": sorted(sign_in.roles_of(self.user, clinic=clinic, at=self.now)),
            "post": sign_in.post_of(self.user, clinic=clinic, at=self.now),
        }

    def clinic_body(self, clinic: Clinic) -> dict[str, Any]:
        """The clinic in which the person works now."""
        return {
            "id": clinic.pk,
            "name": clinic.name,
            "time_zone": clinic.time_zone,
            "clock_style": clinic.clock_style,
            "urea_unit": clinic.urea_unit,
            "height_formula": clinic.height_formula,
            "is_demo": clinic.is_demo,
            "emergency_contacts": clinic.emergency_contacts,
            "shifts": clinic.shifts,
            "examines_alone": sign_in.post_of(self.user, clinic=clinic, at=self.now) in clinic.examining_posts,
        }


class ClinicChoiceResource(SessionResource):
    """The clinic in which one works, for people of several."""

    permission_classes = Resource.permission_classes
    http_method_names = ["put"]

    @extend_schema(operation_id="session_clinic", request=ClinicChoiceShape, responses=SessionShape)
    def put(self, request: Request) -> Response:
        """Choose one of one's own clinics."""
        chosen = opened(request, ClinicChoiceShape)["clinic"]
        if sign_in.choose_clinic(request._request, user=self.user, clinic=chosen, at=self.now) is None:
            raise NotFound
        return Response(self.body())
