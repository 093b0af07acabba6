"""The tables in which the page looks answers up, so that it decides nothing clinical itself."""

from dataclasses import asdict
from math import isfinite
from typing import Any, get_args

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.resource import Resource
from access.api.shapes.session import TablesShape
from access.measures import examination, needles, plausibility, readiness, words
from access.measures.findings import URGENCY_IN_WORDS
from access.measures.readiness import GaugeSpeed
from access.records import history

VOCABULARIES: dict[str, Any] = {
    "routes": words.Route,
    "directions": words.Direction,
    "techniques": words.Technique,
    "tips": words.Tip,
    "outcomes": words.Outcome,
    "needled_by": words.CannulatedBy,
    "limbs": words.Limb,
    "lines": words.Lines,
    "systemic_sites": words.SystemicSite,
    "flow_methods": words.FlowMethod,
    "ratio_formulas": words.RatioFormula,
    "zone_whys": words.ZoneWhy,
    "zone_actions": words.ZoneAction,
    "events": words.EventWhat,
}


def gauge_row(row: GaugeSpeed) -> dict[str, Any]:
    """One row of the gauge table; JSON knows no infinity, so an open end is null."""
    return {name: value if isfinite(value) else None for name, value in asdict(row).items()}


class TablesResource(Resource):
    """Bounds, vocabularies, the emergency table, spacing and gauges, with the protocol in force."""

    acts = {"GET": "clinic:read"}

    @extend_schema(operation_id="tables", responses=TablesShape)
    def get(self, request: Request) -> Response:
        """All tables at once, since the page takes them along."""
        protocol = history.in_force(self.the_clinic())
        return Response(
            {
                "bounds": plausibility.as_table(),
                "findings": {name: list(readings) for name, readings in words.FINDINGS.items()},
                "never_filled_together": sorted(words.NEVER_FILLED_TOGETHER),
                "seen_during_treatment": sorted(words.SEEN_DURING_TREATMENT),
                "emergency": examination.as_table(),
                "gauge_by_speed": [gauge_row(one) for one in readiness.GAUGES_BY_SPEED],
                "spacing": asdict(needles.DEFAULT_SPACING),
                "not_judged": words.NOT_JUDGED,
                "urgency_in_words": URGENCY_IN_WORDS,
                "protocol": {
                    "id": protocol.id,
                    "name": protocol.name,
                    "version": protocol.version,
                    "unconfirmed": len(protocol.unconfirmed()),
                },
                "words": {name: list(get_args(vocabulary)) for name, vocabulary in VOCABULARIES.items()},
            }
        )
