"""Needles: a buttonhole in a graft, always one patch, tries that failed."""

from dataclasses import replace

import pytest

from access.measures.readings import AccessProfile
from access.measures.words import Kind
from tests.measures.histories import a_puncture, an_access, found, only

PATCH = "needle.one-patch"


def needled(*places_cm: float, kind: Kind = "fistula", first: float = 120) -> AccessProfile:
    """Venous punctures two days apart in an access needled over 14 cm."""
    punctures = tuple(a_puncture(first + 2 * count, cm=cm) for count, cm in enumerate(places_cm))
    return replace(an_access(kind), punctures=punctures)


@pytest.mark.parametrize(("kind", "expected"), [("graft", 1), ("fistula", 0)])
def test_a_buttonhole_in_a_graft_is_urgent_and_in_a_fistula_is_none_of_this(kind: Kind, expected: int) -> None:
    hole = replace(a_puncture(190), technique="buttonhole")
    findings = found(replace(an_access(kind), punctures=(hole,)), rule="needle.buttonhole-in-graft")
    assert len(findings) == expected
    assert all((one.urgency, one.time_in_words) == ("urgent", "this week") for one in findings)


def test_a_buttonhole_in_a_graft_of_more_than_four_weeks_ago_is_past() -> None:
    old = replace(an_access(), punctures=(replace(a_puncture(171), technique="buttonhole"),))
    assert found(old, rule="needle.buttonhole-in-graft") == ()


def test_most_needles_in_one_patch_are_a_routine_line_that_says_it_is_no_test() -> None:
    one = only(needled(*[8, 8.5, 9, 9.5] * 7, *[4.0, 6, 11, 13] * 3), rule=PATCH)
    assert (one.urgency, one.time_in_words) == ("routine", "at the next visit")
    assert one.sentence.startswith("70 % of 40 punctures within 2 cm (8 to 9.5 cm); even needling would put 14 %")
    assert one.missing == ("whether chance alone would do so, which is worked out when asked",)
    assert "own choice" in one.source_says


def test_needles_up_and_down_the_vessel_are_no_patch() -> None:
    assert found(needled(*[2.0, 4, 6, 8, 10, 12] * 7), rule=PATCH) == ()


def test_too_few_punctures_old_ones_and_buttonholes_are_no_patch() -> None:
    assert found(needled(*[9.0] * 35), rule=PATCH) == ()
    assert found(needled(*[9.0] * 40, first=0), rule=PATCH) == ()
    holes = needled(*[9.0] * 40)
    track = replace(holes, punctures=tuple(replace(one, technique="buttonhole") for one in holes.punctures))
    assert found(track, rule=PATCH) == ()
    unknown = replace(holes, punctures=tuple(replace(one, along_cm=None) for one in holes.punctures))
    assert found(unknown, rule=PATCH) == ()


def test_a_vessel_too_short_to_spread_is_no_patch() -> None:
    short = replace(needled(*[9.0] * 40), needled_from_cm=7.0, needled_to_cm=10.0)
    assert found(short, rule=PATCH) == ()
    unknown = replace(needled(*[9.0] * 40), needled_to_cm=None)
    assert "the needled length is not known" in only(unknown, rule=PATCH).sentence


def test_the_two_limbs_of_a_loop_are_two_vessels() -> None:
    limbs = needled(*[9.0] * 40, kind="graft")
    split = tuple(replace(one, segment=f"limb {place % 2}") for place, one in enumerate(limbs.punctures))
    assert found(replace(limbs, punctures=split), rule=PATCH) == ()


def test_two_failed_tries_at_the_last_treatment_go_to_a_senior_colleague() -> None:
    tries = tuple(replace(a_puncture(190), id=f"try {count}", outcome="failed") for count in range(2))
    one = only(replace(an_access(), punctures=(*tries, a_puncture(190))), rule="needling.failed-tries")
    assert "senior colleague" in one.ask
    assert (one.urgency, one.time_in_words) == ("urgent", "at the next treatment")
    past = replace(an_access(), punctures=(*tries, a_puncture(192)))
    assert found(past, rule="needling.failed-tries") == ()
    assert found(replace(an_access(), punctures=(tries[0], a_puncture(190))), rule="needling.failed-tries") == ()


def test_without_a_puncture_nothing_is_found() -> None:
    assert found(an_access()) == ()
