"""Where the invented needles go: sites in turn, a track, always one patch, and what goes wrong."""

from collections import Counter
from datetime import timedelta
from itertools import pairwise

import pytest

from access.measures.needles import Site, spacing
from access.practice.accesses import REACH
from access.practice.course import Course
from access.practice.needling import Moment, needles, odds_of, usable
from tests.practice.invented import every_course, of_story


def moment(course: Course, ordinal: int) -> Moment:
    """The treatment with this ordinal, whoever the nurse was."""
    index = next(place for place, one in enumerate(course.ordinals) if int(one) == ordinal)
    start = course.starts[index]
    return Moment(course=course, index=index, nurse="Ada Winter", start=start, end=start + timedelta(hours=4))


def sites(course: Course, ordinals: range, role: str) -> list[float]:
    """Where the needles that stayed in went."""
    odds = odds_of(course)
    found = [needles(moment(course, one), odds=odds) for one in ordinals]
    return [one["along_cm"] for day in found for one in day if one["role"] == role and "outcome" not in one]


def test_sites_in_turn_use_every_site_before_one_comes_again() -> None:
    course = of_story("moved")
    for role in ("arterial", "venous"):
        every = usable(course.truth, role=role, ordinal=-40)
        used = sites(course, range(-40, -40 + len(every)), role)
        assert sorted(used) == sorted(every)
        # Better 1 to 2 cm from the last puncture, and at least 0.6 cm (common practice).
        assert all(abs(one - other) >= 0.6 for one, other in pairwise(used))


def test_a_buttonhole_stays_in_its_track() -> None:
    course = next(one for one in every_course().values() if one.truth.technique == "buttonhole")
    assert len(set(sites(course, range(-30, 0), "arterial"))) == 1
    assert {one["tip"] for one in needles(moment(course, -5), odds=odds_of(course))} == {"blunt"}


def test_the_one_patch_holds_more_than_half_of_the_punctures() -> None:
    course = of_story("one patch")
    placed = sites(course, range(-36, -1), "arterial") + sites(course, range(-36, -1), "venous")
    assert sum(8 <= one <= 10 for one in placed) / len(placed) > 0.55
    # On the day on which the bulge was found grown the needles keep away from it.
    assert all(not 7 <= one <= 10 for role in ("arterial", "venous") for one in sites(course, range(-1, 0), role))


def test_the_infiltration_is_two_failed_tries_and_a_senior_colleague() -> None:
    course = of_story("infiltration")
    found = needles(moment(course, -1), odds=odds_of(course))
    assert [one.get("outcome", "stayed") for one in found] == ["stayed", "infiltrated", "failed", "stayed"]
    assert found[-1]["needled_by_name"] == "Ines Takahara"
    off = course.truth.zones[0]
    assert all(off.from_cm <= one["along_cm"] <= off.to_cm for one in found[1:3])
    # From the next treatment on nothing is needled in the bruise.
    later = usable(course.truth, role="venous", ordinal=0)
    assert later
    assert all(not off.from_cm <= one <= off.to_cm for one in later)


def test_tries_fail_now_and_then() -> None:
    outcomes: Counter[str] = Counter()
    for course in every_course().values():
        odds = odds_of(course)
        for ordinal in range(-60, -3):
            outcomes.update(one.get("outcome", "") for one in needles(moment(course, ordinal), odds=odds))
    every = sum(outcomes.values())
    # One in eighty treatments, so one in a hundred and sixty needles, and fewer go through the wall (invented).
    assert outcomes["failed"] / every == pytest.approx(0.006, abs=0.003)
    assert 0 < outcomes["infiltrated"] < outcomes["failed"]


def test_no_needle_is_where_it_cannot_be() -> None:
    for course in every_course().values():
        odds, (low, high) = odds_of(course), REACH[course.truth.configuration].needled
        for ordinal in range(-25, 0):
            found = needles(moment(course, ordinal), odds=odds)
            assert all(low <= one["along_cm"] <= high for one in found)
            stayed = [one for one in found if "outcome" not in one]
            if len(stayed) < 2:
                continue
            one, other = (Site(along_cm=each["along_cm"], technique=each["technique"]) for each in stayed)
            spacing(one, venous=other, recent=(), kind=course.truth.kind, length_cm=high, planned=False)


def test_ids_of_needles_are_their_own_and_the_same_each_time() -> None:
    course = of_story("infiltration")
    first, again = (needles(moment(course, -1), odds=odds_of(course)) for _ in range(2))
    assert [one["id"] for one in first] == [one["id"] for one in again]
    assert len({one["id"] for one in first}) == 4


def test_one_needle_beside_a_catheter_lumen_and_none_beside_a_catheter() -> None:
    course = of_story("needle and lumen")
    odds = odds_of(course)
    assert [one["role"] for one in needles(moment(course, -1), odds=odds)] == ["arterial"]
    assert needles(moment(course, -20), odds=odds) == []
