"""What each kind of error becomes for the person who sent the request."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import OperationalError
from django.http import Http404
from django.test import RequestFactory
from rest_framework import exceptions, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from access.api import problems
from access.measures import Refused


class Puncture(serializers.Serializer[Any]):
    along_cm = serializers.FloatField(max_value=40)


class Sent(serializers.Serializer[Any]):
    needles = Puncture(many=True)


def answer_to(raised: Exception, **sent: Any) -> Response:
    """What a view answers that raises this."""

    class Raising(APIView):
        authentication_classes = ()
        permission_classes = ()

        def post(self, request: Request) -> Response:
            assert request.data is not None
            raise raised

    request = RequestFactory().post("/", **{"data": "{}", "content_type": "application/json", **sent})
    answer: Response = Raising.as_view()(request)
    answer.render()
    return answer


@pytest.mark.parametrize(
    ("raised", "status"),
    [
        (Http404(), 404),
        (PermissionDenied(), 403),
        (exceptions.NotAuthenticated(), 403),  # 401 only where a scheme is named; see test_authentication.
        (exceptions.MethodNotAllowed("PUT"), 405),
        (exceptions.Throttled(wait=7), 429),
        (OperationalError("database is locked"), 503),
        (ValidationError("no"), 422),
        (Refused("no"), 422),
    ],
)
def test_each_refusal_is_a_problem_document_with_its_status_in_it(raised: Exception, status: int) -> None:
    answer = answer_to(raised)
    assert answer.status_code == answer.data["status"] == status
    assert answer.headers["Content-Type"] == "application/problem+json"
    # RFC 9457, section 4.2.1: with about:blank the title is the phrase of the status code.
    assert answer.data["type"] == "about:blank"
    assert answer.data["title"]
    assert answer.data["detail"]


def test_a_refused_number_is_named_with_its_field_and_the_reason() -> None:
    answer = answer_to(Refused("S is below V: 20 against 30 mg/dL", field="systemic"))
    assert answer.data["detail"] == "S is below V: 20 against 30 mg/dL"
    assert answer.data["fields"] == [{"field": "systemic", "text": "S is below V: 20 against 30 mg/dL"}]


def test_an_error_in_one_row_points_to_that_row() -> None:
    sent = Sent(data={"needles": [{"along_cm": 6}, {"along_cm": 90}]})
    assert not sent.is_valid()
    fields = answer_to(exceptions.ValidationError(sent.errors)).data["fields"]
    assert [at["field"] for at in fields] == ["needles.1.along_cm"]


def test_an_error_of_the_whole_document_points_to_the_whole_document() -> None:
    answer = answer_to(exceptions.ValidationError({"non_field_errors": ["Two needles in one spot."]}))
    assert answer.data["fields"] == [{"field": "", "text": "Two needles in one spot."}]


def test_an_error_of_a_model_names_its_fields() -> None:
    answer = answer_to(ValidationError({"born_on": ["This date is in the future."]}))
    assert answer.data["fields"] == [{"field": "born_on", "text": "This date is in the future."}]


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        ({"data": "{"}, 400),
        ({"data": '{"flow": NaN}'}, 400),
        ({"data": b"\xff\xfe"}, 400),
        ({"data": "flow=3", "content_type": "application/x-www-form-urlencoded"}, 415),
        ({"data": "<flow/>", "content_type": "text/xml"}, 415),
    ],
)
def test_what_cannot_be_read_is_refused_as_such(sent: dict[str, Any], status: int) -> None:
    answer = answer_to(AssertionError("the body was read"), **sent)
    assert answer.status_code == answer.data["status"] == status


def test_a_wait_is_told_to_the_sender() -> None:
    assert answer_to(exceptions.Throttled(wait=7)).headers["Retry-After"] == "7"
    assert answer_to(OperationalError()).headers["Retry-After"] == "5"


def test_a_store_that_fails_tells_nothing_of_itself() -> None:
    assert "password" not in str(answer_to(OperationalError("password authentication failed")).data)


def test_what_nobody_foresaw_is_not_turned_into_an_answer() -> None:
    with pytest.raises(ZeroDivisionError):
        answer_to(ZeroDivisionError())


@pytest.mark.parametrize(
    ("answer", "status"),
    [
        (lambda request: problems.bad_request(request, Exception()), 400),
        (lambda request: problems.forbidden(request, Exception()), 403),
        (lambda request: problems.not_found(request, Exception()), 404),
        (problems.server_error, 500),
        (problems.csrf_failed, 403),
        (lambda request: problems.locked_out(request, None), 429),
    ],
)
def test_the_server_itself_refuses_in_the_same_shape(answer: Callable[..., Any], status: int) -> None:
    answered = answer(RequestFactory().get("/"))
    assert answered.status_code == status
    assert answered.headers["Content-Type"] == "application/problem+json"
