"""Signing in: audited, locked by name and address together, and what one is where and when."""

from datetime import timedelta

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.http import HttpRequest
from django.test import RequestFactory

from access.accounts import clinics, sign_in
from access.accounts.models import Device, DeviceSignIn, Membership, User
from access.accounts.sign_in import LockedOut
from access.audit.models import AuditEntry
from tests.cast import LONG_AGO, NOW, PASSWORD, Cast


def a_request(*, address: str = "192.0.2.7") -> HttpRequest:
    """A browser at this address, with a session of its own."""
    request = RequestFactory().post("/api/v1/session", REMOTE_ADDR=address)
    request.session = SessionStore()
    return request


def tried(
    username: str, *, password: str = PASSWORD, address: str = "192.0.2.7", request: HttpRequest | None = None,
    device_name: str = "",
) -> User | None:  # fmt: skip
    """One try to sign in."""
    asked = request or a_request(address=address)
    return sign_in.sign_in(
        asked, username=username, password=password, device_name=device_name, at=NOW, address=address
    )


def actions() -> list[str]:
    """What the trail says of sign-ins, oldest first."""
    found = AuditEntry.objects.filter(action__startswith="session:").order_by("at", "id")
    return list(found.values_list("action", flat=True))


def test_the_right_password_signs_in_on_the_device_that_is_named(cast: Cast) -> None:
    request = a_request()
    assert tried("ada", request=request, device_name=" Tablet A ") == cast.ada
    noted = DeviceSignIn.objects.get()
    assert (noted.device, noted.user, noted.at) == (cast.tablet, cast.ada, NOW)
    assert request.session["clinic"] == str(cast.north.pk)
    assert request.session["device"] == str(cast.tablet.pk)
    found = AuditEntry.objects.get(action="session:sign-in")
    assert (found.actor, found.clinic, found.device, found.address) == (
        cast.ada.pk, cast.north.pk, cast.tablet.pk, "192.0.2.7",
    )  # fmt: skip


def test_without_a_device_none_is_noted(cast: Cast) -> None:
    assert tried("ada") == cast.ada
    assert not DeviceSignIn.objects.exists()
    assert Device.objects.count() == 1


@pytest.mark.parametrize(("username", "password"), [("ada", "wrong"), ("nobody", PASSWORD), ("", ""), ("ada\x00", "x")])
def test_a_wrong_name_or_password_is_refused_and_noted(cast: Cast, username: str, password: str) -> None:
    assert tried(username, password=password) is None
    assert actions() == ["session:fail"]


def test_whoever_is_no_longer_active_is_refused(cast: Cast) -> None:
    User.objects.filter(pk=cast.ada.pk).update(is_active=False)
    assert tried("ada") is None
    assert sign_in.roles_of(User.objects.get(pk=cast.ada.pk), clinic=cast.north, at=NOW) == frozenset()


def test_five_wrong_passwords_lock_this_name_at_this_address_only(cast: Cast) -> None:
    for _ in range(4):
        assert tried("ada", password="wrong") is None
    with pytest.raises(LockedOut):
        tried("ada", password="wrong")
    with pytest.raises(LockedOut):
        tried("ada")
    assert actions() == ["session:fail"] * 4 + ["session:lock-out"] * 2
    assert tried("ben") == cast.ben  # The same address, which a clinic shares.
    assert tried("ada", address="192.0.2.8") == cast.ada


def test_signing_in_forgets_the_wrong_tries_before_it(cast: Cast) -> None:
    for _ in range(2):
        for _ in range(4):
            assert tried("ada", password="wrong") is None
        assert tried("ada") == cast.ada


def test_signing_out_ends_the_session_and_is_noted(cast: Cast) -> None:
    request = a_request()
    tried("ada", request=request)
    sign_in.sign_out(request, acting=cast.acting(cast.ada))
    assert "clinic" not in request.session
    assert actions() == ["session:sign-in", "session:sign-out"]


def test_roles_and_clinics_hold_from_when_until_when(cast: Cast) -> None:
    assert sign_in.roles_of(cast.ada, clinic=cast.north, at=NOW) == {"nurse"}
    assert sign_in.roles_of(cast.ada, clinic=cast.south, at=NOW) == frozenset()
    assert sign_in.roles_of(cast.ada, clinic=cast.north, at=LONG_AGO - timedelta(days=1)) == frozenset()
    clinics.end_membership(Membership.objects.get(user=cast.ada), until=NOW, acting=cast.acting(cast.dov))
    assert sign_in.clinics_of(cast.ada, at=NOW - timedelta(seconds=1)) == [cast.north]
    assert sign_in.clinics_of(cast.ada, at=NOW) == []
    assert sign_in.post_of(cast.ada, clinic=cast.north, at=NOW) == ""
    assert sign_in.post_of(cast.ben, clinic=cast.north, at=NOW) == "physician"


def test_one_works_only_in_a_clinic_that_one_belongs_to(cast: Cast) -> None:
    request = a_request()
    tried("ada", request=request, device_name="Tablet A")
    assert sign_in.choose_clinic(request, user=cast.ada, clinic=cast.south.pk, at=NOW) is None
    acting = cast.acting(cast.dov)
    clinics.add_member(cast.south, user=cast.ada, role="nurse", post="nurse", since=LONG_AGO, acting=acting)
    assert sign_in.choose_clinic(request, user=cast.ada, clinic=cast.south.pk, at=NOW) == cast.south
    assert request.session["clinic"] == str(cast.south.pk)
    assert Device.objects.get(pk=request.session["device"]).clinic == cast.south
