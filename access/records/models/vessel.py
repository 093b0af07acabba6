"""Fistulas and grafts: the vessel itself, its zones, holds and events."""

from typing import get_args

from django.db import models
from django.db.models import F, Q

from access.measures import words
from access.records.models.base import Observed, Versioned, in_order, one_of, within
from access.records.models.people import Patient


class VascularAccess(Versioned):
    """A fistula or graft of a patient, past or present."""

    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="accesses")
    kind = models.CharField(max_length=10)
    configuration = models.CharField(max_length=40)
    side = models.CharField(max_length=5)
    status = models.CharField(max_length=12, default="in use")
    created_on = models.DateField(null=True, blank=True)
    weeks_to_first_use = models.PositiveSmallIntegerField(null=True, blank=True)
    first_needled_on = models.DateField(null=True, blank=True)
    needled_from_cm = models.FloatField(default=0)
    needled_to_cm = models.FloatField()
    depth_cm = models.FloatField(null=True, blank=True)
    diameter_cm = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["patient", "created_on", "id"]
        constraints = [
            one_of("access_kind", field="kind", words=get_args(words.Kind)),
            one_of("access_configuration", field="configuration", words=get_args(words.Configuration)),
            one_of("access_side", field="side", words=get_args(words.Side)),
            one_of("access_status", field="status", words=get_args(words.AccessStatus)),
            in_order("access_first_needled", start="created_on", end="first_needled_on"),
            models.CheckConstraint(
                name="access_needled_length",
                condition=Q(needled_from_cm__gte=0) & Q(needled_to_cm__gt=F("needled_from_cm")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.side} {self.configuration}"


class Zone(Versioned):
    """A stretch of the vessel to keep off, or to take care in."""

    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="zones")
    from_cm = models.FloatField()
    to_cm = models.FloatField()
    why = models.CharField(max_length=20)
    action = models.CharField(max_length=10)
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["access", "from_cm", "id"]
        constraints = [
            one_of("zone_why", field="why", words=get_args(words.ZoneWhy)),
            one_of("zone_action", field="action", words=get_args(words.ZoneAction)),
            in_order("zone_order", start="since", end="until"),
            models.CheckConstraint(name="zone_stretch", condition=Q(from_cm__gte=0) & Q(to_cm__gte=F("from_cm"))),
        ]

    def __str__(self) -> str:
        return f"{self.why} {self.from_cm:g}-{self.to_cm:g} cm"


class Hold(Versioned):
    """The access is not to be needled for a while, and why."""

    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="holds")
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    why = models.CharField(max_length=200)

    class Meta:
        ordering = ["access", "since", "id"]
        constraints = [in_order("hold_order", start="since", end="until")]

    def __str__(self) -> str:
        return f"hold since {self.since}"


class Event(Observed):
    """Something done to the access or that happened to it; it may start its trends anew."""

    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="events")
    treatment = models.ForeignKey(
        "records.Treatment", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    on = models.DateField()
    what = models.CharField(max_length=20)
    where_cm = models.FloatField(null=True, blank=True)
    where_words = models.CharField(max_length=80, blank=True)
    degree_percent = models.FloatField(null=True, blank=True)
    outcome = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["access", "on", "id"]
        constraints = [
            one_of("event_what", field="what", words=get_args(words.EventWhat)),
            within("event_degree", field="degree_percent", bound="degree_percent"),
        ]

    def __str__(self) -> str:
        return f"{self.what} {self.on}"
