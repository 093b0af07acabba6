"""Referrals: drafted, sent, acknowledged, decided, done; read as a page and as a document."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.drawn import WIDTH, drawn_width
from access.api.envelope import opened
from access.api.resource import Resource
from access.api.shapes.referral import (
    ReferralDecideShape,
    ReferralDraftShape,
    ReferralListShape,
    ReferralOutcomeShape,
    ReferralShape,
)
from access.api.shapes.review import WhyShape
from access.audit import trail
from access.measures.findings import URGENCY_IN_WORDS
from access.records import history
from access.records.history.figures import map_drawn
from access.records.history.pictures import charts
from access.referral import document, lists, outcome, states
from access.referral.models import Referral


class ReferralsResource(Resource):
    """The referrals of the clinic, newest first."""

    acts = {"GET": "referral:read"}

    @extend_schema(
        operation_id="referrals",
        parameters=[OpenApiParameter("state", str), OpenApiParameter("cursor", str)],
        responses=ReferralListShape,
    )
    def get(self, request: Request) -> Response:
        """One page of the list."""
        asked = request.query_params
        cursor = opened_cursor(asked.get("cursor", ""))
        page = lists.referrals(self.the_clinic(), at=self.now, state=asked.get("state", ""), cursor=cursor)
        page["rows"] = [listed(one) for one in page["rows"]]
        trail.write("referral:read", acting=self.acting, patients=[row["patient"]["id"] for row in page["rows"]])
        return Response(page)


class OneReferral(Resource):
    """What the resources of one referral share."""

    def found(self, referral: UUID) -> Referral:
        """The referral, or the same 404 whether it is absent or another clinic's."""
        return lists.get_referral(referral, user=self.user, clinic=self.the_clinic(), at=self.now)

    def shown(self, referral: Referral, *, status: int = 200) -> Response:
        """The referral as the page shows it."""
        return Response(self.body(referral), status=status)

    def body(self, referral: Referral) -> dict[str, Any]:
        """The frozen summary with its figures drawn; of a draft, as it would be sent now."""
        said = lists.summary_of(referral, as_of=self.now)
        return {
            **listed(lists.row(referral)),
            "summary": said,
            "map": {"svg": map_drawn(said["map"]), "title": f"Map of the {said['access']['title']}"},
            "charts": charts(said["figures"], width=drawn_width(self.request)),
        }


def listed(row: dict[str, Any]) -> dict[str, Any]:
    """A referral's row with the time that its urgency stands for."""
    return {**row, "time_in_words": URGENCY_IN_WORDS[row["urgency"]]}


def opened_cursor(text: str) -> UUID | None:
    """The place in the list that a cursor names; none for the start."""
    try:
        return UUID(text) if text else None
    except ValueError as wrong:
        raise ValidationError({"cursor": "This is not a place in the list. Open it from its start."}) from wrong


class ReferralResource(OneReferral):
    """One referral."""

    acts = {"GET": "referral:read", "PUT": "referral:change"}

    @extend_schema(operation_id="referral_get", parameters=[WIDTH], responses=ReferralShape)
    def get(self, request: Request, referral: UUID) -> Response:
        """The summary as it stood when sent; a draft's as it stands now."""
        found = self.found(referral)
        trail.write("referral:read", acting=self.acting, subjects=[referral], patients=[found.patient_id])
        return self.shown(found)

    @extend_schema(operation_id="referral_put", request=ReferralDraftShape, responses=ReferralShape)
    def put(self, request: Request, referral: UUID) -> Response:
        """Make or change a draft."""
        asked = opened(request, ReferralDraftShape)
        access = history.get_access(asked["access"], user=self.user, clinic=self.the_clinic(), at=self.now)
        body = states.Draft(urgency=asked["urgency"], question=asked["question"], to=asked.get("to"))
        states.draft(access, referral_id=referral, body=body, acting=self.acting)
        return self.shown(self.found(referral))


class SendResource(OneReferral):
    """A draft that is sent."""

    acts = {"POST": "referral:change"}

    @extend_schema(operation_id="referral_send", request=None, responses=ReferralShape)
    def post(self, request: Request, referral: UUID) -> Response:
        """Send it: the summary is frozen as it stands."""
        return self.shown(states.send(self.found(referral), acting=self.acting))


class AcknowledgeResource(OneReferral):
    """A referral that somebody has read."""

    acts = {"POST": "referral:decide"}

    @extend_schema(operation_id="referral_acknowledge", request=None, responses=ReferralShape)
    def post(self, request: Request, referral: UUID) -> Response:
        """Say that it has been read."""
        return self.shown(states.acknowledge(self.found(referral), acting=self.acting))


class DecideResource(OneReferral):
    """A referral that is decided on."""

    acts = {"POST": "referral:decide"}

    @extend_schema(operation_id="referral_decide", request=ReferralDecideShape, responses=ReferralShape)
    def post(self, request: Request, referral: UUID) -> Response:
        """Say what is to be done."""
        decision = opened(request, ReferralDecideShape)["decision"]
        return self.shown(states.decide(self.found(referral), decision=decision, acting=self.acting))


class OutcomeResource(OneReferral):
    """What was done in the end."""

    acts = {"POST": "event:change"}

    @extend_schema(operation_id="referral_outcome", request=ReferralOutcomeShape, responses=ReferralShape)
    def post(self, request: Request, referral: UUID) -> Response:
        """Record it as an event of the access; the flags it answers are closed or kept."""
        asked: dict[str, Any] = {"where_words": "", "where_cm": None, "degree_percent": None, "outcome": ""}
        asked |= opened(request, ReferralOutcomeShape)
        return self.shown(outcome.record_outcome(self.found(referral), acting=self.acting, **asked))


class WithdrawResource(OneReferral):
    """A referral that is taken back."""

    acts = {"POST": "referral:change"}

    @extend_schema(operation_id="referral_withdraw", request=WhyShape, responses=ReferralShape)
    def post(self, request: Request, referral: UUID) -> Response:
        """Take it back, with the reason."""
        why = opened(request, WhyShape)["why"]
        return self.shown(states.withdraw(self.found(referral), why=why, acting=self.acting))


class DocumentResource(OneReferral):
    """The referral on one sheet."""

    acts = {"GET": "referral:read"}

    @extend_schema(
        operation_id="referral_document",
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY)},
    )
    def get(self, request: Request, referral: UUID) -> HttpResponse:
        """A tagged PDF of one A4 sheet."""
        found = self.found(referral)
        trail.write("referral:read", acting=self.acting, subjects=[referral], patients=[found.patient_id])
        answer = HttpResponse(
            document.pdf(lists.summary_of(found, as_of=self.now), number=str(found.pk)),
            content_type="application/pdf",
        )
        answer["Content-Disposition"] = f'inline; filename="referral-{referral}.pdf"'
        return answer
