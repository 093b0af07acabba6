"""Examination: the clinical indicators by group, the emergency table row by row, and its copy for the page."""

import json
from collections.abc import Mapping
from datetime import date
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import sources
from access.measures.emergency_table import EMERGENCY_TABLE, PASSING
from access.measures.examination import SIGNS, Group, as_table, depends_on_before, emergencies, indicators, signs
from access.measures.readings import ZoneReading
from access.measures.words import FINDINGS, URGENCIES, normal

ALL_NORMAL = {field: normal(field) for field in FINDINGS}
any_examination = st.fixed_dictionaries(
    {}, optional={field: st.sampled_from(readings) for field, readings in FINDINGS.items()}
)


def rows(findings: Mapping[str, str], *, before: Mapping[str, str] | None = None) -> list[tuple[str, str]]:
    """Ids and urgencies of the rows met by an otherwise normal examination."""
    return [(row.id, row.urgency) for row in emergencies({**ALL_NORMAL, **findings}, before=before)]


def test_every_sign_is_a_reading_of_its_field_and_never_the_normal_one() -> None:
    for sign in SIGNS:
        assert set(sign.readings) <= set(FINDINGS[sign.field]) - {normal(sign.field)}
        assert sources.source(sign.source)
        assert sign.group in get_args(Group)
    assert len({sign.id for sign in SIGNS}) == len(SIGNS)


def test_a_normal_examination_shows_neither_sign_nor_emergency() -> None:
    assert signs(ALL_NORMAL) == ()
    assert rows({}) == []
    assert emergencies({}, before=None) == ()


@pytest.mark.parametrize(
    ("field", "reading", "group"),
    [
        ("swelling", "arm", "outflow"),
        ("pulse", "pulsatile", "outflow"),
        ("bruit", "high-pitched", "outflow"),
        ("bruit", "broken", "outflow"),
        ("arm_raise", "does not collapse", "outflow"),
        ("pulse", "weak", "inflow"),
        ("thrill", "weak", "inflow"),
        ("augmentation", "none", "inflow"),
        ("arm_raise", "collapses too far", "inflow"),
        ("needling", "newly difficult", "inflow"),
        ("needling", "clots drawn", "inflow"),
        ("circuit", "target pump speed not reached", "inflow"),
    ],
)
def test_the_indicators_of_2019_point_to_their_side(field: str, reading: str, group: Group) -> None:
    findings = {**ALL_NORMAL, field: reading}
    assert len(indicators(findings)) == 1
    assert indicators(findings, group=group) == indicators(findings)
    assert indicators(findings, group="outflow" if group == "inflow" else "inflow") == ()


def test_a_sign_that_2019_does_not_list_is_a_sign_and_no_indicator() -> None:
    findings = {**ALL_NORMAL, "collaterals": "seen"}
    assert [sign.id for sign in signs(findings)] == ["collaterals"]
    assert indicators(findings) == ()


@pytest.mark.parametrize("reading", FINDINGS["skin"][:3])
def test_sound_skin_a_bruise_and_the_small_scab_of_a_puncture_ask_for_nothing(reading: str) -> None:
    assert rows({"skin": reading}) == []


@pytest.mark.parametrize(
    ("findings", "expected"),
    [
        ({"bleeding": "does not stop"}, ("bleeding-or-needle-out", "stat")),
        ({"circuit": "needle came out"}, ("bleeding-or-needle-out", "stat")),
        ({"circuit": "swelling while the pump runs"}, ("bleeding-or-needle-out", "stat")),
        ({"skin": "ulcer, open wound or dead skin"}, ("open-or-infected", "stat")),
        ({"skin": "redness that spreads or pus"}, ("open-or-infected", "stat")),
        ({"bleeding": "between treatments"}, ("open-or-infected", "stat")),
        ({"bulge": "grown since last time"}, ("open-or-infected", "stat")),
        ({"fever": "fever or chills", "swelling": "at the access"}, ("open-or-infected", "stat")),
        ({"fever": "fever or chills", "swelling": "arm"}, ("open-or-infected", "stat")),
        ({"fever": "fever or chills", "skin": "bruise"}, ("open-or-infected", "stat")),
        ({"thrill": "missing", "bruit": "missing"}, ("no-thrill-no-bruit", "stat")),
        ({"skin": "thin, shiny or pale over a bulge"}, ("thin-skin-or-scab", "asap")),
        ({"skin": "scab larger than a needle mark"}, ("thin-skin-or-scab", "asap")),
        ({"thrill": "missing"}, ("thrill-or-bruit-missing", "asap")),
        ({"bruit": "missing"}, ("thrill-or-bruit-missing", "asap")),
        ({"hand": "newly numb, weak or painful"}, ("hand", "asap")),
        ({"hand": "worse"}, ("hand", "asap")),
        ({"hand": "known symptoms, unchanged"}, ("hand-known", "routine")),
        ({"bulge": "known, unchanged"}, ("bulge", "routine")),
    ],
)
def test_each_row_of_the_table_is_met_by_its_findings(findings: dict[str, str], expected: tuple[str, str]) -> None:
    assert rows(findings) == [expected]


