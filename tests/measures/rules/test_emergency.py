"""Emergencies: found at once, from what was found last in each field, never taken away by a normal number."""

from dataclasses import replace
from datetime import UTC, datetime

from access.measures.readings import ZoneReading
from access.measures.rules.emergency import found_last
from tests.measures.histories import (
    NORMAL,
    a_flow,
    a_puncture,
    a_ratio,
    a_treatment,
    a_visit,
    an_access,
    an_event,
    an_examination,
    at,
    examined,
    found,
    on,
    only,
)

GONE = {"thrill": "missing", "bruit": "missing"}


def test_neither_thrill_nor_bruit_is_found_at_once() -> None:
    one = only(examined(an_examination(190, **GONE)), rule="emergency.no-thrill-no-bruit")
    assert (one.urgency, one.time_in_words, one.basis) == ("stat", "now, before any needle", "emergency")
    assert one.sentence == "Neither thrill nor bruit. No needle here."
    assert {each.text for each in one.evidence} == {
        "15 July 2025: thrill missing (Ada)",
        "15 July 2025: bruit missing (Ada)",
    }


def test_it_stands_first_of_all_findings() -> None:
    profile = replace(
        examined(an_examination(190, pulse="pulsatile"), an_examination(192, pulse="pulsatile", **GONE)),
        flows=(a_flow(190, 300),),
    )
    assert found(profile)[0].rule == "emergency.no-thrill-no-bruit"


def test_thrill_and_bruit_found_missing_one_after_the_other_are_put_together() -> None:
    profile = examined(an_examination(190, thrill="missing"), a_visit(190.1, bruit="missing"))
    assert only(profile, rule="emergency.no-thrill-no-bruit").first_seen == at(190)


def test_a_field_not_examined_again_keeps_its_last_reading() -> None:
    profile = examined(an_examination(190, skin="ulcer, open wound or dead skin"), an_examination(192, pulse="soft"))
    assert only(profile, rule="emergency.open-or-infected").last_seen == at(190)
    healed = examined(an_examination(190, skin="ulcer, open wound or dead skin"), an_examination(192, skin="sound"))
    assert found(healed, rule="emergency.open-or-infected") == ()


def test_what_is_seen_only_during_a_treatment_ends_with_it() -> None:
    out = examined(an_examination(190, circuit="needle came out"))
    assert only(out, rule="emergency.bleeding-or-needle-out").urgency == "stat"
    next_time = examined(an_examination(190, circuit="needle came out"), an_examination(192, thrill="continuous"))
    assert found(next_time, rule="emergency.bleeding-or-needle-out") == ()


def test_a_second_examiner_can_find_one_and_cannot_take_one_away() -> None:
    first = an_examination(190, thrill="missing", bruit="low, two phases")
    second = replace(first, second_examiner="Dov", second_findings=GONE)
    assert found(examined(first))[0].rule == "emergency.thrill-or-bruit-missing"
    assert found(examined(second))[0].rule == "emergency.no-thrill-no-bruit"
    disputed = replace(
        an_examination(190, **GONE), second_examiner="Dov", second_findings={"thrill": "continuous", "bruit": "weak"}
    )
    assert found(examined(disputed))[0].rule == "emergency.no-thrill-no-bruit"
    later = examined(disputed, an_examination(192, skin="sound"))
    assert found(later)[0].rule == "emergency.no-thrill-no-bruit"


def test_a_thrombectomy_ends_what_was_found_before_it() -> None:
    clotted = replace(examined(an_examination(188, **GONE)), events=(an_event(190, "thrombectomy"),))
    assert found(clotted) == ()


def test_no_normal_number_takes_an_emergency_away() -> None:
    clotted = examined(an_examination(190, **GONE))
    numbers = replace(clotted, flows=(a_flow(191, 1200),), ratios=(a_ratio(191, 0.3),))
    rule = "emergency.no-thrill-no-bruit"
    assert found(numbers, rule=rule) == found(clotted, rule=rule)


def test_a_bulge_without_a_change_of_the_skin_is_a_line_and_no_emergency() -> None:
    one = only(examined(an_examination(190, bulge="known, unchanged", skin="sound")), rule="emergency.bulge")
    assert (one.basis, one.urgency, one.time_in_words) == ("sign", "routine", "at the next visit")


def test_an_old_scab_is_found_from_its_zone_without_any_examination() -> None:
    scab = ZoneReading(from_cm=8, to_cm=9, why="scab", action="keep off", since=on(180))
    one = only(replace(an_access(), zones=(scab,)), rule="emergency.thin-skin-or-scab")
    assert (one.urgency, one.first_seen) == ("asap", datetime(2025, 7, 5, tzinfo=UTC))
    healed = replace(scab, until=on(186))
    assert found(replace(an_access(), zones=(healed,))) == ()


def test_what_two_examiners_of_one_treatment_found_in_part_is_put_together() -> None:
    ada = an_examination(190, thrill="missing")
    ben = replace(an_examination(190, "Ben", bruit="missing"), at=at(190.01))
    assert found(examined(ada, ben))[0].rule == "emergency.no-thrill-no-bruit"
    fever = replace(ada, findings={"fever": "fever or chills"})
    swollen = replace(ben, findings={"swelling": "at the access"})
    assert only(examined(fever, swollen), rule="emergency.open-or-infected").urgency == "stat"


