"""Emergencies: found at once, from what was found last in each field, never taken away by a normal number."""

from dataclasses import replace
from datetime import UTC, datetime

from access.measures.readings import ZoneReading
from tests.measures.histories import (
    a_flow,
    a_ratio,
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
