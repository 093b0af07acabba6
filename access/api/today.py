"""Today: who is due on a shift, by station, and what to mind."""

from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.flags import brief_flags_by_access
from access.api.resource import Resource
from access.api.shapes.chair import TodayShape
from access.audit import trail
from access.records import entry, history
from access.records.history.lists import shift_at


class TodayResource(Resource):
    """The patients of one shift."""

    acts = {"GET": "treatment:read"}

    @extend_schema(
        operation_id="today",
        parameters=[OpenApiParameter("day", date), OpenApiParameter("shift", str)],
        responses=TodayShape,
    )
    def get(self, request: Request) -> Response:
        """The shift that runs now, or the one asked for; planning it is part of asking."""
        clinic = self.the_clinic()
        day, shift = self.asked(request)
        if shift:
            entry.plan_shift(clinic, clinic_day=day, shift=shift, acting=self.acting)
        rows = history.today(clinic, clinic_day=day, shift=shift, as_of=self.now)
        flags = brief_flags_by_access([row["access"]["id"] for row in rows if row["access"]])
        trail.write("patient:list", acting=self.acting, patients=[row["patient"]["id"] for row in rows])
        return Response(
            {
                "clinic_day": day,
                "shift": shift,
                "shifts": [one["name"] for one in clinic.shifts],
                "unconfirmed_limits": len(history.in_force(clinic).unconfirmed()),
                "rows": [{**row, "flags": self.flags_of(row, flags)} for row in rows],
            }
        )

    def asked(self, request: Request) -> tuple[date, str]:
        """The clinic day and shift asked for, else those that run now."""
        clinic = self.the_clinic()
        day, shift = shift_at(clinic, at=self.now)
        if text := request.query_params.get("day"):
            try:
                day = date.fromisoformat(text)
            except ValueError as wrong:
                raise ValidationError({"day": "A day reads like 2026-11-24."}) from wrong
            today = self.now.astimezone(ZoneInfo(clinic.time_zone)).date()
            if abs((day - today).days) > 60:
                raise ValidationError({"day": "Only the days within 60 of today are listed."})
        if wanted := request.query_params.get("shift"):
            if wanted not in {one["name"] for one in clinic.shifts}:
                raise ValidationError({"shift": "This clinic has no shift of that name."})
            shift = wanted
        return day, shift

    @staticmethod
    def flags_of(row: dict[str, Any], flags: dict[str, list[dict[str, Any]]]) -> list[dict[str, Any]]:
        """The open flags of a row's access."""
        return flags.get(str(row["access"]["id"]), []) if row["access"] else []
