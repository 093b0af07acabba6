"""What every answer carries before anything else looks at the request: content policy, headers, request id.

It stands before WhiteNoise, so that the page's own files carry the same; it decides nothing about who may see what.
"""

import logging
import uuid
from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

# From nothing: each source is named because the page needs it.
CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",  # Maps and charts as pictures; a document shown before it is saved.
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
PERMISSIONS = ", ".join(
    (
        "camera=(self)",  # Scanning a wristband.
        "screen-wake-lock=(self)",  # The timed tests keep the screen on.
        "geolocation=()",
        "microphone=()",
        "payment=()",
        "usb=()",
    )
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "Permissions-Policy": PERMISSIONS,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
ONE_YEAR_S = 365 * 24 * 60 * 60
log = logging.getLogger(__name__)


class Guard:
    """The middleware that gives each request an id and each answer its headers."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        request_id = str(uuid.uuid4())
        request.request_id = request_id  # type: ignore[attr-defined]
        response = self.get_response(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        response.headers["X-Request-ID"] = request_id
        response.headers["Cache-Control"] = cache_rule(request, response)
        if request.is_secure():
            response.headers["Strict-Transport-Security"] = f"max-age={ONE_YEAR_S}; includeSubDomains"
        if response.status_code >= 500:
            log.error("%s for %s %s, request %s", response.status_code, request.method, request.path, request_id)
        return response


def cache_rule(request: HttpRequest, response: HttpResponseBase) -> str:
    """What a browser may keep: nothing of a patient, hashed files for ever, the rest only after asking."""
    if request.path.startswith("/api/"):
        return "no-store"
    if request.path.startswith("/assets/") and response.status_code in (200, 304):
        return response.headers.get("Cache-Control", "no-cache")
    return "no-cache"
