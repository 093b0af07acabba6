"""A finding goes into a flag and comes out whole; a flag explains itself by what it saw and by the handbook."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from access.measures.findings import Evidence, Finding
from access.measures.handbook import bullets
from access.measures.rules import RULE_IDS
from access.review.models import Flag
from access.review.shown import explained, flag_row
from access.review.stored import as_json, evidence_ids, from_json, is_met

AT = datetime(2026, 3, 4, 7, 30, tzinfo=UTC)
FINDING = Finding(
    rule="flow.limit",
    basis="measurement",
    sentence="Flow below the limit of 600 mL/min for a graft: seen twice in succession, 2 needed.",
    urgency="urgent",
    time_in_words="at the next treatment",
    first_seen=AT - timedelta(days=30),
    last_seen=AT,
    times_seen=2,
    times_needed=2,
    ask="Repeat and examine.",
    source="kdoqi-2006",
    source_says="Graft below 600 mL/min. (from memory)",
    limit_confirmed=False,
    missing=("a hematocrit",),
    evidence=(Evidence(id="a", at=AT - timedelta(days=30), text="first"), Evidence(id="b", at=AT, text="second")),
)


def test_a_finding_comes_back_from_its_flag_as_it_was() -> None:
    assert from_json(json.loads(json.dumps(as_json(FINDING)))) == FINDING


def test_what_it_rests_on_and_what_was_evaluated_beside_it_are_kept() -> None:
    beside = Finding(**{**FINDING.__dict__, "rule": "flow.kdoqi-2000", "times_seen": 1, "raises": False})
    kept = as_json(FINDING, beside=[beside], known_since=AT)
    assert evidence_ids(kept) == {"a", "b"}
    assert kept["comparators"] == [{"rule": "flow.kdoqi-2000", "met": False, "sentence": FINDING.sentence}]
    assert kept["known_since"] == "2026-03-04T07:30:00+00:00"


def test_what_was_only_measured_and_not_judged_is_not_met() -> None:
    assert is_met(FINDING)
    assert not is_met(Finding(**{**FINDING.__dict__, "times_seen": 0, "times_needed": 0}))


def test_a_flag_is_shown_by_what_it_saw_even_where_its_rule_is_gone() -> None:
    flag = Flag(
        rule="flow.of-an-older-version",
        basis="measurement",
        urgency="urgent",
        first_seen_at=AT,
        last_seen_at=AT,
        finding=as_json(FINDING),
        state="closed",
        closed_at=AT,
        closed_why="Closed by measurements.",
    )
    row = flag_row(flag)
    assert (row["sentence"], row["evidence"][1]["text"]) == (FINDING.sentence, "second")
    assert (row["explain"]["formula"], row["closed_by_measurements"]) == ("", True)
    assert "from memory" in row["source_says"] and "(" in row["explain"]["source"]


@pytest.mark.parametrize("rule", RULE_IDS)
def test_every_rule_explains_its_formula_its_source_and_its_doubt(rule: str) -> None:
    said = explained(rule, source="kdoqi-2006")
    assert said["formula"] and said["doubt"], f"{rule} has {sorted(bullets(rule))}"
    assert said["source"].endswith(")")
