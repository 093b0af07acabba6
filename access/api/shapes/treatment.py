"""The Treatment document and its saving."""

from rest_framework import serializers

from access.api.shapes.base import AskShape, FlagShape, Shape, moment, number, text, word
from access.measures import words


class FrameShape(Shape):
    """Route, times, station and what was prescribed."""

    state = word(("planned", "running", "ended"))
    started_at = moment()
    ended_at = moment()
    station = serializers.UUIDField(allow_null=True, required=False)
    shift = text()
    route = word(words.Route)
    not_dialysed_why = text()
    pump_prescribed_ml_min = number()
    pump_reached_ml_min = number()
    heparin = text()
    antithrombotics = text()
    notes = text()


class ExaminationPartShape(Shape):
    """Look, listen and feel at one access."""

    id = serializers.UUIDField()
    access = serializers.UUIDField()
    measured_at = serializers.DateTimeField()
    findings = serializers.DictField(child=serializers.CharField())
    filled_together = serializers.ListField(child=serializers.CharField(), required=False)
    examiner = text()
    second_examiner = text()
    second_findings = serializers.DictField(child=serializers.CharField(), required=False)
    told = text()
    needling_reason = text()
    needling_physician = text()
    note = text()


class NeedlePartShape(Shape):
    """One puncture."""

    id = serializers.UUIDField()
    access = serializers.UUIDField()
    role = word(words.NeedleRole)
    segment = text()
    along_cm = number()
    across_cm = number()
    gauge = serializers.IntegerField(allow_null=True, required=False)
    direction = word(words.Direction, blank=True)
    technique = word(words.Technique, blank=True)
    tip = word(words.Tip, blank=True)
    in_at = moment()
    out_at = moment()
    outcome = word(words.Outcome)
    replaced_because = text()
    extent = text()
    action_taken = text()
    pain = serializers.IntegerField(allow_null=True, required=False)
    needled_by = word(words.CannulatedBy, blank=True)
    needled_by_name = text()
    supervisor_name = text()
    skin = text()
    spacing_reason = text()


class PressurePartShape(Shape):
    """Values read together at one minute."""

    id = serializers.UUIDField()
    measured_at = serializers.DateTimeField()
    minute = number()
    pump_ml_min = number()
    pre_pump_arterial_mmhg = number()
    post_pump_mmhg = number()
    venous_mmhg = number()
    systolic_mmhg = number()
    diastolic_mmhg = number()
    cuff_limb = word(words.Limb, blank=True)
    arterial_static_mmhg = number()
    venous_static_mmhg = number()
    arterial_height_cm = number()
    venous_height_cm = number()
    height_formula = word(words.RatioFormula, blank=True)
    circuit_checked = serializers.BooleanField(required=False)
    repeats = serializers.UUIDField(allow_null=True, required=False)


class AfterShape(Shape):
    """How the bleeding stopped and how the access was left."""

    bleeding = serializers.DictField(child=serializers.FloatField(), required=False)
    used = text()
    left_how = text()
    note = text()


class TreatmentDocumentShape(Shape):
    """The whole treatment as one document."""

    patient = serializers.UUIDField()
    clinic_day = serializers.DateField()
    frame = FrameShape()
    examinations = ExaminationPartShape(many=True)
    needles = NeedlePartShape(many=True)
    pressures = PressurePartShape(many=True)
    after = AfterShape()


class SaveShape(Shape):
    """The envelope of every save."""

    save_id = serializers.UUIDField()
    recorded_by = serializers.UUIDField(allow_null=True, required=False)
    device = serializers.UUIDField(allow_null=True, required=False)
    device_now = moment()
    reason = text(max_length=400)
    # Earlier saves whose answers never came and whose place this one takes.
    replaces = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=20)


class TreatmentSaveShape(SaveShape):
    """A save of a Treatment."""

    document = TreatmentDocumentShape()


class SavedShape(Shape):
    """The answer to every save."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    asks = AskShape(many=True)
    flags = FlagShape(many=True)
    possibly_same = serializers.UUIDField(allow_null=True)
    received_at = serializers.DateTimeField()


class TreatmentSavedShape(SavedShape):
    """The answer to a save of a Treatment, with the document as merged."""

    document = TreatmentDocumentShape()
