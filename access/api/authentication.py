"""Sign-in for the API by Django's session, so that a browser's request is checked against forgery too.

It decides only who asks and from where; what that person may do stands in ``accounts.permissions``.
"""

from django.conf import settings
from django.http import HttpRequest
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import SessionAuthentication
from rest_framework.request import Request


class Session(SessionAuthentication):
    """Django's session; whoever is not signed in gets 401, never 403."""

    def authenticate_header(self, request: Request) -> str:
        """The scheme named with a 401. Without one the framework would answer 403, and the page would give up."""
        return "Session"


class SessionInSchema(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """Describes the session cookie in the schema."""

    target_class = "access.api.authentication.Session"
    name = "session"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        """An API key that travels in the session cookie."""
        return {"type": "apiKey", "in": "cookie", "name": "sessionid"}


def client_address(request: HttpRequest) -> str:
    """The address that the request came from; behind a proxy the one that the proxy saw, the last in its list."""
    seen = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.BEHIND_PROXY else ""
    return seen.rsplit(",", 1)[-1].strip() or request.META.get("REMOTE_ADDR", "")