def test_fever_without_a_sign_at_the_access_is_not_in_the_table() -> None:
    assert rows({"fever": "fever or chills"}) == []


def test_a_thrill_missing_with_the_bruit_not_listened_for_still_asks_a_second_examiner() -> None:
    assert [row.id for row in emergencies({"thrill": "missing"}, before=None)] == ["thrill-or-bruit-missing"]


def test_a_new_bulge_with_thin_skin_where_there_was_none_is_stat_and_the_higher_urgency_stands_first() -> None:
    thin = {"bulge": "new", "skin": "thin, shiny or pale over a bulge"}
    assert [urgency for _, urgency in rows(thin, before={"bulge": "none"})] == ["stat", "asap"]
    assert [urgency for _, urgency in rows(thin, before={"bulge": "known, unchanged"})] == ["asap"]


def test_a_scab_that_has_not_healed_after_seven_days_is_asap() -> None:
    scab = ZoneReading(from_cm=8, to_cm=9, why="scab", action="keep off", since=date(2025, 3, 1))
    eighth = emergencies({}, before=None, zones=[scab], on=date(2025, 3, 9))
    assert [(row.id, row.urgency) for row in eighth] == [("thin-skin-or-scab", "asap")]
    assert emergencies({}, before=None, zones=[scab], on=date(2025, 3, 8)) == ()
    assert emergencies({}, before=None, zones=[scab]) == ()


def test_the_panels_ask_what_the_table_says() -> None:
    table = {row.id: row for row in EMERGENCY_TABLE}
    for row in table.values():
        assert row.needs_who_was_told == row.needs_reason_to_needle == row.stop
        assert row.needs_physician_to_needle == (row.stop and row.urgency == "stat")
        assert row.first and row.time_in_words and sources.source(row.source)
    assert {row.id for row in table.values() if row.second_examiner} == {"thin-skin-or-scab", "thrill-or-bruit-missing"}
    assert not table["thrill-or-bruit-missing"].stop
    assert table["no-thrill-no-bruit"].time_in_words == "now, before any needle"
    assert table["thrill-or-bruit-missing"].time_in_words == "today, before the needles"


def test_the_table_knows_only_words_of_the_examination() -> None:
    for row in EMERGENCY_TABLE:
        for condition in row.when:
            for readings in (condition.seen, condition.unless, condition.before):
                for field, allowed in readings.items():
                    assert set(allowed) <= set(FINDINGS[field])
    for readings in (PASSING, *(row.known for row in EMERGENCY_TABLE)):
        assert all(set(allowed) <= set(FINDINGS[field]) for field, allowed in readings.items())


@given(any_examination, any_examination)
def test_only_where_it_depends_on_the_occasion_before_does_that_change_the_rows(
    findings: dict[str, str], before: dict[str, str]
) -> None:
    if not depends_on_before(findings):
        assert emergencies(findings, before=before) == emergencies(findings, before=None)


def test_a_new_bulge_with_thin_skin_depends_on_the_occasion_before() -> None:
    assert depends_on_before({"bulge": "new", "skin": "thin, shiny or pale over a bulge"})
    assert not depends_on_before({"bulge": "new", "skin": "sound"})


@given(any_examination, st.none() | any_examination)
def test_the_page_finds_the_same_rows_by_the_plain_table(
    findings: dict[str, str], before: dict[str, str] | None
) -> None:
    table = json.loads(json.dumps(as_table()))

    def has(readings: dict[str, list[str]], where: dict[str, str]) -> bool:
        return all(where.get(field) in allowed for field, allowed in readings.items())

    def met(condition: dict[str, dict[str, list[str]]]) -> bool:
        unless = any(findings.get(field) in allowed for field, allowed in condition["unless"].items())
        return has(condition["seen"], findings) and has(condition["before"], before or {}) and not unless

    by_page = [row["id"] for row in table if any(met(condition) for condition in row["when"])]
    assert sorted(by_page) == sorted(row.id for row in emergencies(findings, before=before))


@given(any_examination, st.none() | any_examination)
def test_rows_come_most_urgent_first(findings: dict[str, str], before: dict[str, str] | None) -> None:
    ranks = [URGENCIES.index(row.urgency) for row in emergencies(findings, before=before)]
    assert ranks == sorted(ranks, reverse=True)
