"""Sign-in, the looked-up tables and the protocol in force."""

from rest_framework import serializers

from access.api.shapes.base import Shape, text, word
from access.measures import words


class ClinicBriefShape(Shape):
    """A clinic one works in."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    roles = serializers.ListField(child=serializers.CharField())
    post = serializers.CharField(allow_blank=True)


class ContactShape(Shape):
    """Whom to call."""

    who = serializers.CharField()
    number = serializers.CharField()


class ClinicShape(Shape):
    """The clinic in which one works now."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    time_zone = serializers.CharField()
    clock_style = word(("24 h", "12 h"))
    urea_unit = word(words.UreaUnit)
    height_formula = word(words.RatioFormula)
    is_demo = serializers.BooleanField()
    emergency_contacts = ContactShape(many=True)
    shifts = serializers.ListField(child=serializers.DictField())
    examines_alone = serializers.BooleanField()


class PersonShape(Shape):
    """Who is signed in."""

    id = serializers.UUIDField()
    name = serializers.CharField()


class SessionShape(Shape):
    """Who is signed in, where, and what this person may do."""

    user = PersonShape(allow_null=True)
    csrf = serializers.CharField()
    device = serializers.UUIDField(allow_null=True)
    clinics = ClinicBriefShape(many=True)
    clinic = ClinicShape(allow_null=True)
    acts = serializers.ListField(child=serializers.CharField())
    now = serializers.DateTimeField()


class SignInShape(Shape):
    """A name, a password and, on a shared tablet, the tablet's name."""

    username = serializers.CharField(max_length=60)
    password = serializers.CharField(max_length=200)
    device_name = text(max_length=60)


class ClinicChoiceShape(Shape):
    """The clinic to work in."""

    clinic = serializers.UUIDField()


class BoundShape(Shape):
    """What a number is refused and asked about beyond."""

    unit = serializers.CharField(allow_blank=True)
    refuse_below = serializers.FloatField(allow_null=True)
    ask_below = serializers.FloatField(allow_null=True)
    ask_above = serializers.FloatField(allow_null=True)
    refuse_above = serializers.FloatField(allow_null=True)
    decimals = serializers.IntegerField()


class ProtocolBriefShape(Shape):
    """The protocol in force."""

    id = serializers.CharField()
    name = serializers.CharField()
    version = serializers.CharField()
    unconfirmed = serializers.IntegerField()


class TablesShape(Shape):
    """The tables that the page looks answers up in."""

    bounds = serializers.DictField(child=BoundShape())
    findings = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))
    never_filled_together = serializers.ListField(child=serializers.CharField())
    seen_during_treatment = serializers.ListField(child=serializers.CharField())
    emergency = serializers.ListField(child=serializers.DictField())
    gauge_by_speed = serializers.ListField(child=serializers.DictField())
    spacing = serializers.DictField()
    not_judged = serializers.DictField(child=serializers.CharField())
    urgency_in_words = serializers.DictField(child=serializers.CharField())
    protocol = ProtocolBriefShape()
    words = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))


class LimitShape(Shape):
    """A limit of the protocol with its source and standing."""

    id = serializers.CharField()
    value = serializers.FloatField()
    unit = serializers.CharField(allow_blank=True)
    source = serializers.CharField()  # type: ignore[assignment]  # The base class has a `source`.
    standing = serializers.CharField()
    says = serializers.CharField(allow_blank=True)
    confirmed = serializers.BooleanField()
    confirmed_by = serializers.CharField(allow_blank=True)
    confirmed_on = serializers.DateField(allow_null=True)
    why = serializers.CharField(allow_blank=True)


class ProtocolShape(ProtocolBriefShape):
    """The protocol in force with every limit."""

    limits = LimitShape(many=True)


class LimitChangeShape(Shape):
    """A limit as the clinic sets or confirms it."""

    value = serializers.FloatField()
    confirmed = serializers.BooleanField()
    why = serializers.CharField(max_length=400)
