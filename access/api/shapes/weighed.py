"""What the numbers of an access say together."""

from rest_framework import serializers

from access.api.shapes.base import Shape, TableTwinShape, WorkedShape


class WeighedItemShape(Shape):
    """One statement of several numbers, and how it is worked out."""

    id = serializers.CharField()
    title = serializers.CharField()
    sentence = serializers.CharField()
    lines = serializers.ListField(child=serializers.CharField())
    table = TableTwinShape(allow_null=True)
    worked = WorkedShape()


class WeighedShape(Shape):
    """All statements, as they stand at the moment of asking."""

    items = WeighedItemShape(many=True)
