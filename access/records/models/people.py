"""Patients, in whose care they are, and what is prescribed to them."""

from django.db import models
from django.db.models import Q
from uuid_utils.compat import uuid7

from access.accounts.models import Clinic, Station, User
from access.records.models.base import Versioned, in_order, within


class Patient(Versioned):
    """A person on hemodialysis; ``clinic`` is the clinic that made the record."""

    chart_number = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    birth_date = models.DateField()
    sex = models.CharField(max_length=10, blank=True)
    # Weekdays of the schedule, Monday 0 to Sunday 6.
    schedule_days = models.JSONField(default=list)
    shift = models.CharField(max_length=20, blank=True)
    station = models.ForeignKey(Station, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    isolation = models.CharField(max_length=80, blank=True)
    arm_notes = models.CharField(max_length=200, blank=True)
    needle_allergies = models.CharField(max_length=200, blank=True)
    procedure_allergies = models.CharField(max_length=200, blank=True)
    procedure_medicines = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["name", "birth_date", "id"]
        constraints = [
            models.UniqueConstraint(name="patient_chart_number", fields=["clinic", "chart_number"]),
        ]

    def __str__(self) -> str:
        return self.name


class CarePeriod(models.Model):
    """From when until when a clinic cares for a patient: the only door to the record."""

    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="care_periods")
    clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="care_periods")
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)
    visiting = models.BooleanField(default=False)

    class Meta:
        ordering = ["patient", "since", "id"]
        constraints = [
            in_order("care_period_order", start="since", end="until", equal=False),
            models.UniqueConstraint(
                name="care_period_one_open", fields=["patient", "clinic"], condition=Q(until__isnull=True)
            ),
            models.UniqueConstraint(
                name="care_period_one_home",
                fields=["patient"],
                condition=Q(until__isnull=True, visiting=False),
            ),
        ]
        indexes = [models.Index(fields=["clinic", "patient"], name="care_clinic_patient")]

    def __str__(self) -> str:
        return f"{self.patient_id} at {self.clinic_id}"


class Prescription(Versioned):
    """Today's orders: what the prescriber ordered from a day on."""

    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="prescriptions")
    since = models.DateField()
    hours = models.FloatField()
    pump_ml_min = models.FloatField()
    dialysate_flow_ml_min = models.FloatField()
    dialyzer = models.CharField(max_length=80)
    heparin = models.CharField(max_length=120, blank=True)
    needle_gauge = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["patient", "-since", "-id"]
        constraints = [
            within("prescription_hours", field="hours", bound="hours"),
            within("prescription_pump", field="pump_ml_min", bound="pump_ml_min"),
            models.CheckConstraint(name="prescription_gauge", condition=Q(needle_gauge__gte=14, needle_gauge__lte=17)),
        ]

    def __str__(self) -> str:
        return f"from {self.since}"


class CareMove(models.Model):
    """A patient handed over: sent by one clinic's coordinator, accepted by the other's."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="moves")
    from_clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="+")
    to_clinic = models.ForeignKey(Clinic, on_delete=models.PROTECT, related_name="+")
    sent_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    sent_at = models.DateTimeField()
    accepted_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    accepted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-sent_at", "-id"]
        constraints = [
            models.CheckConstraint(name="care_move_elsewhere", condition=~Q(from_clinic=models.F("to_clinic"))),
            models.UniqueConstraint(
                name="care_move_one_open", fields=["patient"], condition=Q(accepted_at__isnull=True)
            ),
        ]

    def __str__(self) -> str:
        return f"move of {self.patient_id}"
