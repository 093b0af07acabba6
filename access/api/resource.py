"""What every resource shares: who acts, for which clinic, and whether the role may do it.

It looks at roles only; whose record it is, the readers and writers of ``records`` answer with a 404.
"""

from functools import cached_property
from typing import Any, ClassVar
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.exceptions import APIException, NotAuthenticated, PermissionDenied
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from access.accounts.models import Clinic, User
from access.accounts.permissions import PERMISSIONS, may
from access.accounts.sign_in import clinics_of, roles_of
from access.api.authentication import client_address
from access.audit.trail import Acting
from access.records.entry import Save

IF_MATCH = OpenApiParameter("If-Match", str, OpenApiParameter.HEADER, description="The version started from.")
IF_NONE_MATCH = OpenApiParameter("If-None-Match", str, OpenApiParameter.HEADER, description="* for a new record.")
SAVE_HEADERS = [IF_MATCH, IF_NONE_MATCH]


class VersionMissing(APIException):
    """The request does not say which version it started from."""

    status_code = 428
    default_detail = "The save must say which version it started from (If-Match), or that it is new (If-None-Match)."


class ByTable(BasePermission):
    """Asks the permission table for the act that the resource names for this method."""

    message = "This is not among what your role in this clinic may do."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether one of the person's roles in the chosen clinic may do it."""
        if not isinstance(view, Resource) or not request.user.is_authenticated:
            return False
        act = view.acts.get(request.method or "")
        return act is None or may(view.roles, act)


class Resource(APIView):
    """A view that names the act of each of its methods."""

    acts: ClassVar[dict[str, str]] = {}
    permission_classes = [ByTable]

    @cached_property
    def now(self) -> Any:
        """The moment of this request: the one clock that everything below is handed."""
        return timezone.now()

    @property
    def user(self) -> User:
        """Who is signed in."""
        user = self.request.user
        if not isinstance(user, User):
            raise NotAuthenticated
        return user

    @cached_property
    def clinic(self) -> Clinic | None:
        """The clinic chosen at sign-in, while the person still belongs to it; else the first."""
        clinics = {str(one.id): one for one in clinics_of(self.user, at=self.now)}
        chosen = self.request.session.get("clinic", "")
        return clinics.get(chosen) or next(iter(clinics.values()), None)

    @cached_property
    def roles(self) -> frozenset[str]:
        """The person's roles in that clinic."""
        return roles_of(self.user, clinic=self.clinic, at=self.now) if self.clinic else frozenset()

    @cached_property
    def acting(self) -> Acting:
        """Who acts, for the writers and the trail."""
        device = self.request.session.get("device")
        return Acting(
            user=self.user.pk,
            clinic=self.clinic.pk if self.clinic else None,
            at=self.now,
            device=UUID(device) if device else None,
            address=client_address(self.request) or "",
            request=getattr(self.request, "request_id", ""),
        )

    def the_clinic(self) -> Clinic:
        """The chosen clinic, where the permission table has already asked for a role in one."""
        if self.clinic is None:
            raise PermissionDenied
        return self.clinic


def acts_of(roles: frozenset[str]) -> list[str]:
    """Every act that these roles may do, for the page to hide what would be refused."""
    return sorted(act for act in PERMISSIONS if may(roles, act))


def save_of(request: Request, body: dict[str, Any]) -> Save:
    """The save that an envelope and its headers describe.

    Raises
    ------
    VersionMissing
        When neither If-Match nor If-None-Match is sent.
    """
    match = request.headers.get("If-Match", "").strip().removeprefix("W/").strip('"')
    create = request.headers.get("If-None-Match", "").strip() == "*"
    if not create and not (match.isascii() and match.isdigit() and len(match) < 10):
        raise VersionMissing
    return Save(
        save_id=body["save_id"],
        base_version=None if create else int(match),
        create=create,
        document=body["document"],
        recorded_by=body.get("recorded_by"),
        device=body.get("device"),
        device_now=body.get("device_now"),
        reason=body.get("reason", ""),
        replaces=tuple(body.get("replaces", ())),
    )


def answered(body: dict[str, Any], *, status: int = 200) -> Response:
    """An answer with the version as its entity tag."""
    return Response(body, status=status, headers={"ETag": f'"{body["version"]}"'})
