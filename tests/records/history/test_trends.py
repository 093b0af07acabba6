"""The flow's trend as a chart shows it: level with its band, what is doubtful, and what is said in plain words."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from access.measures import protocol, trend
from access.measures.flow_series import flow_series
from access.measures.readings import AccessProfile, EventReading, FlowReading
from access.records.history.trends import FlowTrend, flow_trend

NOW = datetime(2026, 3, 18, 9, tzinfo=UTC)
LONG_AGO = NOW - timedelta(days=3000)
PROTOCOL = protocol.load("kdoqi-2006")
MONTHLY = tuple(range(300, 0, -30))
STEADY = {days: 1000.0 + 20 * (-1) ** (days // 30) for days in MONTHLY}


def flow(days: float, ml_min: float, *, doubt: float | None = 1.26, mean: float | None = None) -> FlowReading:
    ends = (None, None) if doubt is None else (ml_min / doubt, ml_min * doubt)
    return FlowReading(
        id=f"{days:g} days ago",
        at=NOW - timedelta(days=days),
        method="ultrasound dilution",
        ml_min=ml_min,
        low_ml_min=ends[0],
        high_ml_min=ends[1],
        mean_arterial_mmhg=mean,
    )


def profile(flows: Mapping[int, float] | Sequence[FlowReading], **more: Any) -> AccessProfile:
    given = [flow(days, value) for days, value in flows.items()] if isinstance(flows, Mapping) else flows
    whole = {"kind": "graft", "configuration": "forearm loop graft", "side": "left", "events": ()} | more
    return AccessProfile(access="a", flows=tuple(given), **whole)


def shown(flows: Mapping[int, float] | Sequence[FlowReading], **more: Any) -> FlowTrend:
    return flow_trend(profile(flows, **more), protocol=PROTOCOL, as_of=NOW, since=LONG_AGO)


def said(found: FlowTrend) -> str:
    return " ".join(found.statements).replace("\N{NO-BREAK SPACE}", " ")


def event(days: float, what: str = "angioplasty") -> EventReading:
    return EventReading(id=f"{what} {days}", on=(NOW - timedelta(days=days)).date(), what=what)  # type: ignore[arg-type]


def times(found: FlowTrend) -> list[datetime]:
    return [datetime.fromisoformat(one["at"]) for one in found.level]


def width(row: dict[str, Any]) -> float:
    return math.log(row["high"] / row["low"])


def test_the_level_is_known_at_each_measurement_monthly_between_and_now() -> None:
    found = shown({300: 1000, 290: 980, 280: 1010, 40: 990})
    assert {NOW - timedelta(days=days) for days in (300, 290, 280, 40)} < set(times(found))
    assert times(found)[-1] == NOW
    steps = [later - one for one, later in zip(times(found), times(found)[1:], strict=False)]
    assert max(steps) <= timedelta(days=30)


def test_the_level_at_a_measurement_is_that_of_the_smoother() -> None:
    found = shown(STEADY)
    fitted = trend.fit(flow_series(profile(STEADY), as_of=NOW).series).smoothed
    at = {one["at"]: one for one in found.level}
    for row, days in enumerate(MONTHLY):
        one = at[(NOW - timedelta(days=days)).isoformat()]
        assert one["value"] == pytest.approx(math.exp(fitted.level[row, 0]), abs=0.06)
        half = 1.6449 * math.sqrt(fitted.level_variance[row, 0])
        assert width(one) == pytest.approx(2 * half, abs=2e-3)


def test_the_band_widens_where_nothing_was_measured() -> None:
    found = shown({900: 1000, 870: 990, 840: 1010, 90: 1000, 60: 1000, 30: 1000})
    at = {(NOW - datetime.fromisoformat(one["at"])).days: width(one) for one in found.level}
    assert at[450] > 1.5 * at[840]
    assert at[450] > 1.5 * at[60]


def test_the_level_stops_at_an_event_that_changes_the_vessel_and_begins_at_the_next_measurement() -> None:
    found = shown({300: 700, 270: 680, 240: 650, 100: 1000, 70: 990, 40: 1010}, events=(event(200),))
    midnight = datetime.combine((NOW - timedelta(days=200)).date(), datetime.min.time(), tzinfo=UTC)
    before = [one for one in times(found) if one < midnight]
    after = [one for one in times(found) if one >= midnight]
    assert midnight - before[-1] == timedelta(minutes=1)
    assert after[0] == NOW - timedelta(days=100)


def test_nothing_is_said_of_now_when_the_vessel_was_changed_since_the_last_measurement() -> None:
    found = shown(STEADY, events=(event(10),))
    assert said(found) == "Not measured since angioplasty, 8 Mar 2026: the level is not known."
    assert times(found)[-1].date() == date(2026, 3, 7)


def test_a_clot_on_the_day_of_the_last_measurement_ends_what_is_known() -> None:
    assert said(shown(STEADY, events=(event(30, "clotted"),))).startswith("Not measured since clotted")


def test_before_three_measurements_there_is_no_level() -> None:
    found = shown({60: 700, 30: 690})
    assert (found.level, found.worked) == ((), None)
    assert said(found) == "No level yet: it is estimated from 3 measurements on."
    assert shown({}) == FlowTrend()
    assert shown({90: 700, 60: 700, 30: 690}).level


def test_only_the_part_of_the_level_that_a_chart_shows_is_given_but_the_whole_record_counts() -> None:
    since = NOW - timedelta(days=100)
    part = flow_trend(profile(STEADY), protocol=PROTOCOL, as_of=NOW, since=since)
    whole = shown(STEADY)
    assert part.level == tuple(one for one in whole.level if datetime.fromisoformat(one["at"]) >= since)
    assert part.statements == whole.statements


def test_a_newest_value_far_from_its_trend_is_doubtful_and_said_first() -> None:
    found = shown({**STEADY, 1: 300})
    assert found.doubtful == {"1 days ago"}
    assert found.statements[0].startswith("The newest value, 300")
    assert found.level[-1]["value"] > 800


def test_what_is_low_again_is_real_and_no_longer_doubtful() -> None:
    found = shown({**STEADY, 6: 300, 2: 310})
    assert not found.doubtful
    assert "Below the limit of 600 mL/min now: " in said(found)
    assert found.level[-1]["value"] < 600


def test_what_was_not_repeated_in_time_counts_as_real_until_the_next_one_refutes_it() -> None:
    alone = shown({**{days: one for days, one in STEADY.items() if days > 30}, 30: 350})
    assert not alone.doubtful
    refuted = shown({**STEADY, 150: 350})
    assert refuted.doubtful == {"150 days ago"}
    assert refuted.level[-1]["value"] == pytest.approx(shown(STEADY).level[-1]["value"], rel=0.05)


def test_a_falling_flow_tells_how_likely_it_is_below_the_limit_now_and_later_without_a_date() -> None:
    found = shown({days: 700 * math.exp(0.0015 * (days - 30)) for days in MONTHLY})
    now, ahead, hedge = said(found).split(". ")[1].split("; ")
    assert now.startswith("Below the limit of 600 mL/min now: ") and now.endswith(" likely")
    assert ahead.startswith("in 3, 6 and 12 months ") and ahead.endswith("if the present trend goes on")
    assert hedge.startswith("more often sooner than later")
    shares = [int(word) for word in ahead.replace("%", "").replace(",", "").split() if word.isdigit()][3:]
    assert shares == sorted(shares) and shares[-1] > 50


def test_the_worked_example_of_the_handbook_is_what_the_sentences_say() -> None:
    six = (900, 820, 860, 700, 640, 610)
    months = [365.25 / 12 * (len(six) - 1 - row) for row in range(len(six))]
    readings = [flow(days, value, doubt=math.exp(1.6449 * 0.142)) for days, value in zip(months, six, strict=True)]
    assert said(shown(readings)).startswith(
        "Level now about 670 mL/min (90 % interval 580 to 770). "
        "Below the limit of 600 mL/min now: 11 % likely; in 3, 6 and 12 months 59 %, 73 % and 78 %"
    )


def test_a_steady_high_flow_has_no_downward_trend() -> None:
    found = shown(dict.fromkeys(range(900, 0, -30), 1900.0))
    assert "No downward trend to the limit of 600 mL/min: below it in 12 months 4 % likely." in said(found)


def test_where_no_trend_is_clear_nothing_is_said_of_its_going_on() -> None:
    told = said(shown(dict.fromkeys(range(900, 0, -30), 800.0)))
    assert "no clear downward trend." in told
    assert "12 months" not in told


def test_much_lost_far_from_the_limit_is_said_as_its_flag_says_it() -> None:
    lost = {days: 3000.0 if days > 450 else 1700.0 for days in range(630, 0, -30)}
    told = said(shown(lost))
    assert "likely more than a third below its usual 3000 mL/min; below 600 mL/min in 12 months" in told
    assert "in 12 months" in told and "No downward trend" not in told


def test_a_sudden_fall_that_proved_real_is_one_at_the_usual_blood_pressure_too() -> None:
    flows = [flow(days, value, mean=90) for days, value in ({**STEADY, 30: 300.0, 27: 310.0}).items()]
    told = said(shown(flows))
    level, beside = (told.split(before)[1].split(" mL/min")[0] for before in ("Level now about ", "pressure: about "))
    assert level == beside


def test_far_below_the_limit_nothing_is_said_of_later() -> None:
    found = shown(dict.fromkeys(MONTHLY, 350.0))
    assert "Below the limit of 600 mL/min now: more than 99 % likely." in said(found)
    assert "12 months" not in said(found)


def test_a_protocol_without_a_limit_says_so() -> None:
    bare = protocol.load("kdoqi-2019")
    assert "flow.below.graft" not in bare.limits
    found = flow_trend(profile(STEADY), protocol=bare, as_of=NOW, since=LONG_AGO)
    assert "The protocol holds no limit for this kind of access." in found.statements


def test_the_level_at_the_usual_blood_pressure_is_shown_beside_where_it_was_recorded() -> None:
    low_at_the_end = [flow(days, 700.0 if days <= 60 else 1000.0, mean=63 if days <= 60 else 95) for days in MONTHLY]
    beside = said(shown(low_at_the_end)).rsplit(". ", 1)[-1]
    assert beside.startswith("At the usual blood pressure: about ")
    assert beside.endswith("mL/min; shown beside, it does not decide.")
    assert int(beside.split("about ")[1].split()[0]) > 900  # The fall of pressure explains that of flow.
    assert "usual blood pressure" not in said(shown(STEADY))


def test_a_clinic_that_lets_the_usual_blood_pressure_decide_is_told_so() -> None:
    key = "flow.at-usual-pressure"
    chosen = replace(PROTOCOL, limits={**PROTOCOL.limits, key: replace(PROTOCOL.limits[key], value=1)})
    readings = [flow(days, 700.0 if days <= 60 else 1000.0, mean=63 if days <= 60 else 95) for days in MONTHLY]
    found = flow_trend(profile(readings), protocol=chosen, as_of=NOW, since=LONG_AGO)
    assert found.level[-1]["value"] > 900
    assert "At the usual blood pressure, by this clinic's choice; as measured about 7" in said(found)


def test_the_working_names_its_numbers_and_that_no_patient_was_in_it() -> None:
    readings = [*(flow(days, value) for days, value in STEADY.items()), flow(15, 900, doubt=None)]
    worked = shown(readings, events=(event(200),)).worked
    assert worked is not None
    inputs = {one["name"]: one["value"].replace("\N{NO-BREAK SPACE}", " ") for one in worked["inputs"]}
    assert inputs["Measurements"] == "10 since 22 May 2025, 6 since the vessel was changed"
    assert inputs["They vary from day to day by"] == "14 % (ultrasound dilution)"
    assert inputs["Left out"] == "1 of unknown doubt"
    assert inputs["Limit"] == "600 mL/min, not yet confirmed by this clinic"
    assert "slope drift 0.5" in inputs["Parameters"]
    assert worked["doubt"].endswith("in simulation, no patient data.")


def test_only_where_the_trend_raises_flags_its_cut_is_named() -> None:
    def names(rules: tuple[str, ...]) -> set[str]:
        other = replace(PROTOCOL, rules={**PROTOCOL.rules, "flow": rules})
        found = flow_trend(profile(STEADY), protocol=other, as_of=NOW, since=LONG_AGO).worked
        return {one["name"] for one in (found or {})["inputs"]}

    assert "A flag from" in names(("flow.trend", "flow.limit"))
    assert "A flag from" not in names(("flow.limit", "flow.trend"))
