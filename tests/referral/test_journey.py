"""Journey C without a browser: a held sign and a high ratio lead to an angioplasty, and the series begins anew."""

from datetime import datetime, timedelta
from io import BytesIO
from typing import Any

import pypdf
import pytest
from uuid_utils.compat import uuid7

from access.audit.trail import Acting
from access.records import history
from access.records.history.figures import figures
from access.records.history.pictures import charts
from access.records.problems import Missing
from access.referral import document, lists, outcome, states
from access.referral.drafting import decide
from access.referral.models import Referral
from access.review import flags, judging
from access.review.models import Flag
from access.review.worklist import worklist
from tests import cast as people
from tests.cast import NOW, Cast, a_save

pytestmark = pytest.mark.django_db
STATIC = {
    "pump_ml_min": 0.0,
    "venous_mmhg": None,
    "pre_pump_arterial_mmhg": None,
    "systolic_mmhg": 140.0,
    "diastolic_mmhg": 80.0,
    "arterial_static_mmhg": 60.0,
    "venous_static_mmhg": 45.0,
    "arterial_height_cm": 30.0,
    "venous_height_cm": 30.0,
    "height_formula": "hydrostatic",
}


def treatment(cast: Cast, *, days: int, odd: dict[str, str], reading: dict[str, Any]) -> judging.Judged:
    """Ada enters a treatment of so many days before: examined, needled, one static reading, ended."""
    clock = {"days": -days}
    document = people.a_treatment_document(
        cast.graft,
        clinic_day=(people.DAY - timedelta(days=days)).isoformat(),
        examinations=[
            people.an_examination(
                cast.graft, measured_at=people.at("06:05", **clock), findings=people.NORMAL | odd, filled_together=[]
            )
        ],
        needles=[
            people.a_needle(cast.graft, role=role, in_at=people.at("06:12", **clock)) for role in ("arterial", "venous")
        ],
        pressures=[people.a_reading(**reading, measured_at=people.at("06:20", **clock))],
    )
    document["frame"] |= {"started_at": people.at("06:15", **clock), "state": "ended"}
    document["frame"] |= {"ended_at": people.at("08:30", **clock)}
    acting = cast.acting(cast.ada, at=at(days))
    return judging.save_treatment(uuid7(), body=a_save(document), acting=acting)


def at(days: float) -> datetime:
    return NOW - timedelta(days=days)


def rows(cast: Cast, *, days: float = 0) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = worklist(cast.north, as_of=at(days))["rows"]
    return found


def test_from_the_chair_to_the_referral_and_back(cast: Cast) -> None:
    pulsatile = {"pulse": "pulsatile"}
    first = treatment(cast, days=14, odd=pulsatile, reading=STATIC)
    assert {flag.rule: flag.finding["times_seen"] for flag in first.flags} == {
        "sign.pulse-pulsatile": 1,
        "outlet.static-ratio": 1,
    }
    second = treatment(cast, days=12, odd=pulsatile, reading=STATIC)
    held = {flag.rule: flag for flag in second.flags}
    assert held["sign.pulse-pulsatile"].finding["time_in_words"] == "refer this week, imaging within about 14 days"
    assert held["outlet.static-ratio"].finding["times_seen"] == 2

    referral = _referred_by_the_coordinator(cast)
    _decided_by_the_nephrologist(cast, referral)
    _angioplasty(cast, referral)
    assert not Flag.objects.filter(access=cast.graft, state__in=flags.STANDING).exists()
    assert rows(cast, days=5) == []

    low = STATIC | {"arterial_static_mmhg": 25.0, "venous_static_mmhg": 10.0}
    assert treatment(cast, days=2, odd={}, reading=low).flags == []
    _the_chart_goes_on_behind_the_procedure(cast)
    again = treatment(cast, days=0, odd=pulsatile, reading=low)
    assert {flag.rule: flag.finding["times_seen"] for flag in again.flags} == {"sign.pulse-pulsatile": 1}


