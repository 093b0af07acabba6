"""Reads the save envelope from the body of a request; the document inside goes to the writers untouched."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request


class Envelope(serializers.Serializer[Any]):
    """The members of a save around its document."""

    save_id = serializers.UUIDField()
    recorded_by = serializers.UUIDField(allow_null=True, required=False)
    device = serializers.UUIDField(allow_null=True, required=False)
    device_now = serializers.DateTimeField(allow_null=True, required=False)
    reason = serializers.CharField(allow_blank=True, required=False, max_length=400)
    replaces = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=20)
    document = serializers.JSONField()

    def validate_document(self, document: Any) -> dict[str, Any]:
        """The document is an object; what is in it the writers judge."""
        if not isinstance(document, dict):
            raise serializers.ValidationError("The document must be an object.")
        return document


def opened(request: Request, shape: type[serializers.Serializer[Any]] = Envelope) -> dict[str, Any]:
    """The validated members of a body, or a validation error that names the field."""
    reader = shape(data=request.data)
    reader.is_valid(raise_exception=True)
    read: dict[str, Any] = reader.validated_data
    return read
