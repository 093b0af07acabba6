"""Who asks: a stranger gets 401 with a scheme, a forged request is refused."""

import pytest
from django.contrib.auth import get_user_model
from django.http import HttpRequest
from django.test import RequestFactory
from pytest_django import Settings
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from access.api.authentication import client_address


class Anything(APIView):
    def get(self, request: Request) -> Response:
        return Response({})

    post = get


def test_a_stranger_is_asked_to_sign_in() -> None:
    answer = Anything.as_view()(RequestFactory().get("/"))
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"] == "Session"


@pytest.mark.parametrize(("method", "status"), [("get", 200), ("post", 403)])
def test_a_signed_in_browser_must_show_its_token_before_it_changes_anything(method: str, status: int) -> None:
    request = getattr(RequestFactory(enforce_csrf_checks=True), method)("/")
    request.user = get_user_model()(is_active=True)
    assert Anything.as_view()(request).status_code == status


def asked_through(forwarded: str) -> HttpRequest:
    """A request from 10.0.0.1 with this list of forwarders."""
    return RequestFactory().get("/", REMOTE_ADDR="10.0.0.1", HTTP_X_FORWARDED_FOR=forwarded)


def test_a_forwarded_address_is_not_believed_without_a_proxy(settings: Settings) -> None:
    settings.BEHIND_PROXY = False
    assert client_address(asked_through("203.0.113.9")) == "10.0.0.1"


def test_behind_a_proxy_the_address_is_the_one_that_the_proxy_saw(settings: Settings) -> None:
    settings.BEHIND_PROXY = True
    # The first is what the caller wrote itself, the last what the proxy added.
    assert client_address(asked_through("198.51.100.1, 203.0.113.9")) == "203.0.113.9"
