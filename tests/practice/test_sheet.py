"""What a nurse would have written: documents that the records take as they are, with noise and gaps of real life."""

from collections import Counter
from datetime import UTC, datetime
from functools import cache
from typing import Any

import numpy as np
import pytest

from access.measures.words import FINDINGS, NEVER_FILLED_TOGETHER, normal
from access.practice.people import staff
from access.practice.sheet import Written, written
from access.records.entry.document import normal as normal_form
from access.records.entry.fields import Notes
from tests.practice.invented import IDS, every_course, healthy, of_story


@cache
def sheets(name: str, days_later: int = 0) -> list[Written]:
    """Every document of a person."""
    return list(written(every_course(days_later)[name], staff=staff(), ids=IDS))


def all_sheets() -> list[dict[str, Any]]:
    """Every document of the clinic."""
    return [one.document for name in every_course() for one in sheets(name)]


def by_two_needles() -> list[dict[str, Any]]:
    """The documents of treatments with two needles in healthy accesses."""
    listed = [one.document for course in healthy() for one in sheets(course.person.name)]
    return [one for one in listed if one["frame"]["route"] == "two needles"]


def test_the_records_refuse_nothing_of_what_was_written() -> None:
    for document in all_sheets()[::7]:
        notes = Notes()
        normal_form(document, notes)
        assert notes.wrong == []


def test_a_sheet_is_the_same_whenever_it_is_made() -> None:
    for name in ("Marguerite Osei", "Ruben Castellano", "Graça Monteiro", "Agnes Lindgren"):
        now, later = sheets(name), sheets(name, 20)
        assert later[: len(now)] == now
        assert len(later) > len(now)


def test_no_two_parts_of_the_clinic_share_an_id() -> None:
    listed = [one.id for name in every_course() for one in sheets(name)]
    for document in all_sheets():
        for part in ("examinations", "needles", "pressures"):
            listed += [one["id"] for one in document.get(part, [])]
    assert len(set(listed)) == len(listed)


def test_readings_stand_on_the_steps_that_people_read_by() -> None:
    running = [one for document in by_two_needles()[::20] for one in document["pressures"] if one["pump_ml_min"]]
    assert all(one["venous_mmhg"] % 5 == 0 == one["pre_pump_arterial_mmhg"] % 5 for one in running)
    static = [one for document in by_two_needles() for one in document["pressures"] if not one["pump_ml_min"]]
    assert all(one["venous_static_mmhg"] == round(one["venous_static_mmhg"]) for one in static)


def test_some_readings_are_missing_and_most_are_there() -> None:
    documents = by_two_needles()
    standard = sum(any(one["minute"] == 3 for one in each["pressures"]) for each in documents) / len(documents)
    timed = sum(bool(each["after"]["bleeding"]) for each in documents) / len(documents)
    assert 0.9 < standard < 0.98
    assert 0.88 < timed < 0.97


def test_venous_pressure_wanders_by_its_published_30_to_40_mmhg_in_a_treatment() -> None:
    # Source venous-pressure-drift (secondary): in one treatment it wanders by 30 to 40 mmHg. What is read at minute
    # 30 and minute 180 differs by less than that in nineteen of twenty treatments, and by more than a few mmHg in most.
    changes = []
    for document in by_two_needles():
        read = {one["minute"]: one["venous_mmhg"] for one in document["pressures"] if one["pump_ml_min"] > 200}
        if 30 in read and 180 in read:
            changes.append(read[180] - read[30])
    width = np.percentile(changes, 97.5) - np.percentile(changes, 2.5)
    assert 30 <= width <= 45


def test_the_cuff_is_on_the_other_arm_and_never_upside_down() -> None:
    for course in every_course().values():
        other = "right arm" if course.truth.side == "left" else "left arm"
        read = [one for each in sheets(course.person.name)[::9] for one in each.document.get("pressures", [])]
        with_cuff = [one for one in read if "systolic_mmhg" in one]
        assert all(one["cuff_limb"] == other and one["systolic_mmhg"] > one["diastolic_mmhg"] for one in with_cuff)


def test_thrill_and_bruit_are_never_filled_together_and_together_only_what_is_normal() -> None:
    for document in all_sheets()[::5]:
        for one in document.get("examinations", []):
            assert not NEVER_FILLED_TOGETHER & set(one["filled_together"])
            assert all(one["findings"][field] == normal(field) for field in one["filled_together"])
            assert set(one["findings"]) <= set(FINDINGS)


def test_examinations_of_healthy_accesses_are_mostly_normal() -> None:
    odd: Counter[str] = Counter()
    every = 0
    for document in by_two_needles():
        for one in document["examinations"]:
            every += 1
            odd.update(name for name, word in one["findings"].items() if word != normal(name) and name != "skin")
    assert 0 < sum(odd.values()) / every < 0.01


def test_a_night_treatment_runs_over_midnight_and_keeps_its_clinic_day() -> None:
    [last] = [one for one in sheets("Viktor Antonescu") if one.document["clinic_day"] == "2026-11-23"]
    frame = last.document["frame"]
    started, ended = datetime.fromisoformat(frame["started_at"]), datetime.fromisoformat(frame["ended_at"])
    assert (started.day, ended.day) == (23, 24)
    after_midnight = [one for one in last.document["pressures"] if one["measured_at"] >= "2026-11-24"]
    assert after_midnight
    assert last.received_at > ended.astimezone(UTC)


def test_who_found_the_clotted_graft_told_somebody_and_put_in_no_needle() -> None:
    name = of_story("clotted").person.name
    last = sheets(name)[-1].document
    [seen] = last["examinations"]
    assert (seen["findings"]["thrill"], seen["findings"]["bruit"]) == ("missing", "missing")
    assert seen["told"]
    assert (last["needles"], last["frame"]["route"]) == ([], "catheter")


@pytest.mark.parametrize("story", ["new fistula beside a catheter", "needle and lumen"])
def test_static_pressures_are_not_read_without_two_needles(story: str) -> None:
    for one in sheets(of_story(story).person.name):
        assert all("venous_static_mmhg" not in row for row in one.document.get("pressures", []))
