"""The small records: flow, recirculation, dose, laboratory value, event, zone, hold, orders."""

from functools import cache

from rest_framework import serializers

from access.api.shapes.base import AccessTitleShape, PatientShape, Shape, moment, number, text, word
from access.api.shapes.treatment import ExaminationPartShape, SavedShape, SaveShape
from access.measures import words


class ObservedShape(Shape):
    """Whose it is and when it was seen at the bedside."""

    patient = serializers.UUIDField()
    treatment = serializers.UUIDField(allow_null=True, required=False)
    measured_at = serializers.DateTimeField()


class FlowInputsShape(Shape):
    """What the method of a flow needs; the others stay empty."""

    ml_min = number()
    pump_ml_min = number()
    recirculation_fraction = number()
    ultrafiltration_ml_min = number()
    cardiopulmonary_fraction = number()
    normal_ml_min = number()
    reversed_ml_min = number()
    hematocrit_fraction = number()
    diameter_cm = number()
    velocity_cm_s = number()
    systemic = number()
    arterial = number()
    venous = number()
    unit = word(words.UreaUnit, blank=True)


class FlowDocumentShape(ObservedShape):
    """An access flow by one method."""

    access = serializers.UUIDField()
    method = word(words.FlowMethod)
    inputs = FlowInputsShape()
    lines = word(words.Lines)
    lines_put_back_by = text()
    lines_put_back_at = moment()
    arterial_direction = word(words.Direction, blank=True)
    systolic_mmhg = number()
    diastolic_mmhg = number()
    operator = text()


class RecirculationDocumentShape(ObservedShape):
    """Three urea samples; the values may come later."""

    access = serializers.UUIDField()
    systemic = number()
    arterial = number()
    venous = number()
    unit = word(words.UreaUnit)
    systemic_site = word(words.SystemicSite, blank=True)
    pump_ml_min = number()
    slow_flow_ml_min = number()
    slow_flow_seconds = number()
    minutes_into_treatment = number()
    arterial_venous_drawn_at = moment()
    systemic_drawn_at = moment()
    ultrafiltration_off = serializers.BooleanField(allow_null=True, required=False)
    lines = word(words.Lines)


class DoseDocumentShape(ObservedShape):
    """Urea before and after, and what went with it."""

    urea_before = serializers.FloatField()
    urea_after = serializers.FloatField()
    unit = word(words.UreaUnit)
    hours = serializers.FloatField()
    ultrafiltration_l = serializers.FloatField()
    weight_kg = serializers.FloatField()
    pump_ml_min = number()
    dialysate_flow_ml_min = number()
    dialyzer = text()


class LabDocumentShape(ObservedShape):
    """A laboratory value that a computation needs."""

    what = word(("hematocrit", "urea"))
    value = serializers.FloatField()
    unit = serializers.CharField()


class ExaminationDocumentShape(ExaminationPartShape):
    """An examination outside a treatment."""

    patient = serializers.UUIDField()
    where_seen = text()


class EventDocumentShape(ObservedShape):
    """Something done to an access or that happened to it."""

    access = serializers.UUIDField()
    on = serializers.DateField()
    what = word(words.EventWhat)
    where_cm = number()
    where_words = text()
    degree_percent = number()
    outcome = text()


class ZoneDocumentShape(Shape):
    """A stretch of the vessel to keep off or to take care in."""

    access = serializers.UUIDField()
    from_cm = serializers.FloatField()
    to_cm = serializers.FloatField()
    why = word(words.ZoneWhy)
    action = word(words.ZoneAction)
    since = serializers.DateField()
    until = serializers.DateField(allow_null=True, required=False)
    note = text()


class HoldDocumentShape(Shape):
    """The access is not to be needled for a while."""

    access = serializers.UUIDField()
    since = serializers.DateField()
    until = serializers.DateField(allow_null=True, required=False)
    why = serializers.CharField()


class PrescriptionDocumentShape(Shape):
    """Orders from a day on."""

    patient = serializers.UUIDField()
    since = serializers.DateField()
    hours = serializers.FloatField()
    pump_ml_min = serializers.FloatField()
    dialysate_flow_ml_min = serializers.FloatField()
    dialyzer = serializers.CharField()
    heparin = text()
    needle_gauge = serializers.IntegerField()


class PatientDocumentShape(Shape):
    """Who a patient is, when due, and what to mind."""

    chart_number = serializers.CharField(max_length=40)
    name = serializers.CharField(max_length=120)
    birth_date = serializers.DateField()
    sex = text()
    schedule_days = serializers.ListField(child=serializers.IntegerField(), required=False)
    shift = text()
    station = serializers.UUIDField(allow_null=True, required=False)
    isolation = text()
    arm_notes = text()
    needle_allergies = text()
    procedure_allergies = text()
    procedure_medicines = text()


class AccessDocumentShape(Shape):
    """A fistula or graft as it was made and as it is needled."""

    patient = serializers.UUIDField()
    kind = word(words.Kind)
    configuration = word(words.Configuration)
    side = word(words.Side)
    status = word(words.AccessStatus)
    created_on = serializers.DateField(allow_null=True, required=False)
    weeks_to_first_use = serializers.IntegerField(allow_null=True, required=False)
    first_needled_on = serializers.DateField(allow_null=True, required=False)
    needled_from_cm = serializers.FloatField()
    needled_to_cm = serializers.FloatField()
    depth_cm = number()
    diameter_cm = number()
    note = text()


@cache
def save_of(document: type[Shape]) -> type[Shape]:
    """The save envelope around one kind of document."""
    return type(
        document.__name__.replace("Document", "Save"), (SaveShape,), {"document": document(), "__doc__": "A save."}
    )


@cache
def record_of(document: type[Shape]) -> type[Shape]:
    """A stored record of one kind with what was computed from it."""
    return type(
        document.__name__.replace("Document", "Record"),
        (Shape,),
        {
            "id": serializers.UUIDField(),
            "version": serializers.IntegerField(),
            "made_in_error": serializers.BooleanField(),
            "document": document(),
            "result": serializers.DictField(),
            "__doc__": "A stored record.",
        },
    )


@cache
def saved_of(document: type[Shape]) -> type[Shape]:
    """The answer to a save of one kind, with the result."""
    return type(
        document.__name__.replace("Document", "Saved"),
        (SavedShape,),
        {"document": document(), "result": serializers.DictField(), "__doc__": "The answer to a save."},
    )


class WaitingTestShape(Shape):
    """A test, and whether it still waits for the laboratory."""

    subject = word(("flow", "recirculation", "dose"))
    id = serializers.UUIDField()
    measured_at = serializers.DateTimeField()
    text = serializers.CharField()


class PatientTestsShape(Shape):
    """The tests of a patient: what waits and what was last found."""

    patient = PatientShape()
    accesses = AccessTitleShape(many=True)
    waiting = WaitingTestShape(many=True)
    recent = WaitingTestShape(many=True)
