"""Bodies that must be refused before any shape looks at them."""

import json
from typing import Any

import pytest
from django.test import RequestFactory
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView


class Echo(APIView):
    authentication_classes = ()
    permission_classes = ()

    def put(self, request: Request) -> Response:
        return Response(request.data)


def answer_to(body: bytes) -> Response:
    """What the API answers to this body."""
    answer: Response = Echo.as_view()(RequestFactory().put("/", body, content_type="application/json"))
    answer.render()
    return answer


def test_a_body_over_the_limit_is_refused() -> None:
    answer = answer_to(b"[" + b"0," * 600_000 + b"0]")
    assert answer.status_code == 413
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_a_body_at_the_limit_is_read() -> None:
    body = json.dumps("x" * (1024 * 1024 - 2)).encode()
    assert len(body) == 1024 * 1024
    assert answer_to(body).status_code == 200


def test_a_body_that_only_claims_to_be_small_is_read_no_further_than_it_claims() -> None:
    request = RequestFactory().put("/", b'[1]  , "more"', content_type="application/json", CONTENT_LENGTH="3")
    assert Echo.as_view()(request).data == [1]


@pytest.mark.parametrize("depth", [10_000, 200_000])
def test_a_bottomless_body_is_refused(depth: int) -> None:
    answer = answer_to(b"[" * depth + b"]" * depth)
    assert answer.status_code == 400
    assert "nested" in answer.data["detail"]


@pytest.mark.parametrize("unkeepable", ["\0", "\ud800", "thrill \udfff weak"])
@pytest.mark.parametrize("place", [lambda text: text, lambda text: {"note": [{"text": text}]}, lambda text: {text: 1}])
def test_text_that_a_store_cannot_keep_is_refused_wherever_it_stands(place: Any, unkeepable: str) -> None:
    assert answer_to(json.dumps(place(unkeepable)).encode()).status_code == 400


def test_every_other_text_is_kept_as_it_is() -> None:
    said = {"note": "Zwölf Nadeln, \U0001f600, 腕 and a \\u0000 in words"}
    assert answer_to(json.dumps(said).encode()).data == said
