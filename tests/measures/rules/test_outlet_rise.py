"""Outlet pressure against the access's own baseline: which ratio speaks, what is asked, and when limits speak alone."""

from dataclasses import replace

import pytest

from access.measures.protocol import load
from access.measures.readings import AccessProfile, BenchPoint
from access.measures.rules.case import open_case
from access.measures.rules.outlet_rise import watched
from tests.measures.histories import (
    CONFIRMED,
    a_dynamic,
    a_flow,
    a_ratio,
    an_access,
    an_event,
    an_examination,
    at,
    confirmed,
    found,
    on,
    only,
    ratios,
)
from tests.measures.pressures import a_reading, lived

RULE, STATIC, DYNAMIC = "outlet.rise", "outlet.static-ratio", "outlet.dynamic"
STEADY = tuple((14.0 * number, 0.3) for number in range(7))  # Until day 84.


def read(*later: tuple[float, float]) -> AccessProfile:
    """A graft with static ratios, in use since the day of the first."""
    return replace(ratios(*STEADY, *later), first_needled_on=on(0))


def raising(profile: AccessProfile, *, day: float = 200) -> set[str]:
    """The outlet's rules that raise."""
    return {one.rule for one in found(profile, day=day) if one.raises and one.rule.startswith("outlet.")}


def test_a_steady_ratio_raises_nothing() -> None:
    assert not raising(read((98, 0.31), (112, 0.29)), day=113)


def test_a_rise_far_below_the_limit_is_told_with_its_usual_level() -> None:
    one = only(read((98, 0.42), (112, 0.44), (126, 0.45)), rule=RULE, day=127)
    assert one.sentence.startswith("Static ratio at the venous needle ")
    assert "likely risen by more than 0.08 from its usual 0.30 (since January 2025): seen " in one.sentence
    assert one.raises and one.source == "simulation"
    assert "false flags an access-year, in simulation, no patient data." in one.source_says
    assert one.evidence[-1].text.startswith("12 May 2025: static ratio 0.45 (venous needle, hydrostatic height); ")


def test_a_ratio_that_alone_crosses_asks_and_refers_only_when_seen_twice() -> None:
    sudden = read((98, 0.75))
    once = only(sudden, rule=RULE, protocol=confirmed("kdoqi-2006"), day=99)
    assert (once.times_seen, once.raises, once.time_in_words) == (1, True, "at the next treatment")
    assert once.ask == "Repeat at the next treatment and examine. Repeat within 7 days."
    assert "0.75, far above its level of 0.30, usual 0.30 (since January 2025): a wrong value or a sudden rise" in (
        once.sentence
    )
    twice = only(read((98, 0.75), (105, 0.74)), rule=RULE, protocol=confirmed("kdoqi-2006"), day=106)
    assert twice.times_seen == 2 and "refer for imaging" in twice.ask
    assert "more than 99 % likely risen" in twice.sentence


def test_a_newest_value_that_is_usual_again_is_said_beside_the_level_that_is_not_yet() -> None:
    risen = ((98, 0.60), (105, 0.61), (112, 0.62), (119, 0.60))
    one = only(read(*risen, (126, 0.30)), rule=RULE, day=127)
    assert one.sentence.startswith("Static ratio at the venous needle 0.30 when last read, and yet ")
    assert only(read(*risen), rule=RULE, day=120).sentence.startswith("Static ratio at the venous needle more than")


def test_a_wild_value_not_seen_again_lapses() -> None:
    assert not raising(read((98, 0.75), (105, 0.31)), day=106)


def test_where_the_limit_waits_for_the_clinic_nothing_more_than_a_repeat_is_asked() -> None:
    twice = only(read((98, 0.75), (105, 0.74)), rule=RULE, protocol=load("kdoqi-2019-supplement"), day=106)
    assert not twice.limit_confirmed and "refer" not in twice.ask


