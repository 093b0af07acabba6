"""When primary, assisted primary and secondary patency begin and end, from one list of events."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures.patency import (
    ENDED_BY,
    PROCEDURES,
    THROMBOSIS,
    AccessHistory,
    Cohort,
    assisted_primary,
    primary,
    secondary,
)
from access.measures.readings import EventReading
from access.measures.survival import kaplan_meier
from access.measures.words import CHANGES_THE_VESSEL, EventWhat

CREATED = date(2030, 1, 1)
KINDS: tuple[Callable[..., Cohort], ...] = (primary, assisted_primary, secondary)


def day(number: int) -> date:
    """The day so many days after creation."""
    return CREATED + timedelta(days=number)


def access(
    *events: tuple[int, EventWhat], since: int = 0, left: int | None = None, name: str = "Ada's", known: bool = True
) -> AccessHistory:
    """An invented access with events at days after its creation."""
    return AccessHistory(
        access=name,
        created_on=CREATED if known else None,
        observed_from=day(since),
        events=tuple(EventReading(id=str(number), on=day(on), what=what) for number, (on, what) in enumerate(events)),
        left_on=None if left is None else day(left),
    )


def spans(*histories: AccessHistory, until: int = 1000) -> list[tuple[float, float, bool] | None]:
    """Entry, exit and event of the first access on each of the three curves; ``None`` where it is left out."""
    found = []
    for kind in KINDS:
        cohort = kind(histories, as_of=day(until))
        seen = cohort.observed
        found.append((seen.entry[0], seen.exit[0], bool(seen.event[0])) if len(seen) else None)
    return found


def why(kind: Callable[..., Cohort], history: AccessHistory, until: int = 1000) -> str:
    """The reason for which the access is left out."""
    (left_out,) = kind([history], as_of=day(until)).left_out
    assert left_out.access == history.access
    return left_out.why


@pytest.mark.parametrize("what", ["angioplasty", "stent", "revision", "ligation"])
def test_a_procedure_without_thrombosis_ends_primary_and_not_assisted_primary(what: EventWhat) -> None:
    assert spans(access((200, what))) == [(0, 200, True), (0, 1000, False), (0, 1000, False)]


@pytest.mark.parametrize("what", ["clotted", "thrombectomy"])
def test_a_thrombosis_ends_both_and_not_secondary(what: EventWhat) -> None:
    assert spans(access((300, what))) == [(0, 300, True), (0, 300, True), (0, 1000, False)]


def test_each_patency_ends_at_its_own_first_event_whatever_the_order_of_the_list() -> None:
    one = access(
        (700, "abandoned"), (500, "clotted"), (502, "thrombectomy"), (200, "angioplasty"), (600, "angioplasty")
    )
    assert spans(one) == [(0, 200, True), (0, 500, True), (0, 700, True)]


def test_abandonment_ends_all_three() -> None:
    assert spans(access((90, "abandoned"))) == [(0, 90, True)] * 3


@pytest.mark.parametrize("what", ["created", "first needled", "infection", "catheter in", "catheter out"])
def test_what_says_nothing_of_patency_ends_none(what: EventWhat) -> None:
    assert spans(access((40, what))) == [(0, 1000, False)] * 3


def test_what_changes_the_vessel_is_what_counts_as_a_procedure() -> None:
    assert PROCEDURES == CHANGES_THE_VESSEL
    assert ENDED_BY["primary"] > ENDED_BY["assisted primary"] > ENDED_BY["secondary"]
    assert THROMBOSIS - PROCEDURES == {"clotted"}


def test_death_transplant_or_leaving_censors() -> None:
    assert spans(access(left=400)) == [(0, 400, False)] * 3
    assert spans(access((500, "clotted"), left=400)) == [(0, 400, False)] * 3


def test_what_comes_after_the_last_day_looked_at_is_not_seen() -> None:
    assert spans(access((500, "abandoned")), until=499) == [(0, 499, False)] * 3
    assert spans(access((500, "abandoned")), until=500) == [(0, 500, True)] * 3


def test_an_access_taken_over_late_is_at_risk_from_that_day() -> None:
    assert spans(access((500, "abandoned"), since=350)) == [(350, 500, True)] * 3


def test_an_event_before_the_access_was_taken_over_leaves_it_out_of_that_curve_alone() -> None:
    one = access((200, "angioplasty"), (500, "clotted"), since=350)
    assert spans(one) == [None, (350, 500, True), (350, 1000, False)]
    assert why(primary, one) == "This patency had ended (angioplasty) when observation began."


def test_an_event_on_the_day_of_taking_over_belongs_to_the_past() -> None:
    assert spans(access((350, "clotted"), since=350)) == [None, None, (350, 1000, False)]
    assert why(primary, access((350, "clotted"), since=350)).startswith("This patency had ended (clotted)")
    assert spans(access((351, "clotted"), since=350)) == [(350, 351, True), (350, 351, True), (350, 1000, False)]


def test_a_graft_that_clots_on_the_day_it_was_made_counts() -> None:
    assert spans(access((0, "clotted"))) == [(0, 0, True), (0, 0, True), (0, 1000, False)]
    assert kaplan_meier(primary([access((0, "clotted")), access()], as_of=day(90)).observed).share.tolist() == [0.5]


def test_a_record_opened_before_the_access_was_made_begins_with_it() -> None:
    assert spans(access((80, "stent"), since=-30))[0] == (0, 80, True)


@pytest.mark.parametrize("kind", KINDS)
def test_why_an_access_cannot_stand_on_a_curve_is_said(kind: Callable[..., Cohort]) -> None:
    assert "creation is not known" in why(kind, access(known=False))
    assert "before its creation" in why(kind, access((-5, "abandoned")))
    assert "less than a day" in why(kind, access(since=350), until=350)
    assert "less than a day" in why(kind, access(since=350, left=300))
    assert "less than a day" in why(kind, access(), until=-1)


def test_a_cohort_says_how_many_it_holds() -> None:
    histories = [access((200, "stent"), name="A"), access(name="B"), access(known=False, name="C")]
    cohort = primary(histories, as_of=day(1000))
    assert cohort.accesses == ("A", "B")
    assert cohort.text == "Primary patency of 2 accesses: 1 ended, 1 censored; 1 left out."
    assert (
        secondary(histories[:1], as_of=day(9)).text == "Secondary patency of 1 access: 0 ended, 1 censored; 0 left out."
    )


def test_a_cohort_of_none_is_empty() -> None:
    assert len(primary([], as_of=CREATED).observed) == 0


EVENTS = st.lists(st.tuples(st.integers(0, 900), st.sampled_from(sorted(PROCEDURES | {"clotted", "abandoned"}))))


@given(EVENTS, st.integers(0, 1000))
def test_no_patency_outlasts_a_wider_one(events: Sequence[tuple[int, EventWhat]], left: int) -> None:
    first, assisted, last = spans(access(*events, left=left))
    assert first is not None and assisted is not None and last is not None
    assert first[1] <= assisted[1] <= last[1] <= left
    assert first[2] >= assisted[2] >= last[2]


@given(EVENTS, st.integers(1, 1000))
def test_taking_an_access_over_late_changes_only_when_it_is_first_at_risk(
    events: Sequence[tuple[int, EventWhat]], since: int
) -> None:
    for early, late in zip(spans(access(*events)), spans(access(*events, since=since)), strict=True):
        assert early is not None
        assert late == ((since, *early[1:]) if early[1] > since else None)
