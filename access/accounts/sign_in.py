"""Signing in and out, and what a signed-in person is at a clinic at a time.

What a role may do stands in ``permissions``; how a refusal looks is the API's business.
"""

from datetime import datetime
from uuid import UUID

from axes.handlers.proxy import AxesProxyHandler
from django.contrib.auth import authenticate, login, logout
from django.db import transaction
from django.db.models import Q
from django.http import HttpRequest

from access.accounts.models import Clinic, Device, DeviceSignIn, Membership, User
from access.audit import trail
from access.audit.trail import Acting

LONGEST_DEVICE_NAME = LONGEST_USERNAME = 60


class LockedOut(Exception):
    """Too many wrong passwords for this username from this address."""

    def __init__(self) -> None:
        super().__init__("Too many wrong passwords. Wait 15 minutes, or ask your administrator.")


def sign_in(
    request: HttpRequest, *, username: str, password: str, device_name: str = "", at: datetime, address: str
) -> User | None:
    """Sign a person in on this browser, and note on which of the clinic's devices; None when refused.

    Raises
    ------
    LockedOut
        When this username was refused too often from this address; the address alone never locks.
    """
    acting = Acting(user=None, clinic=None, at=at, address=address, request=getattr(request, "request_id", ""))
    if not _could_be_a_name(username):
        trail.write("session:fail", acting=acting)
        return None
    known = User.objects.filter(username=username).values_list("pk", flat=True)
    allowed = AxesProxyHandler.is_allowed(request, {"username": username})
    user = authenticate(request, username=username, password=password) if allowed else None
    if not isinstance(user, User):
        locked = not allowed or getattr(request, "axes_locked_out", False)
        trail.write("session:lock-out" if locked else "session:fail", acting=acting, subjects=known)
        if locked:
            raise LockedOut
        return None
    login(request, user)
    _begin(request, user=user, device_name=device_name, acting=acting)
    return user


def _could_be_a_name(username: str) -> bool:
    """Whether the store could hold this username at all."""
    return 0 < len(username) <= LONGEST_USERNAME and username.isprintable()


@transaction.atomic
def _begin(request: HttpRequest, *, user: User, device_name: str, acting: Acting) -> None:
    clinic = next(iter(clinics_of(user, at=acting.at)), None)
    device = on_device(user, clinic=clinic, name=device_name, at=acting.at) if clinic else None
    request.session["clinic"] = str(clinic.pk) if clinic else ""
    request.session["device"] = str(device.pk) if device else ""
    request.session["device_name"] = device_name
    who = Acting(
        user=user.pk,
        clinic=clinic.pk if clinic else None,
        at=acting.at,
        device=device.pk if device else None,
        address=acting.address,
        request=acting.request,
    )
    trail.write("session:sign-in", acting=who, subjects=[user.pk])


def on_device(user: User, *, clinic: Clinic, name: str, at: datetime) -> Device | None:
    """Note that a person signed in on a clinic's device; without a name there is no device."""
    name = name.strip()[:LONGEST_DEVICE_NAME]
    if not name or not name.isprintable():
        return None
    device, _ = Device.objects.get_or_create(clinic=clinic, name=name)
    DeviceSignIn.objects.create(device=device, user=user, at=at)
    return device


@transaction.atomic
def choose_clinic(request: HttpRequest, *, user: User, clinic: UUID, at: datetime) -> Clinic | None:
    """Work in another of one's own clinics from now on; None when it is not one of them."""
    chosen = next((one for one in clinics_of(user, at=at) if one.pk == clinic), None)
    if chosen is None:
        return None
    device = on_device(user, clinic=chosen, name=request.session.get("device_name", ""), at=at)
    request.session["clinic"] = str(chosen.pk)
    request.session["device"] = str(device.pk) if device else ""
    return chosen


def sign_out(request: HttpRequest, *, acting: Acting) -> None:
    """End the sign-in of this browser."""
    trail.write("session:sign-out", acting=acting, subjects=[acting.user] if acting.user else [])
    logout(request)


def _holding(at: datetime) -> Q:
    return Q(since__lte=at) & (Q(until__isnull=True) | Q(until__gt=at))


def clinics_of(user: User, *, at: datetime) -> list[Clinic]:
    """The clinics a person belongs to at a time, by name."""
    memberships = Membership.objects.filter(_holding(at), user=user)
    return list(Clinic.objects.filter(pk__in=memberships.values("clinic")))


def roles_of(user: User, *, clinic: Clinic, at: datetime) -> frozenset[str]:
    """The roles of a person at a clinic at a time."""
    if not user.is_active:
        return frozenset()
    return frozenset(Membership.objects.filter(_holding(at), user=user, clinic=clinic).values_list("role", flat=True))


def post_of(user: User, *, clinic: Clinic, at: datetime) -> str:
    """The post of a person at a clinic in its own words; empty when there is none."""
    memberships = Membership.objects.filter(_holding(at), user=user, clinic=clinic).order_by("since", "pk")
    return memberships.values_list("post", flat=True).first() or ""
