"""The flows under watch: worked out once a case, known from when they are early, low from the start, or wild."""

from dataclasses import replace

from access.measures.readings import AccessProfile
from access.measures.rules.case import open_case
from access.measures.rules.flow_watched import Seen, seen
from tests.measures.histories import CONFIRMED, an_event, at
from tests.measures.rules.test_flow_trend import STEADY, watched


def seen_in(access: AccessProfile, *, day: float = 200) -> Seen:
    found = seen(open_case(access, protocol=CONFIRMED, as_of=at(day)))
    assert found is not None
    return found


def test_an_access_without_flows_is_not_watched_and_one_with_flows_once_a_case() -> None:
    assert seen(open_case(watched(), protocol=CONFIRMED, as_of=at(200))) is None
    case = open_case(watched(*STEADY), protocol=CONFIRMED, as_of=at(200))
    assert seen(case) is seen(case)


def test_it_is_early_before_the_third_flow_and_before_the_second_of_a_changed_vessel() -> None:
    treated = replace(watched(*STEADY), events=(an_event(70, "stent"),))
    found = seen_in(treated)
    assert [found.early(row) for row in range(5)] == [True, True, False, True, False]
    assert [found.begun(row) for row in range(5)] == [0, 0, 0, 3, 3]


def test_a_wild_value_is_too_high_where_it_lies_above_the_level() -> None:
    assert seen_in(watched(*STEADY, (150, 3500))).too_high(5)
    assert not seen_in(watched(*STEADY, (150, 200))).too_high(5)
    assert not seen_in(watched(*STEADY)).too_high(4)


def test_an_access_begun_healthy_did_not_begin_low() -> None:
    assert not seen_in(watched(*STEADY, (150, 1000), (160, 400), (165, 390))).begun_low(7)
    assert seen_in(watched(*((30.0 * number, 450.0) for number in range(6)))).begun_low(5)