def test_a_needle_whose_outcome_is_that_it_came_out_is_found_until_a_later_treatment() -> None:
    out = replace(a_puncture(190), outcome="came out")
    one = only(replace(an_access(), punctures=(out,)), rule="emergency.bleeding-or-needle-out")
    assert (one.urgency, one.basis) == ("stat", "emergency")
    assert [each.text for each in one.evidence] == ["15 July 2025: venous needle came out"]
    assert found(replace(an_access(), punctures=(a_puncture(190),))) == ()
    later = replace(an_access(), punctures=(out,), treatments=(a_treatment(190), a_treatment(192)))
    assert found(later, rule="emergency.bleeding-or-needle-out") == ()


def test_an_abandoned_access_still_bleeds_and_is_still_infected() -> None:
    ended = (an_event(180, "abandoned"),)
    pus = replace(examined(an_examination(190, skin="redness that spreads or pus", pulse="weak", **GONE)), events=ended)
    assert [one.rule for one in found(pus)] == ["emergency.open-or-infected"]
    before = replace(examined(an_examination(170, skin="redness that spreads or pus")), events=ended)
    assert found(before) == ()


RULE = "emergency.open-or-infected"


def test_skin_bulge_and_hand_seen_before_an_angioplasty_are_not_lost_by_it() -> None:
    event = (an_event(190, "angioplasty"),)
    for findings, rule in (
        ({"skin": "ulcer, open wound or dead skin"}, RULE),
        ({"bulge": "grown since last time"}, RULE),
        ({"bulge": "known, unchanged"}, "emergency.bulge"),
        ({"skin": "thin, shiny or pale over a bulge"}, "emergency.thin-skin-or-scab"),
        ({"hand": "worse"}, "emergency.hand"),
    ):
        before = replace(examined(an_examination(188, **findings)), events=event)
        assert only(before, rule=rule).last_seen == at(188)
        after = replace(examined(an_examination(188, **findings), an_examination(192, **NORMAL)), events=event)
        assert only(after, rule=rule).last_seen == at(188)


def test_fever_of_an_earlier_treatment_is_not_put_together_with_what_is_seen_today() -> None:
    fever, bruise = an_examination(100, fever="fever or chills"), an_examination(198, skin="bruise")
    assert found(examined(fever, bruise), rule=RULE) == ()
    assert only(examined(fever, replace(bruise, treatment="treatment 100", at=at(100.1))), rule=RULE).urgency == "stat"
    ill = an_examination(100, fever="fever or chills", skin="bruise")
    assert only(examined(ill), rule=RULE, day=190).last_seen == at(100)
    assert found(examined(ill, an_examination(102, pulse="soft")), rule=RULE) == ()


def test_what_passes_by_itself_stands_until_a_later_treatment_or_examination() -> None:
    rule = "emergency.bleeding-or-needle-out"
    for findings in (
        {"bleeding": "does not stop"},
        {"circuit": "needle came out"},
        {"circuit": "swelling while the pump runs"},
    ):
        seen = replace(examined(an_examination(150, **findings)), treatments=(a_treatment(150.01),))
        assert only(seen, rule=rule).urgency == "stat"
        absent = replace(seen, treatments=(*seen.treatments, a_treatment(152, "not dialysed")))
        assert only(absent, rule=rule).urgency == "stat"
        treated = replace(seen, treatments=(*seen.treatments, a_treatment(152)))
        assert found(treated, rule=rule) == ()
        looked = replace(seen, examinations=(*seen.examinations, a_visit(152, pulse="soft")))
        assert found(looked, rule=rule) == ()


def test_bleeding_by_itself_is_still_known_after_one_that_did_not_stop_has_passed() -> None:
    seen = (an_examination(150, bleeding="between treatments"), an_examination(152, bleeding="does not stop"))
    assert only(examined(*seen, an_examination(154, pulse="soft")), rule=RULE).last_seen == at(150)


def test_a_line_says_whether_it_holds_anything_new() -> None:
    for findings, rule in (
        ({"bulge": "known, unchanged"}, "emergency.bulge"),
        ({"hand": "known symptoms, unchanged"}, "emergency.hand-known"),
    ):
        assert only(examined(an_examination(190, **findings)), rule=rule).unchanged
    new = an_examination(190, bulge="new")
    assert not only(examined(new), rule="emergency.bulge").unchanged
    for first, second in (("new", "known, unchanged"), ("known, unchanged", "new")):
        disputed = replace(an_examination(190, bulge=first), second_examiner="Dov", second_findings={"bulge": second})
        assert not only(examined(disputed), rule="emergency.bulge").unchanged


def test_what_was_found_last_is_the_odder_reading_of_the_last_occasion() -> None:
    last = replace(an_examination(192, bulge="none"), second_examiner="Dov", second_findings={"bulge": "new"})
    assert found_last([an_examination(190, bulge="none", skin="sound"), last]) == {"bulge": "new"}
    assert found_last([]) == {}
