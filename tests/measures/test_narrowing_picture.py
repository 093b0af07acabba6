"""From records to the picture: which readings enter, which are left out with the reason, and what comes of them."""

from dataclasses import replace

import pytest

from access.measures import Refused
from access.measures.narrowing_picture import picture_of
from access.measures.narrowing_place import Picture, place_of_narrowing
from access.measures.readings import AccessProfile, DynamicReading
from tests.measures.histories import (
    CONFIRMED,
    NOW,
    a_dynamic,
    a_flow,
    a_ratio,
    a_treatment,
    an_access,
    an_event,
    an_examination,
    at,
    bleedings,
    dynamics,
    flows,
)


def picture(profile: AccessProfile, *, day: float = NOW) -> Picture:
    return picture_of(profile, protocol=CONFIRMED, as_of=at(day))


def running(first: int, last: int, *, venous: float, pre_pump: float, pump: float = 200) -> tuple[DynamicReading, ...]:
    """A reading every second day, in minute 3."""
    return tuple(a_dynamic(day, venous=venous, pre_pump=pre_pump, pump=pump) for day in range(first, last, 2))


def an_outlet_that_narrowed() -> AccessProfile:
    """A graft measured all along whose outlet narrowed after half a year."""
    return replace(
        dynamics(*running(10, 60, venous=90, pre_pump=-40), *running(170, 200, venous=120, pre_pump=-25)),
        flows=tuple(a_flow(day, flow) for day, flow in ((10, 1150), (40, 1100), (70, 1120), (180, 700))),
        ratios=tuple(
            a_ratio(day, ratio, role=role)  # type: ignore[arg-type]
            for day, arterial, venous in ((12, 0.45, 0.36), (40, 0.47, 0.38), (190, 0.70, 0.64))
            for role, ratio in (("arterial", arterial), ("venous", venous))
        ),
    )


def test_records_of_a_narrowing_outlet_are_told_as_such() -> None:
    seen = picture(an_outlet_that_narrowed())
    assert set(seen.quantities) == {"flow", "arterial ratio", "venous ratio", "venous pressure", "pre-pump pressure"}
    assert all(one.before is not None for one in seen.quantities.values())
    found = place_of_narrowing(seen)
    assert found.place == "outlet" and found.probabilities["outlet"] > 0.95
    assert len(found.inputs) == 4 + 6 + 2 * (6 + 12)
    assert found.inputs[0].text == "16 January 2025: flow 1150 mL/min (ultrasound dilution)"


def test_flow_is_the_latest_against_the_first_three_of_its_method() -> None:
    rows = (a_flow(10, 1000), a_flow(20, 1200), a_flow(30, 1100), a_flow(40, 900), a_flow(190, 700))
    other = replace(a_flow(5, 2000), method="duplex")
    water = replace(a_flow(195, 300, comparable=False), method="dialysance")
    flow = picture(replace(an_access(), flows=(other, *rows, water))).quantities["flow"]
    assert (flow.now.value, flow.now.count) == (700, 1)
    assert flow.before is not None and (flow.before.value, flow.before.count) == (1100, 3)


def test_what_is_old_is_left_out_and_said() -> None:
    seen = picture(flows((10, 1000), (100, 900)))
    assert not seen.quantities
    assert seen.why_missing["flow"] == "flow: last on 16 April 2025, more than 60 days ago"
    assert "more than 60 days ago" in place_of_narrowing(seen).missing[0]


def test_what_came_later_or_before_an_intervention_does_not_exist() -> None:
    treated = replace(flows((10, 1000), (190, 700)), events=(an_event(195, "angioplasty"),))
    seen = picture(treated)
    assert not seen.quantities
    assert place_of_narrowing(seen).sentence == ("Cannot tell: nothing measured since the angioplasty of 20 July 2025.")
    assert picture(treated, day=192).quantities["flow"].now.value == 700


def test_an_abandoned_access_is_not_weighed() -> None:
    ended = replace(flows((190, 700)), events=(an_event(195, "abandoned"),))
    assert place_of_narrowing(picture(ended)).sentence == (
        "Cannot tell: nothing measured since the access was abandoned."
    )


