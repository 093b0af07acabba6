"""What is a flag, a question and evidence: the definition, on profiles made by hand."""

from datetime import UTC, datetime, timedelta

from access.measures import protocol
from access.measures.readings import AccessProfile, FlowReading
from access.practice.evaluation.judge import Told, by_the_rules

START = datetime(2026, 1, 5, 8, 30, tzinfo=UTC)


def told(*flows: float, days_later: float = 1, apart: float = 30) -> dict[str, str]:
    """How the rules of KDOQI 2006 tell of a graft with these flows, measured regularly, so many days after the last."""
    readings = tuple(
        FlowReading(
            id=f"flow {number}",
            at=START + timedelta(days=apart * number),
            method="ultrasound dilution",
            ml_min=ml_min,
            low_ml_min=ml_min / 1.2,
            high_ml_min=ml_min * 1.2,
        )
        for number, ml_min in enumerate(flows)
    )
    profile = AccessProfile(
        access="a graft", kind="graft", configuration="forearm loop graft", side="left", flows=readings
    )
    judge = by_the_rules(protocol.load("kdoqi-2006"))
    return {one.rule: one.told_as for one in judge(profile, readings[-1].at + timedelta(days=days_later))}


def test_a_far_too_low_flow_is_a_question_until_it_is_overdue() -> None:
    assert told(1000, 1010, 990, 1000, 380)["flow.trend"] == "question"
    assert told(1000, 1010, 990, 1000, 380, days_later=10)["flow.trend"] == "flag"


def test_a_far_too_low_flow_that_is_low_again_is_a_flag() -> None:
    assert told(1000, 1010, 990, 380, 390, apart=7)["flow.trend"] == "flag"


def test_the_trend_at_its_cut_is_a_flag_at_first_sight_and_the_plain_rules_are_evidence() -> None:
    found = told(900, 860, 800, 730, 620)
    assert found["flow.trend"] == "flag"
    assert {rule: said for rule, said in found.items() if rule != "flow.trend"}.items() <= {
        "flow.limit": "evidence",
        "flow.kdoqi-2000": "evidence",
    }.items()


def test_a_steady_access_is_told_nothing_of() -> None:
    assert told(1000, 1010, 990, 1000) == {}


def test_numbers_are_told_from_signs_and_needles() -> None:
    rules = (
        "flow.trend",
        "outlet.rise",
        "inflow.fall",
        "recirculation.above-limit",
        "sign.thrill-missing",
        "new.access",
    )
    numbers = [Told(rule=rule, told_as="flag").of_a_number for rule in rules]
    assert numbers == [True, True, True, True, False, False]
