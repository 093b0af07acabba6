"""The weekly list, decisions and the access page."""

from rest_framework import serializers

from access.api.shapes.base import (
    AccessTitleShape,
    FlagShape,
    PatientShape,
    Shape,
    SpokenFlagShape,
    WorkedShape,
    text,
    word,
)
from access.api.shapes.chair import AccessPackShape
from access.api.shapes.referral import FigureShape, MapShape, OpenReferralShape, ReferralRowShape


class DecisionShape(Shape):
    """What a reviewer decided."""

    id = serializers.UUIDField()
    week = serializers.DateField()
    reviewer = serializers.CharField()
    at = serializers.DateTimeField()
    outcome = word(("no change", "check again", "refer", "already planned"))
    note = serializers.CharField(allow_blank=True)
    check_again_on = serializers.DateField(allow_null=True)


class DecidedShape(DecisionShape):
    """A decision just made, with the referral that it began."""

    referral = serializers.UUIDField(allow_null=True)


class DecisionToMakeShape(Shape):
    """One of four outcomes, with a note."""

    access = serializers.UUIDField()
    outcome = word(("no change", "check again", "refer", "already planned"))
    note = text(max_length=400)
    check_again_on = serializers.DateField(allow_null=True, required=False)
    # The last decision that the reviewer saw; another's that she did not see is handed back.
    after = serializers.UUIDField(allow_null=True, required=False)


class ReviewRowShape(SpokenFlagShape):
    """One access that needs attention."""

    access = AccessTitleShape()
    patient = PatientShape()
    flags = FlagShape(many=True)
    weeks_open = serializers.IntegerField()
    chart = FigureShape(allow_null=True)
    last_decision = DecisionShape(allow_null=True)
    check_again_on = serializers.DateField(allow_null=True)
    referral = OpenReferralShape(allow_null=True)


class SidelineShape(Shape):
    """An access with one sentence: what is overdue, missing, or came back."""

    access = AccessTitleShape()
    patient = PatientShape()
    sentence = serializers.CharField()
    referral = serializers.UUIDField(allow_null=True)


class ReviewShape(Shape):
    """The weekly list, most urgent first."""

    week = serializers.DateField()
    limits_waiting = serializers.IntegerField()
    rows = ReviewRowShape(many=True)
    next = serializers.CharField(allow_null=True)
    overdue = SidelineShape(many=True)
    cannot_judge = SidelineShape(many=True)
    returned = SidelineShape(many=True)


class LogRowShape(Shape):
    """One line of a log: when and what."""

    at = serializers.CharField()
    text = serializers.CharField()


class TestRowShape(LogRowShape):
    """One test in a line, with how its result is worked out."""

    worked = WorkedShape()


class AccessPageShape(Shape):
    """Everything about one access."""

    access = AccessPackShape()
    patient = PatientShape()
    map = MapShape()
    charts = FigureShape(many=True)
    recirculations = TestRowShape(many=True)
    needle_log = LogRowShape(many=True)
    events = LogRowShape(many=True)
    flags = FlagShape(many=True)
    decisions = DecisionShape(many=True)
    referrals = ReferralRowShape(many=True)


class WhyShape(Shape):
    """Why a person closes a flag."""

    why = serializers.CharField(max_length=400)