def _referred_by_the_coordinator(cast: Cast) -> Referral:
    """Dov finds the graft on his list, refers it, words the question and sends it."""
    (row,) = rows(cast, days=11)
    assert (row["access"]["id"], row["chart"]["title"]) == (str(cast.graft.pk), "Static pressure ratio")
    dov = cast.acting(cast.dov, at=at(10))
    draft = decide(cast.graft, decision_id=uuid7(), outcome="refer", note="Flow not measured yet.", acting=dov).referral
    assert draft is not None
    body = states.Draft(urgency="urgent", question="Imaging of the outlet?", to=cast.ben.pk)
    referral = states.draft(cast.graft, referral_id=draft.pk, body=body, acting=dov)
    assert rows(cast, days=10)[0]["last_decision"]["outcome"] == "refer"
    return states.send(referral, acting=dov)


def _decided_by_the_nephrologist(cast: Cast, referral: Referral) -> None:
    """Ben opens page and sheet, takes it on, decides; the answer comes back to the coordinator."""
    ben = cast.acting(cast.ben, at=at(10))
    opened = lists.get_referral(referral.pk, user=cast.ben, clinic=cast.north, at=at(10))
    sheet = document.pdf(lists.summary_of(opened, as_of=at(10)), number=str(opened.pk))
    (page,) = pypdf.PdfReader(BytesIO(sheet)).pages
    said = " ".join(page.extract_text().split())
    for part in ("Gwen", "patient's LEFT arm", "Imaging of the outlet?", "Pulsatile pulse", "0.68"):
        assert part in said, part
    states.acknowledge(opened, acting=ben)
    states.decide(opened, decision="Angioplasty on 26 February.", acting=ben)
    assert lists.returned(cast.north, as_of=at(9))[0]["decision"] == "Angioplasty on 26 February."


def _angioplasty(cast: Cast, referral: Referral) -> None:
    """Ben records the procedure, which closes the flags behind the referral."""
    done = outcome.record_outcome(
        referral,
        on=at(6).date(),
        what="angioplasty",
        where_words="outlet",
        degree_percent=65.0,
        outcome="No narrowing left.",
        close_flags=True,
        acting=cast.acting(cast.ben, at=at(6)),
    )
    assert (done.state, len(done.events)) == ("done", 1)


def _the_chart_goes_on_behind_the_procedure(cast: Cast) -> None:
    """All points stay on the chart, the procedure as a line between them; the rules count from there."""
    known, protocol = history.profile(cast.graft, as_of=at(1)), history.in_force(cast.north)
    drawn = {one["id"]: one for one in charts(figures(known, protocol=protocol, as_of=at(1)), width=560)}
    remarks = [cells[3] for cells in drawn["ratio"]["table"]["rows"]]
    assert (remarks[2], sorted(remarks)) == ("angioplasty", ["angioplasty", *["arterial"] * 3, *["venous"] * 3])
    assert "angioplasty" in drawn["ratio"]["svg"]


def test_a_nurse_of_the_other_clinic_finds_nothing_of_it(cast: Cast) -> None:
    treatment(cast, days=2, odd={"pulse": "pulsatile"}, reading=STATIC)
    dov = cast.acting(cast.dov)
    referral = decide(cast.graft, decision_id=uuid7(), outcome="refer", acting=dov).referral
    assert referral is not None
    assert worklist(cast.south, as_of=NOW)["rows"] == []
    assert lists.referrals(cast.south, at=NOW)["rows"] == []
    with pytest.raises(Missing):
        lists.get_referral(referral.pk, user=cast.cleo, clinic=cast.south, at=NOW)


def test_the_acts_of_a_journey_are_told_by_whoever_did_them(cast: Cast) -> None:
    treatment(cast, days=2, odd={"pulse": "pulsatile"}, reading=STATIC)
    acting: Acting = cast.acting(cast.dov)
    referral = decide(cast.graft, decision_id=uuid7(), outcome="refer", acting=acting).referral
    assert referral is not None
    assert (referral.created_by_id, referral.created_at) == (cast.dov.pk, NOW)
