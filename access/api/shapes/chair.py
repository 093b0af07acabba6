"""What the chair-side pages take along: the pack of a treatment and the list of today."""

from rest_framework import serializers

from access.api.shapes.base import AccessTitleShape, AskShape, FlagShape, PatientShape, Shape, SpokenFlagShape, word
from access.api.shapes.treatment import TreatmentDocumentShape
from access.measures import words


class ZoneShape(Shape):
    """A stretch to keep off or to take care in."""

    id = serializers.UUIDField()
    from_cm = serializers.FloatField()
    to_cm = serializers.FloatField()
    why = word(words.ZoneWhy)
    action = word(words.ZoneAction)
    since = serializers.DateField()


class HoldShape(Shape):
    """Not to be needled for a while."""

    why = serializers.CharField()
    since = serializers.DateField()
    until = serializers.DateField(allow_null=True)


class PastPunctureShape(Shape):
    """A puncture of the last weeks."""

    role = word(words.NeedleRole)
    along_cm = serializers.FloatField()
    on = serializers.DateField()
    days_ago = serializers.IntegerField()
    outcome = word(words.Outcome)
    technique = serializers.CharField(allow_blank=True)


class LastSitesShape(Shape):
    """Where the needles went last time."""

    arterial_cm = serializers.FloatField(allow_null=True)
    venous_cm = serializers.FloatField(allow_null=True)
    on = serializers.DateField()


class NextPairShape(Shape):
    """A pair of one of the next treatments."""

    arterial_cm = serializers.FloatField()
    venous_cm = serializers.FloatField()


class PlanShape(Shape):
    """The pair proposed for today with the next ones if each is used, or why there is none."""

    arterial_cm = serializers.FloatField(allow_null=True)
    venous_cm = serializers.FloatField(allow_null=True)
    arterial_rest_days = serializers.IntegerField(allow_null=True)
    venous_rest_days = serializers.IntegerField(allow_null=True)
    through_track = serializers.ListField(child=word(words.NeedleRole))
    reason = serializers.CharField(allow_blank=True)
    gauge = serializers.CharField(allow_blank=True)
    next = NextPairShape(many=True)
    none_because = serializers.CharField(allow_blank=True)


class BandValueShape(Shape):
    """One of the last values against a band."""

    on = serializers.DateField()
    value = serializers.FloatField()


class BandShape(Shape):
    """The usual band of a pressure at a gauge and pump speed."""

    quantity = word(("venous_mmhg", "pre_pump_arterial_mmhg"))
    gauge = serializers.IntegerField()
    pump_ml_min = serializers.FloatField()
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    median = serializers.FloatField(allow_null=True)
    count = serializers.IntegerField()
    since = serializers.DateField(allow_null=True)
    note = serializers.CharField(allow_blank=True)
    last = BandValueShape(many=True)


class AccessPackShape(AccessTitleShape):
    """What the map and the four parts need of one access."""

    needled_from_cm = serializers.FloatField()
    needled_to_cm = serializers.FloatField()
    zones = ZoneShape(many=True)
    holds = HoldShape(many=True)
    punctures = PastPunctureShape(many=True)
    last_sites = LastSitesShape(allow_null=True)
    last_gauge = serializers.IntegerField(allow_null=True)
    plan = PlanShape()
    last_signs = serializers.DictField(child=serializers.CharField())
    last_signs_on = serializers.DateField(allow_null=True)
    bands = BandShape(many=True)


class OrdersShape(Shape):
    """Today's orders."""

    dialyzer = serializers.CharField(allow_blank=True)
    needle_gauge = serializers.IntegerField()
    pump_ml_min = serializers.FloatField()
    hours = serializers.FloatField()
    heparin = serializers.CharField(allow_blank=True)
    dialysate_flow_ml_min = serializers.FloatField()
    since = serializers.DateField()


class TreatmentPackShape(Shape):
    """All that the Treatment page shows."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    state = word(("planned", "running", "ended", "made in error"))
    document = TreatmentDocumentShape()
    patient = PatientShape()
    station = serializers.CharField(allow_blank=True)
    orders = OrdersShape(allow_null=True)
    accesses = AccessPackShape(many=True)
    flags = FlagShape(many=True)
    asks = AskShape(many=True)
    possibly_same = serializers.UUIDField(allow_null=True)


class ProgressShape(Shape):
    """Which of the four parts are recorded."""

    examination = serializers.BooleanField()
    needles = serializers.BooleanField()
    pressures = serializers.BooleanField()
    after = serializers.BooleanField()


class TodayRowShape(Shape):
    """One patient due on the shift."""

    treatment = serializers.UUIDField()
    version = serializers.IntegerField()
    state = serializers.CharField()
    patient = PatientShape()
    station = serializers.CharField(allow_blank=True)
    access = AccessTitleShape(allow_null=True)
    last_sites = LastSitesShape(allow_null=True)
    due = serializers.ListField(child=serializers.CharField())
    mind = serializers.ListField(child=serializers.CharField())
    progress = ProgressShape()
    flags = SpokenFlagShape(many=True)


class TodayShape(Shape):
    """Who is due on this shift, by station."""

    clinic_day = serializers.DateField()
    shift = serializers.CharField(allow_blank=True)
    shifts = serializers.ListField(child=serializers.CharField())
    unconfirmed_limits = serializers.IntegerField()
    rows = TodayRowShape(many=True)
