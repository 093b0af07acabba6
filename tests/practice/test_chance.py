"""Chance that can be repeated: a day comes out the same whenever it is made, and ids are those of RFC 9562."""

from datetime import UTC, datetime

import numpy as np
import pytest

from access.practice import chance


def test_a_longer_series_begins_with_the_shorter_one() -> None:
    short, long = np.arange(20), np.arange(700)
    assert np.array_equal(chance.normals(short, 1, "Ada"), chance.normals(long, 1, "Ada")[:20])
    assert np.array_equal(chance.uniforms(short, 1, "Ada"), chance.uniforms(long, 1, "Ada")[:20])


def test_a_day_is_the_same_whichever_other_days_are_asked_for() -> None:
    assert chance.normals(np.array([3, 400]), 1, "x")[0] == chance.normals(np.array([3]), 1, "x")[0]


def test_another_seed_person_or_quantity_gives_other_numbers() -> None:
    days = np.arange(50)
    drawn = [chance.normals(days, *key) for key in ((1, "a", "b"), (2, "a", "b"), (1, "c", "b"), (1, "a", "d"))]
    assert all(not np.array_equal(one, other) for place, one in enumerate(drawn) for other in drawn[:place])
    # Keys are kept apart, not run together.
    assert not np.array_equal(chance.normals(days, "ab", "c"), chance.normals(days, "a", "bc"))


def test_normal_numbers_have_the_mean_and_spread_of_the_normal_distribution() -> None:
    drawn = chance.normals(np.arange(20_000), 5, "spread")
    # Three standard errors at 20,000 draws.
    assert drawn.mean() == pytest.approx(0, abs=0.022)
    assert drawn.std() == pytest.approx(1, abs=0.015)


def test_an_id_is_a_uuid_of_version_7_that_carries_its_time() -> None:
    at = datetime(2026, 3, 2, 7, 10, tzinfo=UTC)
    found = chance.record_id(at, "key", 1)
    assert found.version == 7
    assert found.variant == "specified in RFC 4122"
    # RFC 9562, section 5.7: the first 48 bits are the milliseconds since 1970.
    assert found.int >> 80 == int(at.timestamp() * 1000)


def test_ids_follow_from_their_key_alone_and_differ_between_keys() -> None:
    at = datetime(2026, 3, 2, tzinfo=UTC)
    assert chance.record_id(at, "a", 1) == chance.record_id(at, "a", 1)
    assert len({chance.record_id(at, "a", number) for number in range(5000)}) == 5000


def test_each_of_several_texts_is_chosen_at_some_time() -> None:
    assert {chance.chosen(("a", "b", "c"), number) for number in range(60)} == {"a", "b", "c"}
    assert all(2 <= chance.between(2, 5, number) < 5 for number in range(200))
