"""Finishes the described API: the problem documents that any operation may answer with, and plain names of shapes.

The description itself comes from the views; this adds what holds for all of them alike.
"""

import json
import re
from typing import Any

# Statuses that an operation may answer with, whatever it is about.
ALWAYS = (400, 401, 403, 404, 405, 406, 409, 413, 415, 422, 428, 429, 503)
_SHAPE = re.compile(r"\b(\w+?)Shape(Request)?\b")


def finished(result: dict[str, Any], generator: Any, request: Any, public: bool) -> dict[str, Any]:
    """The hook of the schema generator: problems added, names shortened."""
    components = result.setdefault("components", {})
    components.setdefault("schemas", {})["Problem"] = problem_schema()
    components.setdefault("responses", {})["Problem"] = {
        "description": "What is wrong, in words (RFC 9457).",
        "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    answer = {"$ref": "#/components/responses/Problem"}
    for operations in result["paths"].values():
        for operation in operations.values():
            for status in ALWAYS:
                operation["responses"].setdefault(str(status), answer)
    shortened: dict[str, Any] = json.loads(_SHAPE.sub(r"\1\2", json.dumps(result, default=str)))
    return shortened


def problem_schema() -> dict[str, Any]:
    """A problem document; a conflict brings both documents and the version along."""
    text, texts = {"type": "string"}, {"type": "array", "items": {"type": "string"}}
    field = {"type": "object", "properties": {"field": text, "text": text}, "required": ["field", "text"]}
    return {
        "type": "object",
        "properties": {
            "type": text,
            "title": text,
            "status": {"type": "integer"},
            "detail": text,
            "instance": text,
            "fields": {"type": "array", "items": field},
            "parts": texts,
            "yours": {"type": "object"},
            "theirs": {"type": "object"},
            "version": {"type": "integer"},
        },
        "required": ["type", "title", "status", "detail"],
    }
