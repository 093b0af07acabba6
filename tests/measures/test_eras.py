"""The times between two changes of the vessel, what was known at a moment, and treatments by another route."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from access.measures.eras import changes_of, era_of, known_by, running_two_needles
from tests.measures.histories import a_flow, a_ratio, a_treatment, an_access, an_event, at, on
from tests.measures.pressures import a_reading


def test_only_what_changes_the_vessel_begins_an_era_and_a_day_counts_once() -> None:
    events = tuple(an_event(*one) for one in ((50, "stent"), (20, "infection"), (50, "angioplasty"), (10, "revision")))
    assert changes_of(replace(an_access(), events=events)) == (on(10), on(50))


@given(st.integers(0, 60), st.sets(st.integers(0, 60), max_size=5))
def test_an_era_counts_the_changes_before_a_day(day: int, changed: set[int]) -> None:
    found = era_of(on(day), changes=[on(one) for one in sorted(changed)])
    assert found == (None if day in changed else sum(one < day for one in changed))


def test_what_came_later_is_not_known() -> None:
    access = replace(
        an_access(),
        treatments=(a_treatment(0), a_treatment(9)),
        flows=(a_flow(0, 900), a_flow(9, 500)),
        ratios=(a_ratio(0, 0.3), a_ratio(9, 0.6)),
        dynamics=(a_reading(0), a_reading(9)),
        events=(an_event(0, "stent"), an_event(9, "stent")),
    )
    known = known_by(access, as_of=at(8.5))
    assert [len(getattr(known, name)) for name in ("treatments", "flows", "ratios", "dynamics", "events")] == [1] * 5
    assert known_by(access, as_of=at(10)) == access


def test_a_reading_belongs_to_the_treatment_that_began_last_before_it() -> None:
    treatments = [a_treatment(0), a_treatment(2, "one needle"), a_treatment(2.25), a_treatment(4, "catheter")]
    ratios = [a_ratio(day, 0.3) for day in (0.1, 2.1, 2.3, 4.1, 5)]
    kept = running_two_needles(ratios, treatments=treatments)
    assert [one.at for one in kept] == [at(0.1), at(2.3), at(5)]