def test_only_the_rise_raises_and_the_limits_are_evidence() -> None:
    high = read((98, 0.75), (105, 0.74))
    pressures = tuple(a_dynamic(day, venous=140) for day in (101, 103, 105))
    both = {one.rule: one.raises for one in found(replace(high, dynamics=pressures), day=106)}
    assert {rule: both[rule] for rule in (RULE, STATIC, DYNAMIC)} == {RULE: True, STATIC: False, DYNAMIC: False}


def test_a_baseline_begun_beyond_a_limit_leaves_the_word_to_the_absolute_limits() -> None:
    high = [(14.0 * number, 0.55) for number in range(9)]
    assert raising(replace(ratios(*high), first_needled_on=on(0)), day=113) == {STATIC}
    weak = replace(read((98, 0.52), (112, 0.53)), flows=(a_flow(1, 400),))
    assert raising(weak, day=113) == {STATIC}


def test_a_first_ratio_that_read_high_does_not_leave_the_access_without_a_baseline() -> None:
    # Else the absolute limit would judge the noise of an access that lies near it for as long as it is used.
    steady = [(14.0 * number, ratio) for number, ratio in enumerate((0.51, 0.45, 0.47, 0.44, 0.46, 0.45, 0.46, 0.51))]
    profile = replace(ratios(*steady, (105, 0.50)), first_needled_on=on(0))
    assert not raising(profile, day=106)
    assert raising(replace(profile, ratios=profile.ratios[:1]), day=1) == {STATIC}


def test_without_a_baseline_the_absolute_limits_speak() -> None:
    assert raising(ratios((180, 0.3), (195, 0.55))) == {STATIC}


def test_a_rise_while_the_baseline_is_made_is_left_to_the_absolute_limits() -> None:
    # Within the first 13 weeks a quick rise becomes part of the baseline itself.
    quick = [(14.0 * number, ratio) for number, ratio in enumerate((0.38, 0.42, 0.46, 0.50, 0.54, 0.58))]
    profile = replace(ratios(*quick), first_needled_on=on(0))
    assert raising(profile, day=71) == {STATIC}
    sudden = replace(ratios(*STEADY[:5], (70, 0.75), (77, 0.75)), first_needled_on=on(0))
    assert raising(sudden, day=78) == {RULE}


def test_an_intervention_starts_anew() -> None:
    risen = read((98, 0.44), (112, 0.45), (126, 0.46))
    assert raising(risen, day=127) == {RULE}
    treated = replace(risen, events=(an_event(127, "angioplasty"),))
    assert not raising(treated, day=128)
    again = replace(treated, ratios=(*treated.ratios, *(a_ratio(140 + 14 * n, 0.46) for n in range(6))))
    assert not raising(again, day=211)


def weekly(percents: list[float], *, bench: tuple[BenchPoint, ...] = ()) -> AccessProfile:
    """A graft read three times a week at the usual pump speed, that narrows week by week at the outlet."""
    return replace(lived(percents), first_needled_on=on(0), bench=bench)


RISING = [0.0] * 14 + [55.0] * 6


def test_without_static_ratios_the_derived_ratio_speaks_week_by_week() -> None:
    one = only(weekly(RISING), rule=RULE, day=140)
    assert one.sentence.startswith("Derived static ratio (weekly median) ")
    assert one.ask.endswith("A new lot of needles or lines moves it too.")
    assert "Rule out the circuit first" in one.ask
    assert "median of 3 treatments at 15G and 300 mL/min" in one.evidence[-1].text
    assert "by the hydraulic model" in one.source_says
    assert raising(weekly(RISING), day=140) == {RULE}


def test_the_clinics_bench_table_is_used_where_it_answers() -> None:
    table = tuple(
        BenchPoint(gauge=15, pump_ml_min=speed, pressure_mmhg=drop) for speed, drop in ((200, 40.0), (400, 150.0))
    )
    assert "by the clinic's bench table" in only(weekly(RISING, bench=table), rule=RULE, day=140).source_says


def test_a_week_that_is_not_over_says_nothing_yet() -> None:
    begun = weekly([0.0] * 14 + [85.0])
    twice = replace(begun, dynamics=begun.dynamics[:-1])
    assert not [one for one in found(twice, day=100.5) if one.rule == RULE]
    assert only(twice, rule=RULE, day=105).times_seen == 1
    assert only(begun, rule=RULE, day=102.5).times_seen == 1


