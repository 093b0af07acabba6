"""The one shape of every refusal: a problem document (RFC 9457), in words that a nurse can act on.

``handle`` is the exception handler of the framework; the others answer where a request never reaches a view.
A writer raises, it never answers: ``measures.Refused`` and validation errors become 422 with the field named.
"""

from collections.abc import Iterator, Mapping, Sequence
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig, ValidationError
from django.db import OperationalError
from django.http import Http404, HttpRequest, JsonResponse
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from access.accounts.sign_in import LockedOut
from access.measures import Refused
from access.records.problems import Conflict, Invalid, Missing, Problem

Entry = dict[str, str]
CONTENT_TYPE = "application/problem+json"
LOCKED_OUT = "Too many wrong passwords. Wait 15 minutes, or ask your administrator."
# What a person can do about it, where the raised error has no better words.
IN_WORDS = {
    400: "The request could not be read.",
    401: "Nobody is signed in. Sign in and send it again; what was entered is kept.",
    403: "This is not among what your role in this clinic may do.",
    404: "There is nothing here for you.",
    405: "This address does not take that kind of request.",
    406: "Only JSON is answered here.",
    409: "Somebody else changed the same part in the meantime.",
    413: "The request is too large.",
    415: "Only JSON is read here.",
    422: "Some of what was entered cannot be right.",
    428: "The request must say which version it started from.",
    429: "Too many tries. Wait a while and try again.",
    500: "Something went wrong here. Nothing was saved; what was entered is kept on the device.",
    503: "The records cannot be reached just now. It will be tried again by itself.",
}


def document(request: Any, *, status: int, detail: str = "", errors: Sequence[Entry] = ()) -> dict[str, Any]:
    """The members of one problem document; ``request`` is the id under which the server's log has it."""
    return {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail or IN_WORDS.get(status, HTTPStatus(status).description),
        "fields": list(errors),
        "request": getattr(request, "request_id", ""),
    }


def problem(request: HttpRequest, *, status: int, detail: str = "") -> JsonResponse:
    """A problem document outside the framework's views."""
    return JsonResponse(document(request, status=status, detail=detail), status=status, content_type=CONTENT_TYPE)


def handle(raised: Exception, context: Mapping[str, Any]) -> Response | None:
    """The framework's exception handler; None, and with it a 500, for what nobody foresaw."""
    status, detail, errors = judged(raised)
    if not status:
        return None
    set_rollback()
    body = document(context["request"], status=status, detail=detail, errors=errors)
    if isinstance(raised, Conflict):
        body |= {"parts": list(raised.parts), "yours": raised.yours, "theirs": raised.theirs, "version": raised.version}
    headers = {}
    if scheme := getattr(raised, "auth_header", None):
        headers["WWW-Authenticate"] = scheme
    if status in (429, 503):
        headers["Retry-After"] = str(int(getattr(raised, "wait", None) or 5))
    return Response(body, status=status, headers=headers, content_type=CONTENT_TYPE)


def judged(raised: Exception) -> tuple[int, str, list[Entry]]:
    """Status, detail and errors by field for one raised error; status 0 for what nobody foresaw."""
    match raised:
        case Missing():
            return 404, "", []
        case Invalid():
            return 422, str(raised), [{"field": name, "text": text} for name, text in raised.fields]
        case Problem():
            return 409, str(raised), []
        case LockedOut():
            return 429, str(raised), []
        case Refused():
            return 422, str(raised), [at_field([raised.field], str(raised))] if raised.field else []
        case exceptions.ValidationError():
            return 422, "", list(by_field(raised.detail))
        case ValidationError():
            return 422, "", list(by_field(raised.message_dict if hasattr(raised, "error_dict") else raised.messages))
        case exceptions.APIException():
            return raised.status_code, "" if raised.detail == raised.default_detail else str(raised.detail), []
        case RequestDataTooBig():
            return 413, "", []
        case PermissionDenied():
            return 403, str(raised), []
        case Http404():
            return 404, "", []
        case OperationalError():
            return 503, "", []
    return 0, "", []


def by_field(detail: Any, path: tuple[str, ...] = ()) -> Iterator[Entry]:
    """The sentences of a validation error, each with the field it belongs to."""
    if isinstance(detail, Mapping):
        for name, below in detail.items():
            yield from by_field(below, path if name == "non_field_errors" else (*path, str(name)))
    elif isinstance(detail, list | tuple):
        # A list of rows is numbered; a list of sentences belongs to the field itself.
        for number, below in enumerate(detail):
            yield from by_field(below, (*path, str(number)) if isinstance(below, Mapping | list | tuple) else path)
    else:
        yield at_field(path, str(detail))


def at_field(path: list[str] | tuple[str, ...], text: str) -> Entry:
    """One error: the field's path in the body that was sent, with dots, and the sentence."""
    return {"field": ".".join(path), "text": text}


# Where a request never reaches a view of the framework.


def bad_request(request: HttpRequest, exception: Exception) -> JsonResponse:
    """Django's handler400: a wrong host, a malformed header, too much data."""
    return problem(request, status=413 if isinstance(exception, RequestDataTooBig) else 400)


def forbidden(request: HttpRequest, exception: Exception) -> JsonResponse:
    """Django's handler403."""
    return problem(request, status=403)


def not_found(request: HttpRequest, exception: Exception) -> JsonResponse:
    """Django's handler404; the same whether a record is absent or another clinic's."""
    return problem(request, status=404)


def server_error(request: HttpRequest) -> JsonResponse:
    """Django's handler500; the log has the error under the request's id."""
    return problem(request, status=500)


def csrf_failed(request: HttpRequest, reason: str = "") -> JsonResponse:
    """The answer to a request that another site may have made."""
    return problem(request, status=403, detail="The sign-in of this page has run out. Reload it and sign in again.")


def locked_out(request: HttpRequest, original: object, credentials: object = None) -> JsonResponse:
    """The answer after too many wrong passwords for one person from one address."""
    answer = problem(request, status=429, detail=LOCKED_OUT)
    answer["Retry-After"] = str(15 * 60)
    return answer
