"""Pre-pump pressure: the absolute limit, the usual band, and where there is no usual one."""

from dataclasses import replace

from access.measures.readings import AccessProfile, DynamicReading, Puncture
from access.measures.words import NeedleRole
from tests.measures.histories import (
    a_dynamic,
    a_flow,
    a_puncture,
    a_treatment,
    an_access,
    an_event,
    an_examination,
    dynamics,
    found,
    on,
    only,
)

RULE = "inflow.pre-pump"
WANDERING = (-150, -160, -140, -155, -145, -150, -165, -135, -150, -158, -142, -150)


def read(
    *pressures: float, first: float = 100, pump: float = 400, gauge: int | None = 15
) -> tuple[DynamicReading, ...]:
    """One reading for each treatment, two days apart."""
    return tuple(
        a_dynamic(first + 2 * count, pre_pump=each, pump=pump, minute=60, gauge=gauge)
        for count, each in enumerate(pressures)
    )


def recorded(*readings: DynamicReading) -> AccessProfile:
    """An access whose record begins with its first reading."""
    return replace(dynamics(*readings), treatments=(a_treatment(100),))


def test_three_treatments_below_the_absolute_limit_meet_the_rule_and_do_not_refer() -> None:
    one = only(recorded(*read(-260, -255, -270)), rule=RULE, day=105)
    assert (one.times_seen, one.times_needed, one.raises) == (3, 3, True)
    assert "below -250 mmHg" in one.sentence
    assert (one.urgency, one.time_in_words) == ("urgent", "at the next treatment")
    assert one.ask.startswith("Repeat at the next treatment and examine. Rule out the circuit first")


def test_at_the_limit_or_after_a_normal_one_it_is_not_met() -> None:
    assert found(recorded(*read(-250, -250, -250)), rule=RULE, day=105) == ()
    assert not only(recorded(*read(-260, -200, -270)), rule=RULE, day=105).raises


def test_lower_means_more_negative() -> None:
    assert found(recorded(*read(-20, -10, 5)), rule=RULE, day=105) == ()


def test_three_treatments_below_the_usual_band_meet_the_rule() -> None:
    one = only(recorded(*read(*WANDERING, -215, -220, -225)), rule=RULE)
    assert one.times_seen == 3 and one.raises
    assert "below its band" in one.sentence and "usual since April 2025" in one.sentence
    assert "not known to be healthy" in one.sentence


def test_within_the_usual_band_nothing_is_found() -> None:
    assert found(recorded(*read(*WANDERING, -165, -170, -160)), rule=RULE) == ()


def test_the_band_does_not_follow_a_slow_fall() -> None:
    steady = [-150.0, -155, -145, -150] * 10
    slow = [-150.0 - 2 * step for step in range(1, 45)]
    assert only(recorded(*read(*steady, *slow)), rule=RULE, day=300).times_seen == 3


def test_fewer_than_eight_treatments_before_the_ones_judged_make_no_band() -> None:
    assert only(recorded(*read(*[-150] * 8, -215, -220, -225)), rule=RULE).raises
    assert found(recorded(*read(*[-150] * 7, -215, -220, -225)), rule=RULE) == ()
    few = only(recorded(*read(*[-150] * 7, -260, -260, -260)), rule=RULE)
    assert few.missing == ("a usual band at 15G and 400 mL/min: fewer than 8 treatments before these",)


def test_another_gauge_or_pump_speed_is_not_held_against_the_band() -> None:
    other = (*read(*WANDERING), *read(-215, -220, -225, first=130, pump=450))
    assert found(recorded(*other), rule=RULE) == ()
    assert found(recorded(*read(*WANDERING), *read(-215, -220, -225, first=130, gauge=16)), rule=RULE) == ()


def test_after_an_intervention_the_band_starts_anew() -> None:
    fallen = recorded(*read(*WANDERING, -215, -220, -225))
    assert found(replace(fallen, events=(an_event(123, "angioplasty"),)), rule=RULE) == ()


def test_a_baseline_that_began_beyond_a_limit_is_not_called_usual() -> None:
    low_from_the_start = replace(recorded(*read(*WANDERING, -215, -220, -225)), flows=(a_flow(101, 450),))
    assert found(low_from_the_start, rule=RULE) == ()
    absolute = replace(recorded(*read(*WANDERING, -260, -260, -260)), flows=(a_flow(101, 450),))
    assert "not called usual" in only(absolute, rule=RULE).missing[0]


def test_a_new_access_has_a_usual_band_from_its_first_use() -> None:
    new = replace(recorded(*read(*WANDERING, -215, -220, -225)), first_needled_on=on(100))
    assert "not known to be healthy" not in only(new, rule=RULE).sentence


def test_one_low_pressure_is_evidence_until_a_sign_stands_beside_it() -> None:
    low = recorded(*read(-260))
    assert not only(low, rule=RULE).raises
    beside = replace(low, examinations=(an_examination(100, needling="clots drawn"),))
    assert only(beside, rule=RULE).urgency == "asap"


def test_without_a_gauge_the_absolute_limit_still_speaks() -> None:
    one = only(recorded(*read(-260, -260, -260, gauge=None)), rule=RULE)
    assert one.raises and one.missing == ("the gauge: without it there is no usual band",)
    assert found(an_access(), rule=RULE) == ()


def punctured(
    readings: tuple[DynamicReading, ...], *, gauge: int | None, role: NeedleRole = "arterial"
) -> tuple[Puncture, ...]:
    """The arterial needle of each of these treatments."""
    return tuple(
        replace(
            a_puncture(100, role=role), id=f"{one.treatment} {role}", treatment=one.treatment, at=one.at, gauge=gauge
        )
        for one in readings
    )


def test_the_band_is_that_of_the_arterial_needle_not_of_the_venous_one() -> None:
    usual, low = read(*WANDERING), read(-215, -220, -225, first=130)
    thinner = (*punctured(usual, gauge=15), *punctured(low, gauge=17))
    assert found(replace(recorded(*usual, *low), punctures=thinner), rule=RULE) == ()
    same = (*punctured(usual, gauge=15), *punctured(low, gauge=15))
    venous_changed = replace(recorded(*usual, *(replace(one, gauge=17) for one in low)), punctures=same)
    one = only(venous_changed, rule=RULE)
    assert one.times_seen == 3 and one.evidence[0].text.endswith("15G")
    unknown = replace(recorded(*usual, *low), punctures=punctured((*usual, *low), gauge=15, role="venous"))
    assert found(unknown, rule=RULE) == ()


def test_the_band_is_never_said_to_come_from_the_source_of_the_absolute_limit() -> None:
    by_band = only(recorded(*read(*WANDERING, -215, -220, -225)), rule=RULE)
    assert by_band.source == "own-choice" and "band" in by_band.source_says
    assert only(recorded(*read(-260, -255, -270)), rule=RULE, day=105).source == "pre-pump-pressure"


def test_a_flow_first_measured_after_the_baseline_does_not_take_its_band_away() -> None:
    fallen = replace(recorded(*read(*WANDERING, -215, -220, -225)), flows=(a_flow(128, 450),))
    assert only(fallen, rule=RULE).raises
