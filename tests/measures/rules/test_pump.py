"""Pump speed: short of its target by the numbers, twice in succession, beside what the nurse says."""

from dataclasses import replace

from access.measures.readings import AccessProfile, TreatmentReading
from tests.measures.histories import a_treatment, an_access, an_examination, found, only

RULE = "pump.target-not-reached"


def ran(*reached: float | None, prescribed: float | None = 400) -> AccessProfile:
    """Treatments two days apart with the speed reached at each."""
    return replace(an_access(), treatments=tuple(_one(190 + 2 * n, each, prescribed) for n, each in enumerate(reached)))


def _one(day: float, reached: float | None, prescribed: float | None) -> TreatmentReading:
    return replace(a_treatment(day), pump_prescribed_ml_min=prescribed, pump_reached_ml_min=reached)


def test_short_at_two_treatments_asks_to_examine_and_does_not_refer() -> None:
    one = only(ran(400, 350, 340), rule=RULE)
    assert (one.times_seen, one.raises, one.time_in_words) == (2, True, "at the next treatment")
    assert one.evidence[0].text.endswith("350 mL/min reached of 400 prescribed")


def test_a_tenth_short_does_not_count_and_once_raises_nothing() -> None:
    assert found(ran(360, 360), rule=RULE) == ()
    assert not only(ran(400, 350), rule=RULE).raises


def test_a_speed_that_is_missing_is_never_zero() -> None:
    assert found(ran(None, None), rule=RULE) == ()
    assert found(ran(350, 340, prescribed=None), rule=RULE) == ()


def test_a_speed_that_was_reached_leaves_the_nurses_sign_as_it_is() -> None:
    said = an_examination(190, circuit="target pump speed not reached")
    profile = replace(ran(400, 400), examinations=(said,))
    assert only(profile, rule="sign.target-speed").times_seen == 1


def test_another_route_is_not_judged() -> None:
    catheter = replace(
        ran(300, 300), treatments=tuple(replace(one, route="catheter") for one in ran(300, 300).treatments)
    )
    assert found(catheter, rule=RULE) == ()