def test_static_ratios_not_measured_for_four_weeks_leave_the_word_to_the_derived_one() -> None:
    static = tuple(a_ratio(14.0 * number, 0.3) for number in range(7))
    both = replace(weekly(RISING), ratios=static)
    assert not raising(both, day=112)
    assert only(both, rule=RULE, day=140).sentence.startswith("Derived static ratio")


def test_a_static_rise_goes_on_asking_until_the_derived_ratio_meets_the_rule_itself() -> None:
    asked = (*(a_ratio(14.0 * number, 0.3) for number in range(7)), a_ratio(98, 0.75))
    quiet = replace(weekly([0.0] * 25), ratios=asked)
    assert only(quiet, rule=RULE, day=170).sentence.startswith("Static ratio")
    loud = replace(weekly([0.0] * 14 + [60.0] * 11), ratios=asked)
    assert only(loud, rule=RULE, day=170).sentence.startswith("Derived static ratio")


def test_a_static_ratio_beyond_its_limit_is_not_silenced_by_a_quiet_derived_one() -> None:
    late = replace(weekly([0.0] * 25), ratios=(a_ratio(150, 0.55),))
    assert raising(late, day=170) == {STATIC}


def test_a_change_of_gauge_or_speed_is_said() -> None:
    before, after = lived([0.0] * 14), lived([60.0] * 6, gauge=16, pump=250, since=98)
    both = replace(before, dynamics=before.dynamics + after.dynamics, first_needled_on=on(0))
    one = only(both, rule=RULE, day=140)
    assert any("the baseline began at 15G and 300 mL/min, now 16G and 250" in each for each in one.missing)


def test_a_change_of_the_height_formula_does_not_silence_a_rise() -> None:
    risen = read((98, 0.44), (112, 0.45), (126, 0.46))
    other = replace(a_ratio(133, 0.40), formula="empirical-2002")
    assert raising(replace(risen, ratios=(*risen.ratios, other)), day=134) == {RULE}


def test_an_odd_sign_beside_it_is_examined_today() -> None:
    sudden = replace(read((98, 0.75)), examinations=(an_examination(98, arm_raise="does not collapse"),))
    assert only(sudden, rule=RULE, day=99).time_in_words == "examine today, tell the coordinator"


def test_a_protocol_without_a_limit_for_the_outlet_shows_it_as_evidence() -> None:
    one = only(read((98, 0.75), (105, 0.74)), rule=RULE, protocol=load("kdoqi-2019"), day=106)
    assert (one.raises, one.urgency) == (False, "routine")


def test_nothing_read_says_nothing() -> None:
    for profile in (an_access(), replace(an_access(), dynamics=(a_reading(0, venous=None),))):
        case = open_case(profile, protocol=CONFIRMED, as_of=at(200))
        assert watched(case) is None


@pytest.mark.parametrize("profile", [read((98, 0.44), (112, 0.45), (126, 0.46)), weekly(RISING)])
def test_the_order_of_arrival_changes_nothing(profile: AccessProfile) -> None:
    mixed = replace(profile, ratios=profile.ratios[::-1], dynamics=profile.dynamics[::-1])
    assert found(mixed, day=140) == found(profile, day=140)


def test_the_flow_has_a_smaller_share_beside_a_pressure_that_speaks() -> None:
    weighed = tuple(
        replace(a_flow(30.0 * number, ml), low_ml_min=0.792 * ml, high_ml_min=ml / 0.792)
        for number, ml in enumerate((1000, 900, 780, 700))
    )
    alone = only(
        replace(an_access(), flows=weighed[:3] + (replace(weighed[3], ml_min=300),)), rule="flow.trend", day=91
    )
    beside = only(
        replace(read((98, 0.3)), flows=weighed[:3] + (replace(weighed[3], ml_min=300),)), rule="flow.trend", day=99
    )
    asked = [int(one.source_says.split("from ")[1].split(" %")[0]) for one in (alone, beside)]
    assert asked[0] < asked[1]
