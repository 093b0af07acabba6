"""How wide the figures of an answer are drawn: for a phone, or for a desk."""

from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request

WIDTHS = {"narrow": 360.0, "wide": 720.0}
WIDTH = OpenApiParameter("width", str, enum=list(WIDTHS), description="narrow for a phone, wide for a desk")


def drawn_width(request: Request) -> float:
    """The width asked for in CSS pixels; narrow when none is named."""
    return WIDTHS.get(request.query_params.get("width", ""), WIDTHS["narrow"])
