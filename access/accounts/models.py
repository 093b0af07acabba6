"""Who works where: users, clinics with their protocol, stations, devices, roles and posts.

What a role may do stands in ``permissions``; patients stand in ``access.records``.
"""

from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import F, Q
from uuid_utils.compat import uuid7

ROLES = ("nurse", "coordinator", "nephrologist", "administrator")


class UserManager(BaseUserManager["User"]):
    """Creates users; there is no superuser, since no role stands above the permission table."""

    def create_user(self, username: str, *, full_name: str, password: str | None = None) -> "User":
        """Store a user with a hashed password."""
        user = self.model(username=username, full_name=full_name)
        user.set_password(password)
        user.save()
        return user


class User(AbstractBaseUser):
    """A person who signs in."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    username = models.CharField(max_length=60, unique=True)
    full_name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "username"
    objects: ClassVar[UserManager] = UserManager()

    def __str__(self) -> str:
        return self.full_name


class Clinic(models.Model):
    """A dialysis unit with the protocol in force and whom to call in an emergency."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    name = models.CharField(max_length=120, unique=True)
    time_zone = models.CharField(max_length=60, default="UTC")
    clock_style = models.CharField(max_length=4, default="24 h")
    protocol = models.CharField(max_length=60, default="kdoqi-2019-supplement")
    urea_unit = models.CharField(max_length=6, default="mg/dL")
    height_formula = models.CharField(max_length=20, default="hydrostatic")
    # [{"who": "Physician on call", "number": "..."}], in the order in which to call.
    emergency_contacts = models.JSONField(default=list)
    # [{"name": "morning", "starts": "06:30", "ends": "11:30"}]; a shift may end on the next day.
    shifts = models.JSONField(default=list)
    # The posts whose holders may record the examination alone; others need a second name.
    examining_posts = models.JSONField(default=list)
    is_demo = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(name="clinic_clock_style", condition=Q(clock_style__in=["24 h", "12 h"])),
            models.CheckConstraint(name="clinic_urea_unit", condition=Q(urea_unit__in=["mg/dL", "mmol/L"])),
        ]

    def __str__(self) -> str:
        return self.name


class ClinicLimit(models.Model):
    """A limit of the protocol as this clinic set or confirmed it; the newest row of a limit counts."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="limits")
    protocol = models.CharField(max_length=60)
    limit = models.CharField(max_length=80)
    value = models.FloatField()
    confirmed = models.BooleanField(default=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    why = models.CharField(max_length=400)

    class Meta:
        ordering = ["clinic", "limit", "at", "id"]

    def __str__(self) -> str:
        return f"{self.limit} = {self.value:g}"


class Membership(models.Model):
    """What a user is at a clinic: a role the program knows and a post in the clinic's own words."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="memberships")
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=20)
    post = models.CharField(max_length=60)
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["clinic", "user", "since", "id"]
        constraints = [
            models.CheckConstraint(name="membership_role", condition=Q(role__in=ROLES)),
            models.CheckConstraint(
                name="membership_since_until", condition=Q(until__isnull=True) | Q(until__gt=F("since"))
            ),
            models.UniqueConstraint(
                name="membership_one_open", fields=["user", "clinic", "role"], condition=Q(until__isnull=True)
            ),
        ]

    def __str__(self) -> str:
        return f"{self.role} at {self.clinic_id}"


class StaffMember(models.Model):
    """Somebody who needles or assists, with or without a sign-in of their own."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="staff")
    name = models.CharField(max_length=120)
    post = models.CharField(max_length=60)
    user = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["clinic", "name", "id"]

    def __str__(self) -> str:
        return self.name


class Station(models.Model):
    """A dialysis place: its machine type's pressure limit and the heights of its chambers."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="stations")
    name = models.CharField(max_length=40)
    machine_type = models.CharField(max_length=60, blank=True)
    venous_limit_mmhg = models.FloatField(null=True, blank=True)
    arterial_chamber_height_cm = models.FloatField(null=True, blank=True)
    venous_chamber_height_cm = models.FloatField(null=True, blank=True)
    heights_measured_on = models.DateField(null=True, blank=True)
    isolation_only = models.BooleanField(default=False)

    class Meta:
        ordering = ["clinic", "name", "id"]
        constraints = [models.UniqueConstraint(name="station_name", fields=["clinic", "name"])]

    def __str__(self) -> str:
        return self.name


class Device(models.Model):
    """A shared tablet of a clinic."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="devices")
    name = models.CharField(max_length=60)

    class Meta:
        ordering = ["clinic", "name", "id"]
        constraints = [models.UniqueConstraint(name="device_name", fields=["clinic", "name"])]

    def __str__(self) -> str:
        return self.name


class DeviceSignIn(models.Model):
    """Who had signed in on which device and when: what lets another send her entry later."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="sign_ins")
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["device", "at", "id"]
        indexes = [models.Index(fields=["device", "user", "at"], name="device_sign_in")]

    def __str__(self) -> str:
        return f"{self.user_id} on {self.device_id}"
