"""Occasions: examinations of one treatment are one look, and who saw what stays apart."""

from dataclasses import replace

from access.measures.examination import SIGNS, Sign
from access.measures.rules.occasions import observed, occasions, odd_at_the_end
from tests.measures.histories import a_visit, an_examination, at

PULSATILE: Sign = next(sign for sign in SIGNS if sign.id == "pulse-pulsatile")


def test_examinations_of_one_treatment_are_one_occasion_and_visits_one_each() -> None:
    first, second = an_examination(10, pulse="soft"), an_examination(10, "Dov", pulse="soft")
    visits = [a_visit(day, pulse="soft") for day in (11, 12)]
    assert [len(one.views) for one in occasions([first, second, *visits])] == [2, 1, 1]


def test_a_second_examiner_is_a_view_of_its_own() -> None:
    both = replace(an_examination(10, pulse="soft"), second_examiner="Dov", second_findings={"pulse": "pulsatile"})
    (one,) = occasions([both])
    assert [view.examiner for view in one.views] == ["Ada", "Dov"]
    seen = observed(one, sign=PULSATILE)
    assert (seen.odd, seen.examiners) == (True, frozenset({"Dov"}))
    assert seen.text == "16 January 2025: pulse soft (Ada); pulsatile (Dov)"


def test_a_second_look_without_a_name_is_no_second_examiner() -> None:
    unnamed = replace(an_examination(10, pulse="pulsatile"), second_findings={"pulse": "pulsatile"})
    assert observed(occasions([unnamed])[0], sign=PULSATILE).examiners == {"Ada"}
    nobody = replace(an_examination(10, "", pulse="pulsatile"))
    assert observed(occasions([nobody])[0], sign=PULSATILE).examiners == frozenset()


def test_the_sign_stands_as_it_was_when_last_looked_for() -> None:
    seen, other = an_examination(10, pulse="pulsatile"), an_examination(12, thrill="continuous")
    assert odd_at_the_end(occasions([seen, other]), sign=PULSATILE)
    assert not odd_at_the_end(occasions([seen, an_examination(12, pulse="soft")]), sign=PULSATILE)
    assert not odd_at_the_end((), sign=PULSATILE)


def test_an_occasion_is_as_late_as_its_last_examination() -> None:
    again = replace(an_examination(10, "Dov", pulse="soft"), at=at(10.1))
    assert occasions([an_examination(10, pulse="soft"), again])[0].at == at(10.1)


def test_a_visit_near_a_treatment_or_another_visit_is_the_same_look() -> None:
    treatment, before, after = an_examination(10, pulse="soft"), a_visit(9.8, pulse="soft"), a_visit(10.2, pulse="soft")
    assert [len(one.views) for one in occasions([after, treatment, before])] == [3]
    assert [len(one.views) for one in occasions([a_visit(20, pulse="soft"), a_visit(20.1, pulse="soft")])] == [2]
    assert [len(one.views) for one in occasions([treatment, a_visit(10.6, pulse="soft")])] == [1, 1]
    assert [len(one.views) for one in occasions([treatment, an_examination(10.2, pulse="soft")])] == [1, 1]
