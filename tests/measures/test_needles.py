"""Volumes and spacing of needles: printed values, each rule, each refusal, what is merely asked."""

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.needles import Remark, Site, line_volume_ml, slow_flow_enough, spacing, zone_after_infiltration
from access.measures.readings import Puncture
from access.measures.words import Kind
from tests.measures.cases import cases

README = Path(__file__).parents[2] / "access" / "measures" / "README.md"


def punctured(along_cm: float | None, *, segment: str = "") -> Puncture:
    return Puncture(
        id=f"puncture at {along_cm}",
        treatment="last",
        at=datetime(2025, 3, 3, 8, tzinfo=UTC),
        role="arterial",
        along_cm=along_cm,
        gauge=15,
        direction="with the flow",
        technique="rope-ladder",
        tip="sharp",
        outcome="in use to the end",
        segment=segment,
    )


def needle(along_cm: float | None, **changed: Any) -> Site:
    return Site(**{"along_cm": along_cm, "direction": "with the flow", "technique": "rope-ladder", **changed})


def remarks(
    arterial: Site,
    venous: Site,
    *,
    recent: tuple[Puncture, ...] = (),
    kind: Kind = "fistula",
    length_cm: float | None = 20,
    planned: bool = True,
) -> tuple[Remark, ...]:
    return spacing(arterial, venous=venous, recent=recent, kind=kind, length_cm=length_cm, planned=planned)


def rules(*args: Any, **kwargs: Any) -> list[str]:
    return [remark.rule for remark in remarks(*args, **kwargs)]


@pytest.mark.parametrize("case", cases("needles", formula="needles.line-volume"))
def test_the_slow_flow_of_the_draw_moves_twice_the_volume_up_to_the_port(case: dict[str, Any]) -> None:
    moved = line_volume_ml(case["given"]["pump_ml_min"], seconds=case["given"]["seconds"])
    assert moved == pytest.approx(case["expected"], abs=case["tolerance"])
    assert slow_flow_enough(moved)


def test_priming_at_150_for_two_minutes_is_300_ml() -> None:
    # Common practice, no source.
    assert line_volume_ml(150, seconds=120) == 300


def test_a_slow_flow_cut_short_is_not_enough() -> None:
    assert not slow_flow_enough(line_volume_ml(120, seconds=8))
    assert slow_flow_enough(19.96)  # Shown as 20.0.
    assert slow_flow_enough(16, port_volume_ml=8)


@pytest.mark.parametrize(("pump", "seconds", "field"), [(0, 10, "pump_ml_min"), (120, -1, "seconds")])
def test_a_pump_or_a_time_that_moves_nothing_is_refused(pump: float, seconds: float, field: str) -> None:
    with pytest.raises(Refused) as refused:
        line_volume_ml(pump, seconds=seconds)
    assert refused.value.field == field


@given(st.floats(1, 600), st.floats(1, 600), st.floats(1, 10))
def test_the_volume_grows_with_speed_and_time_alike(pump: float, seconds: float, more: float) -> None:
    once = line_volume_ml(pump, seconds=seconds)
    assert line_volume_ml(pump * more, seconds=seconds) == pytest.approx(once * more)
    assert line_volume_ml(pump, seconds=seconds * more) == pytest.approx(once * more)


def test_a_pair_that_keeps_every_distance_gets_no_remark() -> None:
    assert remarks(needle(4), needle(9), recent=(punctured(3.4), punctured(9.6))) == ()


@pytest.mark.parametrize(
    ("arterial", "venous", "expected"),
    [
        (needle(6), needle(10.5), ["needles.site-gap"]),
        (needle(6), needle(8), ["needles.site-gap", "needles.tip-gap"]),
        (needle(6, direction="against the flow"), needle(8), ["needles.site-gap"]),
        (needle(3.5), needle(10), ["needles.anastomosis-gap"]),
        (needle(12), needle(5), ["needles.order"]),
        (needle(5), needle(12, direction="against the flow"), ["needles.venous-direction"]),
        (needle(None), needle(12), ["needles.site-gap"]),
    ],
)
def test_each_distance_has_its_rule(arterial: Site, venous: Site, expected: list[str]) -> None:
    assert rules(arterial, venous) == expected


def test_five_centimetres_as_shown_are_five_centimetres() -> None:
    assert rules(needle(6.1), needle(11.099999)) == []


def test_a_needle_beside_a_recent_puncture_names_the_distance() -> None:
    (remark,) = remarks(needle(5), needle(12), recent=(punctured(5.5), punctured(None), punctured(8)))
    assert (remark.rule, remark.role, remark.manner) == ("needles.recent-gap", "arterial", "advice")
    assert "0.5 cm from a recent puncture" in remark.sentence


def test_a_buttonhole_goes_through_its_own_track_without_a_remark() -> None:
    track = needle(5, technique="buttonhole")
    assert rules(track, needle(12), recent=(punctured(5),)) == []


def test_distances_are_told_within_one_segment_only() -> None:
    assert rules(needle(5), needle(5, segment="other vein"), recent=(punctured(5, segment="third"),)) == []


def test_what_is_asked_is_a_question_and_the_rest_advice() -> None:
    asked = remarks(needle(12), needle(5, direction="against the flow"))
    assert {each.rule: each.manner for each in asked} == {
        "needles.order": "question",
        "needles.venous-direction": "question",
    }
    assert all(each.manner == "advice" for each in remarks(needle(3), needle(5)))


@pytest.mark.parametrize(
    ("arterial", "venous", "field"),
    [
        (needle(-1), needle(5), "arterial.along_cm"),
        (needle(5), needle(20.5), "venous.along_cm"),
        (needle(float("nan")), needle(5), "arterial.along_cm"),
        (needle(5), needle(5.04), "venous.along_cm"),
    ],
)
def test_what_cannot_be_is_refused(arterial: Site, venous: Site, field: str) -> None:
    with pytest.raises(Refused) as refused:
        remarks(arterial, venous)
    assert refused.value.field == field


def test_without_a_known_length_the_far_end_is_not_checked() -> None:
    assert rules(needle(5), needle(60), length_cm=None) == []


def test_a_buttonhole_in_a_graft_is_refused_as_a_plan_and_recorded_when_done() -> None:
    track = needle(5, technique="buttonhole")
    with pytest.raises(Refused, match="fistulas only"):
        remarks(track, needle(12), kind="graft")
    assert remarks(track, needle(12), kind="graft", planned=False) == ()
    assert remarks(track, needle(12), kind="fistula") == ()


def test_each_rule_has_its_section() -> None:
    said = remarks(needle(3, direction="with the flow"), needle(5), recent=(punctured(3),))
    said += remarks(needle(12), needle(5, direction="against the flow"))
    assert len({each.rule for each in said}) == 6
    sections = README.read_text(encoding="utf-8").splitlines()
    assert all(f"### {each.rule}" in sections for each in said)


def test_after_an_infiltration_the_place_rests_until_a_person_ends_it() -> None:
    zone = zone_after_infiltration(punctured(1.5), half_length_cm=2)
    assert (zone.from_cm, zone.to_cm, zone.action, zone.why) == (0, 3.5, "keep off", "bruise")
    assert (zone.since, zone.until) == (date(2025, 3, 3), None)
    with pytest.raises(Refused, match="not recorded"):
        zone_after_infiltration(punctured(None))
