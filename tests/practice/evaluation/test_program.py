"""The program's rules week by week: what counts as new, and a small run that is always the same."""

from dataclasses import replace

import numpy as np

from access.measures import protocol
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.hydraulic import Hydraulic, cohort
from access.practice.cohorts.plain import treatments_of
from access.practice.evaluation.judge import As, Told
from access.practice.evaluation.program import TOGETHER, Spoken, _apart, judged, rates_of, truly_beyond

A_WEEK = 7 / 365.25


def spoken(*weeks: tuple[tuple[str, As], ...]) -> Spoken:
    """What was told in each of these weeks."""
    return Spoken(
        years=[number * A_WEEK for number in range(len(weeks))],
        told=[tuple(Told(rule=rule, told_as=said) for rule, said in week) for week in weeks],
    )


def test_a_flag_that_stays_is_new_after_120_days_and_a_question_counts_once_while_it_stands() -> None:
    flag, question = ("flow.trend", "flag"), ("inflow.fall", "question")
    found = spoken(*(((flag, question),) * 10), (), *(((flag, question),) * 10))  # type: ignore[arg-type]
    assert found.onsets("flag", rule="flow.trend") == 2  # Weeks 0 and 18: 126 days later.
    assert found.onsets("question", rule="inflow.fall") == 2  # Before and after the week without it.


def test_all_together_counts_two_rules_of_one_week_once_and_no_sign() -> None:
    found = spoken((("flow.trend", "flag"), ("outlet.rise", "flag"), ("sign.thrill-missing", "flag")))
    rates = {one.rule: one for one in rates_of([found], days=365.25)}
    assert list(rates) == ["flow.trend", "outlet.rise", TOGETHER]
    assert [one.flags.events for one in rates.values()] == [1, 1, 1]
    assert [one.accesses_flagged for one in rates.values()] == [1, 1, 1]


def test_what_is_evidence_is_no_flag_and_no_question() -> None:
    found = rates_of([spoken((("flow.limit", "evidence"),))], days=365.25)
    assert [(one.rule, one.flags.events, one.questions.events) for one in found] == [(TOGETHER, 0, 0)]


def a_graft(*, flow: float = 1000.0, arterial: float = 0.5, venous: float = 0.4, reads: float = 0.4) -> Cohort:
    """One stable graft of a small cohort, with another truth, and with what its venous ratio reads."""
    drawn = cohort(Hydraulic(accesses=12, years=0.6), seed=4)
    one = drawn.of([int(np.flatnonzero(drawn.kinds == "graft")[0])])
    held = treatments_of(one)
    like = held.venous_ratio
    ratios = replace(
        held,
        true_arterial_ratio=np.full_like(like, arterial),
        true_venous_ratio=np.full_like(like, venous),
        venous_ratio=np.full_like(like, reads),
    )
    return replace(one, true_flow_ml_min=np.full_like(one.true_flow_ml_min, flow), treatments=ratios)


def test_a_limit_that_the_access_is_truly_beyond_is_right_and_one_that_it_only_reads_beyond_is_not() -> None:
    held = protocol.load("kdoqi-2006")
    assert truly_beyond(a_graft(), protocol=held) == frozenset()
    assert truly_beyond(a_graft(flow=1501), protocol=held) == {"flow.high"}
    assert truly_beyond(a_graft(venous=0.5), protocol=held) == {"outlet.static-ratio"}
    assert truly_beyond(a_graft(arterial=0.65), protocol=held) == {"static.pattern"}
    assert truly_beyond(a_graft(reads=0.6), protocol=held) == frozenset()
    # Without such limits nothing lies beyond them.
    assert truly_beyond(a_graft(venous=0.9), protocol=protocol.load("kdoqi-2019")) == frozenset()


def test_a_flag_that_is_right_is_counted_apart_and_not_among_all_together() -> None:
    flagged = spoken((("outlet.static-ratio", "flag"), ("flow.high", "flag")))
    found = rates_of([_apart(flagged, truly=frozenset({"flow.high"}))], days=365.25)
    assert {one.rule: one.flags.events for one in found} == {
        "(flow.high, truly beyond)": 1,
        "outlet.static-ratio": 1,
        TOGETHER: 1,
    }
    alone = rates_of([_apart(flagged, truly=frozenset({"flow.high", "outlet.static-ratio"}))], days=365.25)
    assert alone[-1].flags.events == 0


def test_a_few_accesses_are_judged_and_the_same_seed_judges_the_same() -> None:
    said: list[str] = []
    small = Hydraulic(accesses=12, years=0.6)
    first, second = (
        judged(2, seed=4, protocol=protocol.load("kdoqi-2006"), used=small, say=said.append) for _ in range(2)
    )
    assert first == second
    assert first.accesses == 2 and first.together.rule == TOGETHER
    assert 0.9 < first.together.flags.years < 1.2
    assert said[0].endswith("access 1 of 2 ...")
