"""Referrals and the figures that they and other pages show."""

from rest_framework import serializers

from access.api.shapes.base import (
    AccessTitleShape,
    PatientShape,
    Shape,
    TableTwinShape,
    WorkedShape,
    number,
    text,
    word,
)
from access.measures import words


class OpenReferralShape(Shape):
    """The open referral of an access."""

    id = serializers.UUIDField()
    state = serializers.CharField()


class FigureShape(Shape):
    """A drawing with the table behind it, what it says in sentences, and how it is worked out."""

    id = serializers.CharField()
    title = serializers.CharField()
    svg = serializers.CharField()
    newest = serializers.CharField(allow_blank=True)
    table = TableTwinShape()
    statements = serializers.ListField(child=serializers.CharField())
    worked = WorkedShape(allow_null=True)


class MapShape(Shape):
    """The access as a drawing."""

    svg = serializers.CharField()
    title = serializers.CharField()


class ReferralDraftShape(Shape):
    """The draft of a referral."""

    access = serializers.UUIDField()
    urgency = word(words.URGENCIES)
    question = serializers.CharField(max_length=400)
    to = serializers.UUIDField(allow_null=True, required=False)


class ReferralDecideShape(Shape):
    """What the nephrologist decided."""

    decision = serializers.CharField(max_length=600)


class ReferralOutcomeShape(Shape):
    """What was done in the end: it becomes an event of the access."""

    on = serializers.DateField()
    # Empty where nothing was done to the access.
    what = word(words.EventWhat, blank=True)
    where_words = text(max_length=80)
    where_cm = number()
    degree_percent = number()
    outcome = serializers.CharField(max_length=400)
    close_flags = serializers.BooleanField()


class ReferralRowShape(Shape):
    """A referral in a list."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    state = serializers.CharField()
    access = AccessTitleShape()
    patient = PatientShape()
    urgency = word(words.URGENCIES)
    time_in_words = serializers.CharField()
    question = serializers.CharField(allow_blank=True)
    to = serializers.CharField(allow_blank=True)
    to_id = serializers.UUIDField(allow_null=True)
    created_at = serializers.DateTimeField()
    created_by = serializers.CharField(allow_blank=True)
    sent_at = serializers.DateTimeField(allow_null=True)
    sent_by = serializers.CharField(allow_blank=True)
    acknowledged_at = serializers.DateTimeField(allow_null=True)
    acknowledged_by = serializers.CharField(allow_blank=True)
    decided_at = serializers.DateTimeField(allow_null=True)
    decided_by = serializers.CharField(allow_blank=True)
    decision = serializers.CharField(allow_blank=True)
    done_at = serializers.DateTimeField(allow_null=True)
    outcome = serializers.CharField(allow_blank=True)
    withdrawn_at = serializers.DateTimeField(allow_null=True)
    withdrawn_why = serializers.CharField(allow_blank=True)


class ReferralShape(ReferralRowShape):
    """A referral with its summary as it stood when sent."""

    summary = serializers.DictField()
    map = MapShape()
    charts = FigureShape(many=True)


class ReferralListShape(Shape):
    """Referrals, the open ones first."""

    rows = ReferralRowShape(many=True)
    next = serializers.CharField(allow_null=True)
