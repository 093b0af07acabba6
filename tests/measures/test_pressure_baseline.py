"""The baseline of a pressure ratio: how many values, how sure, what it is called, and that it stands still."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures.derived import TREATMENT_SD, median_variance
from access.measures.pressure_baseline import (
    RUNNING,
    STATIC,
    STATIC_SD,
    Baseline,
    Span,
    Start,
    Value,
    baseline,
    begun_beyond,
    starts,
)
from tests.measures.histories import CONFIRMED, a_flow, a_ratio, a_treatment, an_access, at, on, ratios

START = Start(since=date(2025, 3, 3), already_in_use=False)


def values(ratios: list[float], *, every: float = 7 / 3) -> list[Value]:
    return [Value(id=str(number), at=at(every * number), ratio=one) for number, one in enumerate(ratios)]


def made(ratios: list[float], *, span: Span = RUNNING, every: float = 7 / 3, beyond: bool = False) -> Baseline:
    found = baseline(values(ratios, every=every), span=span, start=START, beyond_limit=beyond)
    assert found is not None
    return found


def test_eight_treatments_or_four_static_readings_make_a_baseline() -> None:
    assert baseline(values([0.4] * 7), span=RUNNING, start=START) is None
    assert made([0.4] * 8).count == 8
    assert baseline(values([0.4] * 3, every=14), span=STATIC, start=START) is None
    assert made([0.4] * 4, span=STATIC, every=14).count == 4


def test_a_running_baseline_is_made_of_the_first_thirty_nine_and_a_static_one_of_thirteen_weeks() -> None:
    assert made([0.4] * 60).count == 39
    assert made([0.4] * 20, span=STATIC, every=14).count == 7
    assert made([0.4] * 20, span=STATIC, every=60).count == 4


@given(st.lists(st.floats(0, 1), min_size=39, max_size=39), st.lists(st.floats(0, 1), max_size=40))
def test_what_comes_after_never_moves_a_baseline(first: list[float], later: list[float]) -> None:
    assert made([*first, *later]) == made(first)


def test_one_wild_value_hardly_moves_it() -> None:
    quiet = [0.38, 0.41, 0.4, 0.42, 0.39, 0.4, 0.41, 0.4, 0.39, 0.42, 0.4, 0.41]
    assert made([*quiet[:-1], 1.4]).level == pytest.approx(made(quiet).level, abs=0.011)


def test_few_static_readings_have_the_doubt_of_one_reading() -> None:
    assert made([0.4] * 4, span=STATIC, every=14).sd == pytest.approx(STATIC_SD * median_variance(4) ** 0.5)
    assert TREATMENT_SD > 2 * STATIC_SD


@pytest.mark.parametrize("count", [8, 13, 39])
def test_the_level_is_as_sure_as_it_says(count: int) -> None:
    # Simulation with a fixed seed, no patient data: normal ratios around .40. Of eight values the spread is hardly
    # known, so that fewer than 90 of 100 intervals cover.
    draws = np.random.default_rng(count).normal(0.4, 0.13, size=(500, count))
    found = [made(list(row)) for row in draws]
    inside = float(np.mean([abs(one.level - 0.4) <= 1.645 * one.sd for one in found]))
    assert 0.8 <= inside <= 0.95


@pytest.mark.parametrize(
    ("count", "in_use", "note"),
    [
        (12, False, "usual since March 2025"),
        (8, False, "usual since March 2025; from 8 treatments only"),
        (12, True, "usual since March 2025; not known to be healthy"),
    ],
)
def test_a_baseline_says_what_it_is_worth(count: int, in_use: bool, note: str) -> None:
    found = baseline(values([0.4] * count), span=RUNNING, start=replace(START, already_in_use=in_use))
    assert found is not None
    assert (found.note, found.usual) == (note, True)


def test_one_begun_beyond_a_limit_is_kept_and_not_called_usual() -> None:
    found = made([0.7] * 12, beyond=True)
    assert not found.usual
    assert found.note.startswith("not called usual")
    assert found.level == pytest.approx(0.7)


def test_it_starts_at_first_use_or_the_first_treatment_here_and_anew_at_each_change() -> None:
    access = replace(an_access(), treatments=(a_treatment(5),))
    first, second = starts(access, changes=[on(50)])
    assert (first.since, first.already_in_use) == (on(5), True)
    assert (second.since, second.already_in_use) == (on(50), False)
    young = replace(access, first_needled_on=on(9))
    assert starts(young, changes=[])[0] == Start(since=on(9), already_in_use=False)
    assert starts(replace(young, treatments=()), changes=[])[0].since == on(9)
    # Without a list of treatments the first pressure tells.
    assert starts(ratios((30, 0.3), (20, 0.3)), changes=[])[0].since == on(20)


@pytest.mark.parametrize(
    ("flows", "ratios", "beyond"),
    [
        ([(3, 450.0)], [], True),
        ([(3, 450.0), (20, 480.0), (40, 900.0)], [], True),
        ([(3, 250.0), (20, 900.0), (40, 880.0)], [], False),  # A first value that is wild decides nothing.
        ([(60, 450.0)], [], False),  # Measured when the baseline stood already.
        ([], [(4, 0.62)], True),
        ([], [(4, 0.3)], False),
        ([], [(4, 0.51), (18, 0.40), (32, 0.44)], False),
        ([], [(4, 0.41), (18, 0.52), (32, 0.55)], True),
        ([], [(4, 0.41), (4.01, 0.53), (18, 0.52)], True),  # Repeated at once, the last counts.
    ],
)
def test_the_medians_of_its_time_tell_whether_a_baseline_began_beyond_a_limit(
    flows: list[tuple[float, float]], ratios: list[tuple[float, float]], beyond: bool
) -> None:
    access = replace(
        an_access(), flows=tuple(a_flow(*one) for one in flows), ratios=tuple(a_ratio(*one) for one in ratios)
    )
    assert begun_beyond(access, protocol=CONFIRMED, after=None, until=on(50)) is beyond


def test_how_a_baseline_began_is_told_by_one_formula_and_by_what_came_after_the_change() -> None:
    other = replace(a_ratio(18, 0.70), formula="empirical-2002")
    mixed = replace(an_access(), ratios=(a_ratio(4, 0.45), other, replace(other, id="again", at=at(32))))
    assert not begun_beyond(mixed, protocol=CONFIRMED, after=None, until=on(50))
    treated = replace(an_access(), flows=(a_flow(3, 400), a_flow(4, 420), a_flow(20, 900)))
    assert begun_beyond(treated, protocol=CONFIRMED, after=None, until=on(50))
    assert not begun_beyond(treated, protocol=CONFIRMED, after=on(4), until=on(50))
