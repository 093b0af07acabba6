"""Measurements besides the treatment: flow, recirculation, dose, laboratory, bench table."""

from typing import get_args

from django.db import models

from access.accounts.models import User
from access.measures import words
from access.records.models.base import Observed, Versioned, one_of, within
from access.records.models.treatment import Treatment
from access.records.models.vessel import VascularAccess


class FlowMeasurement(Observed):
    """One access flow: the inputs of its method and what follows from them."""

    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="flows")
    treatment = models.ForeignKey(Treatment, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    method = models.CharField(max_length=30)
    inputs = models.JSONField(default=dict)
    # None while a value is awaited from the laboratory.
    flow_ml_min = models.FloatField(null=True, blank=True)
    low_ml_min = models.FloatField(null=True, blank=True)
    high_ml_min = models.FloatField(null=True, blank=True)
    comparable = models.BooleanField(default=True)
    lines = models.CharField(max_length=10, default="not known")
    lines_put_back_by = models.CharField(max_length=120, blank=True)
    lines_put_back_at = models.DateTimeField(null=True, blank=True)
    arterial_direction = models.CharField(max_length=20, blank=True)
    systolic_mmhg = models.FloatField(null=True, blank=True)
    diastolic_mmhg = models.FloatField(null=True, blank=True)
    operator = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["access", "measured_at", "id"]
        constraints = [
            one_of("flow_method", field="method", words=get_args(words.FlowMethod)),
            one_of("flow_lines", field="lines", words=get_args(words.Lines)),
            within("flow_value", field="flow_ml_min", bound="flow_ml_min"),
        ]
        indexes = [models.Index(fields=["access", "measured_at"], name="flow_access")]

    def __str__(self) -> str:
        return f"{self.method} {self.measured_at:%Y-%m-%d}"


class RecirculationTest(Observed):
    """Three urea samples and how they were drawn; the values may come later."""

    access = models.ForeignKey(VascularAccess, on_delete=models.PROTECT, related_name="recirculations")
    treatment = models.ForeignKey(Treatment, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    systemic = models.FloatField(null=True, blank=True)
    arterial = models.FloatField(null=True, blank=True)
    venous = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=6)
    systemic_site = models.CharField(max_length=40, blank=True)
    pump_ml_min = models.FloatField(null=True, blank=True)
    slow_flow_ml_min = models.FloatField(null=True, blank=True)
    slow_flow_seconds = models.FloatField(null=True, blank=True)
    minutes_into_treatment = models.FloatField(null=True, blank=True)
    arterial_venous_drawn_at = models.DateTimeField(null=True, blank=True)
    systemic_drawn_at = models.DateTimeField(null=True, blank=True)
    ultrafiltration_off = models.BooleanField(null=True, blank=True)
    lines = models.CharField(max_length=10, default="not known")
    # What the computation said at the time: valid, percent, interval, probability, remarks.
    result = models.JSONField(default=dict)

    class Meta:
        ordering = ["access", "measured_at", "id"]
        constraints = [
            one_of("recirculation_unit", field="unit", words=get_args(words.UreaUnit)),
            one_of("recirculation_site", field="systemic_site", words=get_args(words.SystemicSite), blank=True),
            one_of("recirculation_lines", field="lines", words=get_args(words.Lines)),
        ]
        indexes = [models.Index(fields=["access", "measured_at"], name="recirculation_access")]

    def __str__(self) -> str:
        return f"recirculation {self.measured_at:%Y-%m-%d}"


class DoseResult(Observed):
    """The monthly dose: what went in and the two indices that follow."""

    treatment = models.ForeignKey(Treatment, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    urea_before = models.FloatField()
    urea_after = models.FloatField()
    unit = models.CharField(max_length=6)
    hours = models.FloatField()
    ultrafiltration_l = models.FloatField()
    weight_kg = models.FloatField()
    pump_ml_min = models.FloatField(null=True, blank=True)
    dialysate_flow_ml_min = models.FloatField(null=True, blank=True)
    dialyzer = models.CharField(max_length=80, blank=True)
    kt_v = models.FloatField()
    reduction_percent = models.FloatField()

    class Meta:
        ordering = ["patient", "measured_at", "id"]
        constraints = [one_of("dose_unit", field="unit", words=get_args(words.UreaUnit))]

    def __str__(self) -> str:
        return f"dose {self.measured_at:%Y-%m-%d}"


class LabValue(Observed):
    """A laboratory value that a computation here needs."""

    treatment = models.ForeignKey(Treatment, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    what = models.CharField(max_length=20)
    value = models.FloatField()
    unit = models.CharField(max_length=12)

    class Meta:
        ordering = ["patient", "measured_at", "id"]
        constraints = [one_of("lab_what", field="what", words=("hematocrit", "urea"))]

    def __str__(self) -> str:
        return f"{self.what} {self.measured_at:%Y-%m-%d}"


class BenchTable(Versioned):
    """What tubing and needle alone read at a pump speed, measured by the clinic on the bench."""

    needle_and_line = models.CharField(max_length=80)
    gauge = models.PositiveSmallIntegerField()
    pump_ml_min = models.FloatField()
    pressure_mmhg = models.FloatField()
    measured_on = models.DateField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["clinic", "gauge", "pump_ml_min", "id"]

    def __str__(self) -> str:
        return f"{self.gauge}G at {self.pump_ml_min:g}"
