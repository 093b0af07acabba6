"""The flags of the whole demo as it really is: those of each story, and what they have to do with the truth.

It is made once for a run and read from its file; that file is of SQLite whichever store the other tests run on.
"""

import sqlite3
import tomllib
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from access.practice.accesses import FIRST_DAY
from access.practice.calendar import Calendar
from access.practice.clinic import SEED
from access.practice.course import Course, courses
from access.practice.people import people, places
from tests.practice.prepared import ON_SQLITE, Prepared, demo_database

__all__ = ["demo_database"]
pytestmark = pytest.mark.skipif(not ON_SQLITE, reason="The prepared demo is the same SQLite file on either store.")

FIXTURE = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "expected-flags.toml"
EXPECTED = tomllib.loads(FIXTURE.read_text(encoding="utf-8"))
STORIES = {one.name: one.story for one in people() if not one.is_healthy}
# What may raise a flag where the vessel is narrowed at a place, beside the signs.
ANSWERS = {
    "outlet": {"outlet.rise", "outlet.static-ratio", "outlet.dynamic"},
    "within": {"static.pattern"},
    "inflow": {"flow.trend", "inflow.fall", "inflow.pre-pump"},
}


@pytest.fixture(scope="module")
def flags(demo_database: Prepared) -> dict[str, set[str]]:
    """The rules that are flagged at each patient."""
    asked = (
        "SELECT p.name, f.rule FROM review_flag f JOIN records_patient p ON p.id = f.patient_id WHERE f.state = 'open'"
    )
    found: dict[str, set[str]] = {one.name: set() for one in people()}
    with closing(sqlite3.connect(f"file:{demo_database.file}?mode=ro", uri=True)) as store:
        for name, rule in store.execute(asked):
            found[name].add(rule)
    return found


@pytest.fixture(scope="module")
def truth(demo_database: Prepared) -> dict[str, Course]:
    """What really went on, up to the same moment."""
    as_of = demo_database.as_of
    calendar = Calendar(opened=as_of + timedelta(days=FIRST_DAY), as_of=as_of, places=places())
    return {one.person.name: one for one in courses(people(), calendar=calendar, seed=SEED)}


def test_every_story_has_its_expected_flags() -> None:
    assert sorted(EXPECTED["patient"]) == sorted(STORIES)


@pytest.mark.parametrize("name", STORIES)
def test_the_flags_of_a_story_are_the_expected_ones(name: str, flags: dict[str, set[str]]) -> None:
    expected = EXPECTED["patient"][name]
    assert set(expected["must"]) <= flags[name]
    assert flags[name] <= {*expected["must"], *expected["may"]}


def test_healthy_accesses_are_mostly_not_flagged(flags: dict[str, set[str]]) -> None:
    healthy = [one.name for one in people() if one.is_healthy]
    flagged = {name: flags[name] for name in healthy if flags[name]}
    print(f"{len(flagged)} of {len(healthy)} healthy accesses have a flag: {flagged}")
    assert len(flagged) / len(healthy) <= EXPECTED["healthy_share"]


def test_every_real_narrowing_is_flagged_by_a_rule_for_its_place(
    flags: dict[str, set[str]], truth: dict[str, Course]
) -> None:
    narrowed = {name: one.truth.real_narrowing for name, one in truth.items() if one.truth.real_narrowing}
    assert set(narrowed.values()) == set(ANSWERS)
    for name, place in narrowed.items():
        assert flags[name] & ANSWERS[place], name


def test_what_is_flagged_by_flow_really_flows_little(flags: dict[str, set[str]], truth: dict[str, Course]) -> None:
    limits = {"graft": 600, "fistula": 500}
    for name in STORIES:
        course = truth[name]
        lately = course.running.flow_ml_min[course.days > -60]
        if "flow.limit" in flags[name]:
            # A reading differs from the truth by 14 % (ndt-2005), and a flow by 2 of these in nineteen of twenty.
            assert lately.min() < 1.33 * limits[course.truth.kind], name


def test_the_narrowing_within_the_graft_is_not_seen_by_the_venous_pressure(
    flags: dict[str, set[str]], truth: dict[str, Course]
) -> None:
    [name] = [name for name, one in truth.items() if one.truth.real_narrowing == "within"]
    assert not flags[name] & ANSWERS["outlet"]
    course = truth[name]
    ratio = course.running.venous_site_mmhg / course.mean_arterial_mmhg
    assert np.all(ratio < 0.5)


def test_the_rules_of_the_outlet_speak_where_the_outlet_is_narrowed_and_nowhere_else(
    flags: dict[str, set[str]], truth: dict[str, Course]
) -> None:
    for name, course in truth.items():
        if flags[name] & ANSWERS["outlet"] and not course.person.is_healthy:
            assert course.truth.real_narrowing == "outlet", name


def test_referrals_and_decisions_stand_in_their_states(demo_database: Prepared) -> None:
    asked = "SELECT p.name, r.state FROM referral_referral r JOIN records_patient p ON p.id = r.patient_id"
    decided = "SELECT DISTINCT outcome FROM review_decision"
    with closing(sqlite3.connect(f"file:{demo_database.file}?mode=ro", uri=True)) as store:
        assert dict(store.execute(asked).fetchall()) == {
            "Tomasz Brandt": "draft",
            "Leila Haddad": "sent",
            "Patience Moyo": "decided",
        }
        assert {row[0] for row in store.execute(decided)} == {"refer", "check again", "no change", "already planned"}


def test_the_demo_is_made_well_within_a_minute_and_says_what_it_took(demo_database: Prepared) -> None:
    parts = [line for line in demo_database.said if line.endswith(" s")]
    seconds = [float(line.rsplit(":", 1)[1].removesuffix(" s")) for line in parts]
    print(*demo_database.said, sep="\n")
    assert len(seconds) == 7
    # One core, quiet: about 27 s; the bar leaves room for a machine on which the other tests run beside it.
    assert sum(seconds) < 120
