"""The described API: committed as it is, and thrown at with cases made from it, none of which may end in a 5xx."""

import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from django.core.management import call_command
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from django.test import Client
from hypothesis import HealthCheck, settings
from schemathesis.specs.openapi.checks import positive_data_acceptance

from access.wsgi import application
from tests.cast import Cast

CONTRACT = Path(__file__).parents[2] / "frontend" / "data" / "contract.json"
EXAMPLES = int(os.environ.get("API_EXAMPLES", "25"))
# What changes the sign-in itself would end the run of everything after it.
schema = schemathesis.openapi.from_wsgi("/api/v1/schema", application).exclude(
    operation_id_regex="^session_(post|delete)$"
)


def test_the_committed_contract_is_what_the_api_says(tmp_path: Path) -> None:
    told = tmp_path / "contract.json"
    call_command("spectacular", format="openapi-json", file=str(told), fail_on_warn=True, validate=True)
    assert json.loads(told.read_text()) == json.loads(CONTRACT.read_text()), (
        "Run: python3 manage.py spectacular --format openapi-json --file frontend/data/contract.json"
    )


@pytest.fixture
def headers(cast: Cast) -> Iterator[dict[str, str]]:
    """The cookie and token of a coordinator, who may do most, on the test's own connection.

    A bare WSGI call would close that connection; the test client keeps it, and lets the next one close it again.
    """
    client = Client()
    client.force_login(cast.dov, backend="django.contrib.auth.backends.ModelBackend")
    token = client.get("/api/v1/session").json()["csrf"]
    cookies = "; ".join(f"{name}={morsel.value}" for name, morsel in client.cookies.items())
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield {"Cookie": cookies, "X-CSRFToken": token}
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@schema.parametrize()
@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_made_up_request_ends_in_a_server_error(case: Any, headers: dict[str, str]) -> None:
    with transaction.atomic():
        case.call_and_validate(headers=headers, excluded_checks=[positive_data_acceptance])
        transaction.set_rollback(True)
