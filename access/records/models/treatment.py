"""The Treatment: one document, its append-only versions, and the rows projected from it."""

from typing import get_args

from django.db import models
from django.db.models import Q

from access.accounts.models import Station
from access.measures import words
from access.records.models.base import Observed, VersionRow, in_order, one_of, within
from access.records.models.people import Patient
from access.records.models.vessel import VascularAccess

STATES = ("planned", "running", "ended", "made in error")
PAIRINGS = ("", "same", "two treatments")


class Treatment(Observed):
    """One dialysis run; version 0 is a planned one that nobody has saved yet."""

    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="treatments")
    state = models.CharField(max_length=14, default="planned")
    clinic_day = models.DateField()
    shift = models.CharField(max_length=20, blank=True)
    station = models.ForeignKey(Station, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    route = models.CharField(max_length=30, default="two needles")
    not_dialysed_why = models.CharField(max_length=200, blank=True)
    pump_prescribed_ml_min = models.FloatField(null=True, blank=True)
    pump_reached_ml_min = models.FloatField(null=True, blank=True)
    heparin = models.CharField(max_length=120, blank=True)
    antithrombotics = models.CharField(max_length=200, blank=True)
    notes = models.TextField(max_length=2000, blank=True)
    left_how = models.CharField(max_length=200, blank=True)
    possibly_same_as = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    # What a person said of two treatments on one day; empty while nobody has.
    pairing = models.CharField(max_length=14, blank=True)

    class Meta:
        ordering = ["-clinic_day", "-id"]
        constraints = [
            one_of("treatment_state", field="state", words=STATES),
            one_of("treatment_route", field="route", words=get_args(words.Route)),
            one_of("treatment_pairing", field="pairing", words=PAIRINGS),
            in_order("treatment_times", start="started_at", end="ended_at"),
            models.UniqueConstraint(
                name="treatment_planned_once", fields=["patient", "clinic_day"], condition=Q(version=0)
            ),
            models.CheckConstraint(
                name="treatment_error_state",
                condition=Q(state="made in error", made_in_error=True)
                | (~Q(state="made in error") & Q(made_in_error=False)),
            ),
            within("treatment_pump_prescribed", field="pump_prescribed_ml_min", bound="pump_ml_min"),
            within("treatment_pump_reached", field="pump_reached_ml_min", bound="pump_ml_min"),
        ]
        indexes = [
            models.Index(fields=["clinic", "clinic_day", "shift"], name="treatment_shift"),
            models.Index(fields=["patient", "clinic_day"], name="treatment_patient_day"),
        ]

    def __str__(self) -> str:
        return f"treatment of {self.clinic_day}"


class TreatmentVersion(VersionRow):
    """The whole document as it was saved; append-only by trigger."""

    treatment = models.ForeignKey(Treatment, on_delete=models.PROTECT, related_name="versions")

    class Meta:
        ordering = ["treatment", "number"]
        constraints = [models.UniqueConstraint(name="treatment_version_number", fields=["treatment", "number"])]

    def __str__(self) -> str:
        return f"version {self.number}"


class Examination(Observed):
    """Look, listen and feel at one access, in a treatment or alone."""

    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="examinations")
    treatment = models.ForeignKey(
        Treatment, on_delete=models.CASCADE, null=True, blank=True, related_name="examinations"
    )
    findings = models.JSONField(default=dict)
    filled_together = models.JSONField(default=list)
    examiner = models.CharField(max_length=120)
    second_examiner = models.CharField(max_length=120, blank=True)
    second_findings = models.JSONField(default=dict)
    told = models.CharField(max_length=200, blank=True)
    needling_reason = models.CharField(max_length=400, blank=True)
    needling_physician = models.CharField(max_length=120, blank=True)
    where_seen = models.CharField(max_length=40, blank=True)
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["access", "measured_at", "id"]
        indexes = [models.Index(fields=["access", "measured_at"], name="examination_access")]

    def __str__(self) -> str:
        return f"examination {self.measured_at:%Y-%m-%d}"


