"""Signed-in clients for the tests of the API, on a clock that stands where the cast's does."""

from collections.abc import Callable
from datetime import datetime
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client
from uuid_utils.compat import uuid7

from access.accounts.models import User
from tests.cast import NOW

ROOT = "/api/v1"


class Asking:
    """A browser of one person; answers come back as they are."""

    def __init__(self, user: User | None) -> None:
        self.client = Client()
        if user is not None:
            self.client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")

    def get(self, address: str, **query: Any) -> Any:
        """GET an address under the API."""
        return self.client.get(f"{ROOT}/{address}", query)

    def put(self, address: str, body: Any, *, version: int | str | None = None, new: bool = False) -> Any:
        """PUT a body, from a version or as new."""
        headers = {"If-Match": f'"{version}"'} if version is not None else {}
        headers |= {"If-None-Match": "*"} if new else {}
        return self.client.put(f"{ROOT}/{address}", body, content_type="application/json", headers=headers)

    def post(self, address: str, body: Any = None) -> Any:
        """POST a body."""
        return self.client.post(f"{ROOT}/{address}", body or {}, content_type="application/json")


@pytest.fixture
def asking(monkeypatch: pytest.MonkeyPatch) -> Callable[[User | None], Asking]:
    """Opens a browser for a person, while the API's clock stands."""
    stand_still(monkeypatch, NOW)
    return Asking


def stand_still(monkeypatch: pytest.MonkeyPatch, at: datetime) -> None:
    """Let the API's one clock stand at a time."""
    monkeypatch.setattr("access.api.resource.timezone", SimpleNamespace(now=lambda: at))


def save(document: dict[str, Any], **envelope: Any) -> dict[str, Any]:
    """The envelope around a document, with a new save id."""
    return {"save_id": str(uuid7()), "document": document, **envelope}


def said(answer: Any) -> dict[str, Any]:
    """What a problem document says, without the id of its own request."""
    return {name: value for name, value in answer.json().items() if name not in ("instance", "request")}
