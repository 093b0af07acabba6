"""The building blocks of the described shapes. They describe; ``access.records.entry`` validates."""

from typing import Any, get_args

from rest_framework import serializers

from access.measures import words

Shape = serializers.Serializer[Any]


def number(**options: Any) -> serializers.FloatField:
    """A number that may be missing."""
    return serializers.FloatField(allow_null=True, required=False, **options)


def text(**options: Any) -> serializers.CharField:
    """A text that may be empty."""
    return serializers.CharField(allow_blank=True, required=False, **options)


def moment(**options: Any) -> serializers.DateTimeField:
    """A time that may be missing."""
    return serializers.DateTimeField(allow_null=True, required=False, **options)


def word(vocabulary: Any, *, blank: bool = False) -> serializers.ChoiceField:
    """One word of a closed vocabulary."""
    choices = vocabulary if isinstance(vocabulary, tuple) else get_args(vocabulary)
    return serializers.ChoiceField(choices=choices, allow_blank=blank)


class SpokenFlagShape(Shape):
    """An urgency is never shown without its time in words."""

    urgency = word(words.URGENCIES)
    time_in_words = serializers.CharField()
    sentence = serializers.CharField()


class PatientShape(Shape):
    """The two identifiers and what to mind."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    birth_date = serializers.DateField()
    chart_number = serializers.CharField()
    arm_notes = serializers.CharField(allow_blank=True)
    isolation = serializers.CharField(allow_blank=True)
    needle_allergies = serializers.CharField(allow_blank=True)


class AccessTitleShape(Shape):
    """Which access it is."""

    id = serializers.UUIDField()
    title = serializers.CharField()
    kind = word(words.Kind)
    configuration = word(words.Configuration)
    side = word(words.Side)
    status = word(words.AccessStatus)


class EvidenceShape(Shape):
    """One reading that a flag rests on."""

    at = serializers.DateTimeField()
    text = serializers.CharField()


class ExplainShape(Shape):
    """How a number came about: formula in words, source, doubt."""

    formula = serializers.CharField(allow_blank=True)
    source = serializers.CharField(allow_blank=True)  # type: ignore[assignment]  # The base class has a `source`.
    doubt = serializers.CharField(allow_blank=True)


class NamedShape(Shape):
    """A name with its value in words."""

    name = serializers.CharField()
    value = serializers.CharField()


class WorkedShape(ExplainShape):
    """How a number or a chart came about, with what went into it."""

    inputs = NamedShape(many=True)


class ComparatorShape(Shape):
    """A guideline's own rule, evaluated and shown as evidence."""

    rule = serializers.CharField()
    met = serializers.BooleanField()
    sentence = serializers.CharField()


class FlagShape(SpokenFlagShape):
    """A stored finding with what it saw."""

    id = serializers.UUIDField()
    rule = serializers.CharField()
    basis = serializers.CharField()
    ask = serializers.CharField(allow_blank=True)
    since = serializers.DateTimeField()
    last_seen = serializers.DateTimeField()
    known_since = serializers.DateTimeField(allow_null=True)
    times_seen = serializers.IntegerField()
    times_needed = serializers.IntegerField()
    missing = serializers.ListField(child=serializers.CharField())
    source = serializers.CharField(allow_blank=True)  # type: ignore[assignment]  # The base class has a `source`.
    source_says = serializers.CharField(allow_blank=True)
    limit_confirmed = serializers.BooleanField()
    evidence = EvidenceShape(many=True)
    state = serializers.CharField()
    explain = ExplainShape()
    comparators = ComparatorShape(many=True)


class AskShape(Shape):
    """A question about something merely unlikely; the value is stored all the same."""

    field = serializers.CharField()
    text = serializers.CharField()


class TableTwinShape(Shape):
    """The rows behind a figure."""

    columns = serializers.ListField(child=serializers.CharField())
    rows = serializers.ListField(child=serializers.ListField(child=serializers.CharField(allow_blank=True)))


class ProblemFieldShape(Shape):
    """Which field is wrong, and why."""

    field = serializers.CharField()
    text = serializers.CharField()


class ProblemShape(Shape):
    """An RFC 9457 problem document."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField(allow_blank=True)
    fields_ = ProblemFieldShape(many=True)
    request = serializers.CharField(allow_blank=True)

    def get_fields(self) -> dict[str, Any]:
        """The key is ``fields``, a name that the base class keeps for itself."""
        declared = super().get_fields()
        declared["fields"] = declared.pop("fields_")
        return declared
