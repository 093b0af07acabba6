"""The words of the flow's trend: doubted values first, no trend before there is one, and what is not called usual."""

from dataclasses import replace

import pytest

from access.measures.protocol import load
from access.measures.readings import AccessProfile
from tests.measures.histories import an_access, an_event, confirmed, found, only
from tests.measures.rules.test_flow_trend import STEADY, watched, weighed

RULE = "flow.trend"
FALLEN = (*STEADY, (150, 450), (155, 460))


def last_said(access: AccessProfile, *, day: float) -> str:
    return only(access, rule=RULE, day=day).evidence[-1].text


def test_a_wild_high_value_is_written_out_first_and_is_no_sighting() -> None:
    before = only(watched(*FALLEN), rule=RULE, day=156)
    one = only(watched(*FALLEN, (165, 1800)), rule=RULE, day=166)
    assert one.sentence.startswith("Flow 1800 mL/min, far above its trend and doubtful; before it ")
    assert "likely below 600 mL/min" in one.sentence
    assert (one.times_seen, one.evidence[-1].id) == (before.times_seen, before.evidence[-1].id)


def test_one_low_value_and_a_wild_high_one_never_refer() -> None:
    slow = [(30.0 * number, ml_min) for number, ml_min in enumerate((1000, 950, 880, 800, 700, 620))]
    once = only(watched(*slow), rule=RULE, protocol=confirmed("kdoqi-2006"), day=151)
    assert once.times_seen == 1
    after = only(watched(*slow, (160, 2400)), rule=RULE, protocol=confirmed("kdoqi-2006"), day=161)
    assert after.times_seen == 1 and "refer" not in after.ask


def test_what_was_asked_for_waits_for_a_repeat_that_can_be_believed() -> None:
    waiting = only(watched(*STEADY, (150, 300), (153, 3500)), rule=RULE, day=154)
    assert "far above its trend and doubtful; before it 300 mL/min, far below its trend" in waiting.sentence
    assert waiting.times_seen == 1
    assert found(watched(*STEADY, (150, 300), (153, 3500), (156, 990)), rule=RULE, day=157) == ()


def test_a_newest_value_above_the_limit_is_said_where_the_trend_lies_below_it() -> None:
    one = only(watched(*FALLEN, (165, 800)), rule=RULE, day=166)
    assert one.sentence.startswith("Flow 800 mL/min when last measured, and yet ")
    assert only(watched(*FALLEN, (165, 500)), rule=RULE, day=166).sentence.startswith("Flow more than 99 % likely")


def test_a_repeat_above_the_limit_is_low_again_and_promises_no_more() -> None:
    one = only(watched(*STEADY, (150, 300), (153, 700)), rule=RULE, day=154)
    assert one.sentence.startswith("Flow 700 mL/min, low again when repeated; fell by about ")


@pytest.mark.parametrize("earlier", [(), ((0, 1000),)])
def test_of_the_first_values_no_trend_is_told(earlier: tuple[tuple[float, float], ...]) -> None:
    one = only(watched(*earlier, (10, 250)), rule=RULE, day=11)
    assert one.sentence.startswith("Flow 250 mL/min, below the limit of 600 mL/min at one of the first measurements: ")
    assert one.evidence[-1].text.endswith("; below the limit")
    late = only(watched(*earlier, (10, 250)), rule=RULE, day=40)
    assert "first measurements and not repeated in time: it counts as real" in late.sentence


def test_a_first_value_after_an_intervention_is_not_held_against_the_trend_before_it() -> None:
    treated = replace(watched(*STEADY, (160, 250)), events=(an_event(150, "angioplasty"),))
    assert "at one of the first measurements" in only(treated, rule=RULE, day=161).sentence


def test_without_a_limit_a_far_too_low_first_value_is_not_told_from_a_level_before() -> None:
    one = only(watched((10, 250)), rule=RULE, protocol=load("kdoqi-2019"), day=11)
    assert "far too low for a first measurement: a wrong value or low from the start" in one.sentence
    assert not one.raises


def test_an_interval_without_an_upper_end_is_told() -> None:
    open_ended = replace(
        watched(*STEADY), flows=(*watched(*STEADY).flows, replace(weighed(150, 300), high_ml_min=None))
    )
    assert "300 mL/min (90 % interval from 238, no upper end)" in last_said(open_ended, day=151)


def test_the_likeliest_is_said_first_unless_the_limit_is_more_likely_passed_than_not() -> None:
    lost = watched(*((30.0 * n, 2000.0) for n in range(6)), *((180.0 + 30 * n, 1150.0) for n in range(3)))
    one = only(lost, rule=RULE, day=241)
    assert "likely more than a third below its usual 2000 mL/min; fell by about" in one.sentence
    low = only(watched(*STEADY, (150, 1000), (165, 450), (170, 460)), rule=RULE, day=171)
    assert "likely below 600 mL/min; fell" in low.sentence


def test_what_began_low_is_not_called_usual() -> None:
    low = watched(*((30.0 * number, 560.0) for number in range(6)), (185, 330), (190, 320))
    assert "more than a third below the 560 mL/min it began with" in last_said(low, day=191)
    falling = tuple(weighed(90.0 * number, ml) for number, ml in enumerate((1000, 990, 1010, 500, 480, 460, 450)))
    assert "its usual" not in last_said(replace(an_access(), flows=falling), day=541)


def test_the_limit_and_its_standing_are_kept_with_the_cut() -> None:
    one = only(watched(*FALLEN), rule=RULE, protocol=load("kdoqi-2019-supplement"), day=156)
    assert "Asked from " in one.source_says and "in simulation, no patient data" in one.source_says
    assert "Limit of 600 mL/min: The clinic's own, from KDOQI 2006, not verified" in one.source_says
    without = only(watched(*FALLEN), rule=RULE, protocol=load("kdoqi-2019"), day=156)
    assert "Limit of" not in without.source_says


def test_nothing_is_said_of_a_steady_flow() -> None:
    assert found(watched(*STEADY), rule=RULE, day=125) == ()
