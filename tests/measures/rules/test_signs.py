"""Signs: seen once asks for a second look, seen twice or by two examiners refers, a normal look ends it."""

from dataclasses import replace

from access.measures.protocol import load
from access.measures.readings import ExaminationReading
from tests.measures.histories import a_flow, a_visit, an_event, an_examination, at, examined, found, only

RULE = "sign.pulse-pulsatile"


def test_a_sign_seen_once_asks_for_a_second_look() -> None:
    one = only(examined(an_examination(190, pulse="pulsatile")), rule=RULE)
    assert (one.times_seen, one.times_needed) == (1, 2)
    assert one.ask == "Second look at the next treatment: still there?"
    assert (one.urgency, one.time_in_words) == ("urgent", "at the next treatment")


def test_a_sign_seen_at_two_treatments_in_succession_refers() -> None:
    one = only(examined(an_examination(190, pulse="pulsatile"), an_examination(192, pulse="pulsatile")), rule=RULE)
    assert (one.urgency, one.time_in_words) == ("urgent", "refer this week, imaging within about 14 days")
    assert (one.first_seen, one.last_seen, one.basis) == (at(190), at(192), "sign")
    assert one.sentence == "Pulsatile pulse (a sign of the outflow): seen twice in succession, 2 needed."


def test_a_sign_seen_by_two_examiners_at_one_treatment_refers() -> None:
    by_second = replace(
        an_examination(190, pulse="pulsatile"), second_examiner="Dov", second_findings={"pulse": "pulsatile"}
    )
    separate = (an_examination(190, pulse="pulsatile"), an_examination(190, "Dov", pulse="pulsatile"))
    for profile in (examined(by_second), examined(*separate)):
        one = only(profile, rule=RULE)
        assert one.time_in_words.startswith("refer this week")
        assert "two examiners" in one.sentence


def test_the_same_examiner_twice_at_one_treatment_is_one_look() -> None:
    again = replace(an_examination(190, pulse="pulsatile"), id="again", at=at(190.05))
    assert only(examined(an_examination(190, pulse="pulsatile"), again), rule=RULE).times_seen == 1


def test_a_second_examiner_who_saw_it_normal_does_not_take_it_away() -> None:
    disputed = replace(an_examination(190, pulse="pulsatile"), second_examiner="Dov", second_findings={"pulse": "soft"})
    one = only(examined(disputed), rule=RULE)
    assert one.times_seen == 1
    assert "pulsatile (Ada); soft (Dov)" in one.evidence[0].text


def test_a_normal_look_ends_it_and_a_field_not_examined_does_not() -> None:
    seen = an_examination(190, pulse="pulsatile")
    assert found(examined(seen, an_examination(192, pulse="soft")), rule=RULE) == ()
    assert only(examined(seen, an_examination(192, thrill="continuous")), rule=RULE).times_seen == 1
    through = examined(seen, an_examination(192, thrill="continuous"), an_examination(194, pulse="pulsatile"))
    assert only(through, rule=RULE).times_seen == 2


def test_a_gap_of_more_than_21_days_breaks() -> None:
    assert only(examined(an_examination(170, pulse="pulsatile"), an_examination(192, pulse="pulsatile")), rule=RULE)
    late = examined(an_examination(170, pulse="pulsatile"), an_examination(192, pulse="pulsatile"))
    assert only(late, rule=RULE).times_seen == 1
    assert only(examined(*_pulsatile(171, 192)), rule=RULE).times_seen == 2


def _pulsatile(*days: float) -> tuple[ExaminationReading, ...]:
    return tuple(an_examination(day, pulse="pulsatile") for day in days)


def test_two_different_signs_of_one_field_never_add_up_to_one() -> None:
    changed = examined(an_examination(190, pulse="pulsatile"), an_examination(192, pulse="weak"))
    assert found(changed, rule=RULE) == ()
    assert only(changed, rule="sign.pulse-weak").times_seen == 1


def test_an_intervention_starts_anew_and_an_examination_of_its_day_is_kept() -> None:
    before = replace(examined(*_pulsatile(186, 188)), events=(an_event(190, "angioplasty"),))
    assert found(before, rule=RULE) == ()
    same_day = replace(examined(*_pulsatile(188, 190)), events=(an_event(190, "angioplasty"),))
    assert only(same_day, rule=RULE).times_seen == 1


def test_a_visit_without_a_treatment_counts_as_a_look_of_its_own() -> None:
    home = a_visit(190, pulse="pulsatile")
    assert only(examined(home, an_examination(192, pulse="pulsatile")), rule=RULE).times_seen == 2


def test_signs_refer_in_every_protocol_from_the_first_day() -> None:
    for key in ("kdoqi-2000", "kdoqi-2006", "kdoqi-2019", "kdoqi-2019-supplement"):
        one = only(examined(*_pulsatile(190, 192)), rule=RULE, protocol=load(key))
        assert one.time_in_words.startswith("refer this week") and one.limit_confirmed


def test_a_normal_flow_leaves_a_sign_as_it_is() -> None:
    held = examined(*_pulsatile(190, 192))
    assert found(replace(held, flows=(a_flow(193, 1200),)), rule=RULE) == found(held, rule=RULE)


def test_one_examiner_who_looks_twice_on_a_day_does_not_make_a_sign_hold() -> None:
    looks = (a_visit(190, pulse="pulsatile"), an_examination(190.05, pulse="pulsatile"))
    one = only(examined(*looks), rule="sign.pulse-pulsatile")
    assert (one.times_seen, one.time_in_words) == (1, "at the next treatment")
    by_two = replace(looks[0], examiner="Dov")
    assert only(examined(by_two, looks[1]), rule="sign.pulse-pulsatile").time_in_words.startswith("refer this week")


def test_a_sign_that_does_not_tell_of_the_flow_is_not_started_anew_by_an_intervention() -> None:
    cold = (an_examination(186, hand="newly cold"), an_examination(188, hand="newly cold"))
    treated = replace(examined(*cold), events=(an_event(190, "angioplasty"),))
    assert only(treated, rule="sign.hand-cold").time_in_words.startswith("refer this week")
    at_anastomosis = examined(an_examination(188, thrill="at the anastomosis only"))
    assert only(at_anastomosis, rule="sign.thrill-anastomosis-only")
    anew = replace(at_anastomosis, events=(an_event(190, "angioplasty"),))
    assert found(anew, rule="sign.thrill-anastomosis-only") == ()
