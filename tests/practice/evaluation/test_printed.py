"""The printed tables: columns that line up, numbers as they are, and plain words where there is none."""

import math

from access.measures import rates
from access.practice.cohorts.merit import Delay, Gain
from access.practice.evaluation import printed
from access.practice.evaluation.program import TOGETHER, Judged, RuleRate


def a_delay(median: float) -> Delay:
    return Delay(accesses=10, median_days=median, low_days=-3.2, high_days=8.6, by_event=0.5, by_60_days=0.9)


def test_columns_line_up_under_their_heads() -> None:
    lines = list(printed.table(("rule", "false"), [("a long name", "0.1"), ("b", "0.25")]))
    assert lines == ["rule         false", "a long name    0.1", "b             0.25"]


def test_a_delay_says_its_interval_or_never() -> None:
    assert printed._delay(a_delay(2.4)) == "2 [-3, 9]"
    assert printed._delay(a_delay(-0.2)) == "0 [-3, 9]"
    assert printed._delay(a_delay(math.inf)) == "never"
    assert printed._delay(a_delay(math.nan)) == "-"


def test_a_gain_says_where_only_one_of_the_two_flags() -> None:
    none = {"low_days": math.nan, "high_days": math.nan}
    assert printed._gain(Gain(days=51.2, low_days=48.6, high_days=55.9)) == "51 [49, 56]"
    assert printed._gain(Gain(days=-math.inf, **none)) == "only plain"
    assert printed._gain(Gain(days=math.inf, **none)) == "only this"


def judged(flags: int, *, questions: int) -> Judged:
    """So many flags and questions in a hundred access-years."""
    rate = {
        name: rates.rate(count, days=100 * 365.25, confidence=0.9)
        for name, count in {"flags": flags, "questions": questions}.items()
    }
    return Judged(
        accesses=25,
        protocol="KDOQI 2006",
        beyond={"flow.high": 3, "outlet.static-ratio": 0},
        rules=(RuleRate(rule=TOGETHER, accesses_flagged=3, **rate),),
    )


def test_the_programs_rate_is_held_against_its_bar_and_told_for_a_clinic() -> None:
    said = "\n".join(printed.program(judged(12, questions=30)))
    assert "0.12 (0.07 to 0.19) a stable access-year; the bar is 0.15: met." in said
    assert "For 100 stable accesses a month: false flags / questions 1.0 / 2.5." in said
    assert "no patient data" in said
    assert "truly beyond the limit of flow.high 3, outlet.static-ratio 0." in said
    assert "NOT met" in "\n".join(printed.program(judged(16, questions=0)))
