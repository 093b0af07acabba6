"""The weekly list, what a reviewer decides, and closing a flag by hand."""

from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from access.api.envelope import opened
from access.api.flags import get_flag
from access.api.resource import Resource
from access.api.shapes.base import FlagShape
from access.api.shapes.review import DecidedShape, DecisionToMakeShape, ReviewShape, WhyShape
from access.audit import trail
from access.records import history
from access.referral import drafting
from access.referral import lists as referrals
from access.review import flags, lists, worklist
from access.review.shown import flag_row
from access.review.worklist import decision_row


class ReviewResource(Resource):
    """The list of accesses that need attention, most urgent first."""

    acts = {"GET": "review:read"}

    @extend_schema(operation_id="review", parameters=[OpenApiParameter("cursor", str)], responses=ReviewShape)
    def get(self, request: Request) -> Response:
        """One page of the list with the lists beside it."""
        clinic = self.the_clinic()
        page = worklist.worklist(clinic, as_of=self.now, cursor=request.query_params.get("cursor", ""))
        going = referrals.open_referrals([UUID(row["access"]["id"]) for row in page["rows"]])
        for row in page["rows"]:
            row["referral"] = going.get(UUID(row["access"]["id"]))
        trail.write("patient:list", acting=self.acting, patients=[row["patient"]["id"] for row in page["rows"]])
        return Response(
            {
                **page,
                "overdue": [sideline(one, one["what"]) for one in lists.overdue(clinic, as_of=self.now)],
                "cannot_judge": [sideline(one, one["missing"]) for one in lists.cannot_judge(clinic, as_of=self.now)],
                "returned": [answered_line(one) for one in referrals.returned(clinic, as_of=self.now)],
            }
        )


def sideline(row: dict[str, Any], parts: list[str]) -> dict[str, Any]:
    """An access of a list beside the weekly one, with what is to be said in one sentence."""
    return {"access": row["access"], "patient": row["patient"], "sentence": "; ".join(parts), "referral": None}


def answered_line(row: dict[str, Any]) -> dict[str, Any]:
    """What came back from a referral, in one sentence."""
    said = f"Done: {row['outcome']}" if row["state"] == "done" else f"Decided: {row['decision']}"
    return {"access": row["access"], "patient": row["patient"], "sentence": said, "referral": row["id"]}


class DecisionResource(Resource):
    """What a reviewer decided about one access."""

    acts = {"PUT": "decision:create"}

    @extend_schema(operation_id="decision_put", request=DecisionToMakeShape, responses={201: DecidedShape})
    def put(self, request: Request, decision: UUID) -> Response:
        """Decide; *refer* makes the draft of a referral in the same transaction."""
        asked = opened(request, DecisionToMakeShape)
        access = history.get_access(asked["access"], user=self.user, clinic=self.the_clinic(), at=self.now)
        decided = drafting.decide(
            access,
            decision_id=decision,
            outcome=asked["outcome"],
            note=asked.get("note", ""),
            check_again_on=asked.get("check_again_on"),
            after=asked.get("after"),
            acting=self.acting,
        )
        referral = str(decided.referral.pk) if decided.referral else None
        return Response({**decision_row(decided.decision), "referral": referral}, status=201)


class FlagCloseResource(Resource):
    """A flag that a person closes."""

    acts = {"POST": "flag:close"}

    @extend_schema(operation_id="flag_close", request=WhyShape, responses=FlagShape)
    def post(self, request: Request, flag: UUID) -> Response:
        """Close it, with the reason."""
        why = opened(request, WhyShape)["why"]
        found = get_flag(flag, user=self.user, clinic=self.the_clinic(), at=self.now)
        return Response(flag_row(flags.close(found, why=why, acting=self.acting)))