def test_both_ratios_are_of_one_day_and_one_formula() -> None:
    both = replace(an_access(), ratios=(a_ratio(180, 0.6, role="arterial"), a_ratio(190, 0.5)))
    seen = picture(both)
    assert set(seen.quantities) == {"venous ratio"}
    other = replace(a_ratio(190, 0.7, role="arterial"), formula="linear-2006")
    assert set(picture(replace(both, ratios=(other, *both.ratios))).quantities) == {"venous ratio"}


def test_pressures_are_those_of_one_gauge_and_speed_the_standardized_ones_first() -> None:
    seen = picture(
        dynamics(
            *running(20, 60, venous=90, pre_pump=-40),
            *running(20, 60, venous=150, pre_pump=-90, pump=350),
            *running(180, 200, venous=110, pre_pump=-35),
            *running(181, 201, venous=180, pre_pump=-80, pump=350),
        )
    )
    venous = seen.quantities["venous pressure"]
    assert seen.pump_ml_min == 200
    assert (venous.now.value, venous.now.count) == (110, 6)
    assert venous.before is not None and (venous.before.value, venous.before.count) == (90, 12)


def test_too_few_first_treatments_make_no_baseline() -> None:
    seen = picture(dynamics(*running(20, 34, venous=90, pre_pump=-40), *running(180, 200, venous=110, pre_pump=-35)))
    assert seen.quantities["venous pressure"].before is None
    assert "venous pressure: no baseline of its own" in place_of_narrowing(seen).missing


def test_a_baseline_that_began_beyond_the_limit_is_no_baseline() -> None:
    seen = picture(flows((10, 450), (40, 470), (190, 440)))
    assert seen.quantities["flow"].before is None
    assert seen.why_missing["flow"] == "flow: no baseline, since it began beyond the protocol's limit"


def test_a_baseline_of_an_access_in_use_before_its_records_says_so() -> None:
    used = replace(an_outlet_that_narrowed(), treatments=(a_treatment(9),))
    assert any("not known to be open" in one for one in picture(used).remarks)
    assert not any("not known" in one for one in picture(replace(used, first_needled_on=at(9).date())).remarks)


def test_signs_enter_by_their_side_with_their_evidence_and_an_odd_one_forbids_none() -> None:
    steady = flows((10, 1100), (40, 1100), (70, 1100), (190, 1120))
    looked = an_examination(198, thrill="weak", pulse="pulsatile", hand="newly cold")
    seen = picture(replace(steady, examinations=(looked,)))
    assert seen.inflow_signs == ("weak or missing thrill",)
    assert seen.outflow_signs == ("pulsatile pulse",)
    assert seen.other_signs == ("hand newly cold",)
    assert {one.id for one in seen.inputs} == {looked.id}
    assert place_of_narrowing(seen).place != "none"
    gone = an_examination(199, thrill="continuous", pulse="soft", hand="as before")
    assert not picture(replace(steady, examinations=(looked, gone))).outflow_signs


def test_bleeding_longer_than_usual_is_a_sign_of_the_outflow() -> None:
    longer = bleedings([8.0] * 12 + [14.0, 15.0, 16.0], first_day=168)
    assert picture(longer).outflow_signs == ("bleeding longer than usual",)


def test_a_blood_pressure_that_was_not_recorded_is_said_to_be_assumed() -> None:
    assert picture(flows((190, 700))).remarks == ("mean arterial pressure: not recorded, 93 mmHg taken",)
    known = replace(a_flow(190, 700), mean_arterial_mmhg=81.0)
    seen = picture(replace(an_access(), flows=(known,)))
    assert seen.mean_arterial_mmhg == 81 and not seen.remarks


def test_nothing_at_all_is_answered_in_words() -> None:
    found = place_of_narrowing(picture(an_access("fistula")))
    assert found.sentence == "Cannot tell: nothing measured."
    assert len(found.missing) == 6


def test_a_moment_without_its_zone_is_refused() -> None:
    with pytest.raises(Refused, match="without its zone"):
        picture_of(an_access(), protocol=CONFIRMED, as_of=at(0).replace(tzinfo=None))
