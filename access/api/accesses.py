"""The access page: the map, the charts, the story and the flags of one access."""

from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.drawn import WIDTH, drawn_width
from access.api.envelope import opened
from access.api.flags import decisions_of, open_flags
from access.api.referrals import listed
from access.api.resource import Resource, answered
from access.api.shapes import measured as shapes
from access.api.shapes.base import Shape, word
from access.api.shapes.review import AccessPageShape
from access.audit import trail
from access.measures import words
from access.records import entry, history
from access.records.history.figures import figures, map_drawn, map_marks
from access.records.history.pictures import charts
from access.records.history.strip import findings_figure
from access.records.history.worked import worked
from access.records.models import VascularAccess
from access.referral import lists


class AccessResource(Resource):
    """One access."""

    acts = {"GET": "access:read"}

    @extend_schema(
        operation_id="access_get",
        parameters=[WIDTH],
        responses=AccessPageShape,
    )
    def get(self, request: Request, access: UUID) -> Response:
        """Everything about it, drawn for a narrow or a wide page."""
        found = history.get_access(access, user=self.user, clinic=self.the_clinic(), at=self.now)
        width = drawn_width(request)
        trail.write("access:read", acting=self.acting, subjects=[access], patients=[found.patient_id])
        return Response(self.body(found, width=width))

    def body(self, access: VascularAccess, *, width: float) -> dict[str, Any]:
        """The page of an access as far as this clinic sees it."""
        clinic = self.the_clinic()
        sight = history.sight_of(access.patient, clinic=clinic, at=self.now)
        clock = sight.clock(self.now).astimezone(ZoneInfo(clinic.time_zone))
        story = history.access_history(access, clinic=clinic, as_of=clock, sight=sight)
        profile = history.profile(access, as_of=clock, sight=sight)
        numbers = figures(profile, protocol=history.in_force(clinic), as_of=clock)
        strip = findings_figure(profile, as_of=clock, width=width)
        return {
            "access": story["access"],
            "patient": story["patient"],
            "map": {
                "svg": map_drawn(map_marks(profile, day=clock.date()), width=min(width, 480)),
                "title": f"Map of the {story['access']['title']}",
            },
            "charts": [*charts(numbers, width=width), *([strip] if strip else [])],
            "recirculations": [recirculation_line(one) for one in story["recirculations"]],
            "needle_log": [needle_line(one) for one in story["needle_log"]],
            "events": [event_line(one) for one in reversed(story["events"])],
            "flags": open_flags([access.pk], sight=sight),
            "decisions": decisions_of(access, sight=sight),
            "referrals": [listed(one) for one in lists.of_access(access, sight=sight)],
        }


class SideShape(Shape):
    """The right side, why it was wrong, and who looked as well."""

    side = word(words.Side)
    reason = serializers.CharField(max_length=400)
    second = serializers.UUIDField()
    save_id = serializers.UUIDField()


class SideResource(Resource):
    """The side of an access, put right by two people."""

    acts = {"POST": "access:change"}

    @extend_schema(operation_id="access_side", request=SideShape, responses=shapes.saved_of(shapes.AccessDocumentShape))
    def post(self, request: Request, access: UUID) -> Response:
        """Correct it, with a reason and a second person."""
        asked = opened(request, SideShape)
        saved = entry.change_side(access, acting=self.acting, **asked)
        return answered({**saved.answer, "flags": []})


def recirculation_line(row: dict[str, Any]) -> dict[str, Any]:
    """A recirculation in one line, with how it is worked out."""
    result = row["result"]
    said = result.get("method") or result.get("text") or "waiting for the laboratory"
    samples = {"S": row["systemic"], "A": row["arterial"], "V": row["venous"]}
    pump = "" if row["pump_ml_min"] is None else f"{row['pump_ml_min']:.0f} mL/min"
    inputs = [
        *((name, "" if value is None else f"{value:g} {row['unit']}") for name, value in samples.items()),
        ("S from", row["systemic_site"]),
        ("Pump", pump),
        ("Lines", row["lines"]),
    ]
    sections = ["recirculation.three-samples", "recirculation.interval"]
    return {"at": row["measured_at"], "text": said, "worked": worked(sections, inputs=inputs)}


def needle_line(row: dict[str, Any]) -> dict[str, str]:
    """A puncture in one line."""
    place = "no place recorded" if row["along_cm"] is None else f"{row['along_cm']:g} cm"
    gauge = f"{row['gauge']}G" if row["gauge"] else ""
    bleeding = "" if row["bleeding_minutes"] is None else f"bled {row['bleeding_minutes']:g} min"
    parts = [row["role"], place, gauge, row["direction"], row["technique"], row["outcome"], bleeding]
    return {"at": row["on"], "text": ", ".join(part for part in parts if part)}


def event_line(row: dict[str, Any]) -> dict[str, str]:
    """An event in one line."""
    where = row["where_words"] or ("" if row["where_cm"] is None else f"at {row['where_cm']:g} cm")
    degree = "" if row["degree_percent"] is None else f"{row['degree_percent']:g} % narrowed"
    return {"at": row["on"], "text": ", ".join(part for part in (row["what"], where, degree, row["outcome"]) if part)}
