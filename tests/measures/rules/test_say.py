"""Words: days, counts, and that each urgency carries its time."""

import pytest

from access.measures.rules import say
from access.measures.words import URGENCIES
from tests.measures.histories import at, on


def test_a_day_is_written_out_for_a_date_and_a_moment() -> None:
    assert say.day(on(0)) == say.day(at(0)) == "6 January 2025"


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (1, "seen once; 2 in succession needed"),
        (2, "seen twice in succession, 2 needed"),
        (5, "seen 5 times in succession"),
    ],
)
def test_a_count_says_how_many_are_needed_while_it_matters(count: int, words: str) -> None:
    assert say.counted(count, needed=2) == words


@pytest.mark.parametrize(
    ("probability", "words"),
    [(0.0, "less than 1 %"), (0.004, "less than 1 %"), (0.006, "1 %"), (0.97, "97 %"), (0.999, "more than 99 %")],
)
def test_a_probability_promises_no_certainty(probability: float, words: str) -> None:
    assert say.percent(probability) == words


def test_no_urgency_stands_without_its_time() -> None:
    lines = [one for one in vars(say).values() if isinstance(one, say.Line)]
    assert len(lines) == 5
    assert all(one.urgency in URGENCIES and one.time_in_words for one in lines)
