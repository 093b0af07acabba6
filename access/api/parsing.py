"""Reads the body of a request: JSON within the size limit, and only text that every store can keep.

What the JSON means, the shapes and the writers judge.
"""

from collections.abc import Mapping
from typing import IO, Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser


class Body(JSONParser):
    """The one parser of the API."""

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        """The parsed body; the limit is asked before a byte is read, since the parser itself would read all of it."""
        announced = (parser_context or {})["request"].META.get("CONTENT_LENGTH") or "0"
        if int(announced) > settings.DATA_UPLOAD_MAX_MEMORY_SIZE:
            raise RequestDataTooBig
        try:
            parsed = super().parse(stream, media_type=media_type, parser_context=parser_context)
        except RecursionError as error:
            raise ParseError("The JSON is nested too deeply.") from error
        refuse_unkeepable(parsed)
        return parsed


def refuse_unkeepable(parsed: Any) -> None:
    """Refuses text with a null character or half a surrogate pair, which PostgreSQL or UTF-8 cannot hold."""
    waiting = [parsed]
    while waiting:
        value = waiting.pop()
        if isinstance(value, dict):
            waiting += [*value.keys(), *value.values()]
        elif isinstance(value, list):
            waiting += value
        elif isinstance(value, str) and any(char == "\0" or "\ud800" <= char <= "\udfff" for char in value):
            raise ParseError("The text holds a character that cannot be kept.")
