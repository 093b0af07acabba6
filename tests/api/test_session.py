"""Signing in through the API: who is told what, who is locked out, and what a forged request gets."""

from collections.abc import Callable

import pytest
from django.test import Client

from tests.api.conftest import ROOT, Asking
from tests.cast import PASSWORD, Cast

Ask = Callable[..., Asking]


def signing_in(browser: Asking, username: str, password: str) -> int:
    status: int = browser.post("session", {"username": username, "password": password}).status_code
    return status


@pytest.mark.django_db
def test_nobody_is_told_so_and_gets_a_token(asking: Ask) -> None:
    body = asking(None).get("session").json()
    assert body["user"] is None and body["clinic"] is None and body["acts"] == []
    assert len(body["csrf"]) > 30


def test_a_nurse_signs_in_and_is_told_her_clinic_and_what_she_may_do(asking: Ask, cast: Cast) -> None:
    answer = asking(None).post("session", {"username": "ada", "password": PASSWORD})
    assert answer.status_code == 200
    body = answer.json()
    assert body["user"]["name"] == cast.ada.full_name and body["clinic"]["name"] == cast.north.name
    assert "treatment:change" in body["acts"] and "decision:create" not in body["acts"]


def test_a_wrong_password_is_refused_in_words(asking: Ask, cast: Cast) -> None:
    answer = asking(None).post("session", {"username": "ada", "password": "wrong"})
    assert answer.status_code == 401
    assert "wrong" in answer.json()["detail"]


def test_six_wrong_tries_lock_that_name_out_and_nobody_else(asking: Ask, cast: Cast) -> None:
    browser = asking(None)
    statuses = [signing_in(browser, "ada", "wrong") for _ in range(6)]
    assert statuses[0] == 401 and statuses[-1] == 429
    assert signing_in(browser, "ada", PASSWORD) == 429
    assert signing_in(asking(None), "dov", PASSWORD) == 200


def test_signing_out_ends_it(asking: Ask, cast: Cast) -> None:
    browser = asking(cast.ada)
    assert browser.client.delete(f"{ROOT}/session").status_code == 204
    assert browser.get("session").json()["user"] is None
    assert browser.get("today").status_code == 401


def test_a_forged_request_is_refused(asking: Ask, cast: Cast) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
    assert client.delete(f"{ROOT}/session").status_code == 403
    token = client.get(f"{ROOT}/session").json()["csrf"]
    assert client.delete(f"{ROOT}/session", headers={"X-CSRFToken": token}).status_code == 204


def test_another_site_cannot_sign_a_person_in(asking: Ask, cast: Cast) -> None:
    client = Client(enforce_csrf_checks=True)
    body = {"username": "ada", "password": PASSWORD}
    assert client.post(f"{ROOT}/session", body, content_type="application/json").status_code == 403
    token = client.get(f"{ROOT}/session").json()["csrf"]
    said = client.post(f"{ROOT}/session", body, content_type="application/json", headers={"X-CSRFToken": token})
    assert said.status_code == 200


def test_only_ones_own_clinic_can_be_chosen(asking: Ask, cast: Cast) -> None:
    browser = asking(cast.ada)
    assert browser.put("session/clinic", {"clinic": str(cast.south.pk)}).status_code == 404
    assert browser.put("session/clinic", {"clinic": str(cast.north.pk)}).json()["clinic"]["name"] == cast.north.name


def test_no_answer_may_be_kept_by_a_cache(asking: Ask, cast: Cast) -> None:
    for address in ("session", "today", "nothing"):
        assert asking(cast.ada).get(address)["Cache-Control"] == "no-store"