class Needle(models.Model):
    """One puncture, whatever came of it: a row projected from the Treatment's document."""

    id = models.UUIDField(primary_key=True, editable=False)
    treatment = models.ForeignKey(Treatment, on_delete=models.CASCADE, related_name="needles")
    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="needles")
    role = models.CharField(max_length=10)
    segment = models.CharField(max_length=40, blank=True)
    along_cm = models.FloatField(null=True, blank=True)
    across_cm = models.FloatField(null=True, blank=True)
    gauge = models.PositiveSmallIntegerField(null=True, blank=True)
    direction = models.CharField(max_length=20, blank=True)
    technique = models.CharField(max_length=20, blank=True)
    tip = models.CharField(max_length=10, blank=True)
    in_at = models.DateTimeField(null=True, blank=True)
    out_at = models.DateTimeField(null=True, blank=True)
    outcome = models.CharField(max_length=20, default="in use to the end")
    replaced_because = models.CharField(max_length=200, blank=True)
    extent = models.CharField(max_length=80, blank=True)
    action_taken = models.CharField(max_length=200, blank=True)
    pain = models.PositiveSmallIntegerField(null=True, blank=True)
    needled_by = models.CharField(max_length=25, blank=True)
    needled_by_name = models.CharField(max_length=120, blank=True)
    supervisor_name = models.CharField(max_length=120, blank=True)
    skin = models.CharField(max_length=40, blank=True)
    spacing_reason = models.CharField(max_length=200, blank=True)
    bleeding_minutes = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["treatment", "in_at", "id"]
        constraints = [
            one_of("needle_role", field="role", words=get_args(words.NeedleRole)),
            one_of("needle_direction", field="direction", words=get_args(words.Direction), blank=True),
            one_of("needle_technique", field="technique", words=get_args(words.Technique), blank=True),
            one_of("needle_tip", field="tip", words=get_args(words.Tip), blank=True),
            one_of("needle_outcome", field="outcome", words=get_args(words.Outcome)),
            in_order("needle_times", start="in_at", end="out_at"),
            models.CheckConstraint(
                name="needle_gauge", condition=Q(gauge__isnull=True) | Q(gauge__gte=14, gauge__lte=17)
            ),
            within("needle_along", field="along_cm", bound="along_cm"),
            within("needle_across", field="across_cm", bound="across_cm"),
            within("needle_bleeding", field="bleeding_minutes", bound="bleeding_minutes"),
            within("needle_pain", field="pain", bound="pain"),
        ]
        indexes = [models.Index(fields=["access", "in_at"], name="needle_access")]

    def __str__(self) -> str:
        return f"{self.role} needle"


class Reading(models.Model):
    """Pressures read together at one minute: a row projected from the Treatment's document."""

    id = models.UUIDField(primary_key=True, editable=False)
    treatment = models.ForeignKey(Treatment, on_delete=models.CASCADE, related_name="readings")
    measured_at = models.DateTimeField()
    minute = models.FloatField(null=True, blank=True)
    pump_ml_min = models.FloatField(null=True, blank=True)
    pre_pump_arterial_mmhg = models.FloatField(null=True, blank=True)
    post_pump_mmhg = models.FloatField(null=True, blank=True)
    venous_mmhg = models.FloatField(null=True, blank=True)
    systolic_mmhg = models.FloatField(null=True, blank=True)
    diastolic_mmhg = models.FloatField(null=True, blank=True)
    cuff_limb = models.CharField(max_length=10, blank=True)
    arterial_static_mmhg = models.FloatField(null=True, blank=True)
    venous_static_mmhg = models.FloatField(null=True, blank=True)
    arterial_height_cm = models.FloatField(null=True, blank=True)
    venous_height_cm = models.FloatField(null=True, blank=True)
    height_formula = models.CharField(max_length=20, blank=True)
    circuit_checked = models.BooleanField(default=False)
    # A reading repeated because the one named here lay out of its band; both stay.
    repeats = models.UUIDField(null=True, blank=True)

    class Meta:
        ordering = ["treatment", "measured_at", "id"]
        constraints = [
            within("reading_pump", field="pump_ml_min", bound="pump_ml_min"),
            within("reading_pre_pump", field="pre_pump_arterial_mmhg", bound="pre_pump_arterial_mmhg"),
            within("reading_venous", field="venous_mmhg", bound="venous_mmhg"),
            within("reading_arterial_static", field="arterial_static_mmhg", bound="static_mmhg"),
            within("reading_venous_static", field="venous_static_mmhg", bound="static_mmhg"),
            within("reading_arterial_height", field="arterial_height_cm", bound="height_cm"),
            within("reading_venous_height", field="venous_height_cm", bound="height_cm"),
            within("reading_systolic", field="systolic_mmhg", bound="systolic_mmhg"),
            within("reading_diastolic", field="diastolic_mmhg", bound="diastolic_mmhg"),
            models.CheckConstraint(
                name="reading_blood_pressure",
                condition=Q(systolic_mmhg__isnull=True)
                | Q(diastolic_mmhg__isnull=True)
                | Q(systolic_mmhg__gt=models.F("diastolic_mmhg")),
            ),
            one_of("reading_cuff_limb", field="cuff_limb", words=get_args(words.Limb), blank=True),
        ]

    def __str__(self) -> str:
        return f"reading at minute {self.minute}"
