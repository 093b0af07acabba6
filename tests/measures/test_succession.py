"""Holds, usual, in succession: the definitions, their gaps, and that order of arrival never matters."""

from collections.abc import Sequence
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from access.measures.succession import Observation, against_usual, evidence_of, holding, in_order, in_succession, usual
from tests.measures.histories import at


def seen(rows: Sequence[tuple[float, bool]]) -> tuple[Observation, ...]:
    """Observations given as (day, odd)."""
    return tuple(Observation(id=f"{count:02}", at=at(day), odd=odd, text="") for count, (day, odd) in enumerate(rows))


def valued(*values: float, every: float = 2) -> tuple[Observation, ...]:
    return tuple(
        Observation(id=f"{count:02}", at=at(every * count), odd=False, text="", value=value)
        for count, value in enumerate(values)
    )


def test_only_the_odd_ones_at_the_end_are_in_succession() -> None:
    run = in_succession(seen([(0, True), (2, False), (4, True), (7, True)]), gap_days=21)
    assert [one.id for one in run] == ["02", "03"]


def test_a_normal_one_at_the_end_ends_it() -> None:
    assert in_succession(seen([(0, True), (2, True), (4, False)]), gap_days=21) == ()
    assert in_succession((), gap_days=21) == ()


def test_a_gap_as_long_as_allowed_does_not_break_and_a_day_more_does() -> None:
    assert len(in_succession(seen([(0, True), (21, True)]), gap_days=21)) == 2
    assert len(in_succession(seen([(0, True), (22, True)]), gap_days=21)) == 1


@given(st.lists(st.tuples(st.integers(0, 60), st.booleans()), max_size=20), st.randoms(use_true_random=False))
def test_the_order_in_which_readings_arrived_never_matters(rows: list[tuple[int, bool]], random: Random) -> None:
    observations = list(seen([(float(day), odd) for day, odd in rows]))
    expected = in_succession(in_order(observations), gap_days=21)
    random.shuffle(observations)
    assert in_succession(in_order(observations), gap_days=21) == expected


@given(st.lists(st.tuples(st.integers(0, 200), st.booleans()), max_size=20))
def test_a_succession_is_odd_ends_with_the_newest_and_has_no_gap(rows: list[tuple[int, bool]]) -> None:
    observations = in_order(seen([(float(day), odd) for day, odd in rows]))
    run = in_succession(observations, gap_days=21)
    assert run == observations[len(observations) - len(run) :]
    assert all(one.odd for one in run)
    assert all((later.at - one.at).days <= 21 for one, later in zip(run, run[1:], strict=False))


def test_a_sign_holds_at_two_treatments_in_succession_and_not_at_one() -> None:
    assert not holding(seen([(0, False), (2, True)]), needed=2, gap_days=21).holds
    assert holding(seen([(0, True), (2, True)]), needed=2, gap_days=21).holds


def test_a_sign_holds_by_two_examiners_at_one_treatment() -> None:
    both = Observation(id="1", at=at(0), odd=True, text="", examiners=frozenset({"Ada", "Dov"}))
    held = holding([both], needed=2, gap_days=21)
    assert (held.holds, held.by_two_examiners) == (True, True)


def test_usual_is_the_median_of_the_last_twelve_and_needs_six() -> None:
    assert usual([8, 8, 8, 8, 8], of=12, least=6) is None
    assert usual([8, 8, 8, 8, 8, 30], of=12, least=6) == 8
    assert usual([99] * 20 + [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], of=12, least=6) == 6.5


def test_the_usual_value_is_taken_before_the_ones_judged() -> None:
    values = valued(8, 8, 8, 8, 8, 8, 14, 15, 16)
    found = against_usual(
        values,
        needed=3,
        of=12,
        least=6,
        gap_days=21,
        beyond=lambda value, middle: middle is not None and value > middle + 4,
    )
    assert (len(found.run), found.usual, len(found.before)) == (3, 8.0, 6)


def test_without_a_usual_value_the_rule_is_told_so() -> None:
    asked: list[float | None] = []

    def beyond(value: float, middle: float | None) -> bool:
        asked.append(middle)
        return False

    assert against_usual(valued(8, 8), needed=3, of=12, least=6, gap_days=21, beyond=beyond).run == ()
    assert set(asked) == {None}


def test_a_gap_ends_what_is_judged_but_not_what_is_usual() -> None:
    values = (*valued(8, 8, 8, 8, 8, 8), Observation(id="x", at=at(90), odd=False, text="", value=20))
    found = against_usual(
        values,
        needed=3,
        of=12,
        least=6,
        gap_days=21,
        beyond=lambda value, middle: middle is not None and value > middle,
    )
    assert (len(found.run), found.usual) == (1, 8.0)


def test_a_finding_keeps_the_twelve_newest_observations() -> None:
    run = seen([(float(day), True) for day in range(20)])
    assert [one.id for one in evidence_of(run)] == [one.id for one in run[-12:]]
    assert len(evidence_of(run[:3])) == 3
