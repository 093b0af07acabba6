"""What the numbers of an access say together: each statement with its words, its doubt and what went into it."""

from typing import Any

import pytest

from access.records import history
from access.records.history.weighed import weighed
from access.records.models import VascularAccess
from tests.records.bedside import NORMAL, NOW, Bedside, ago, running, static

SHORT = {"configuration": "forearm straight graft", "needled_from_cm": 4.0, "needled_to_cm": 10.0}  # 13 sites.

pytestmark = pytest.mark.django_db


@pytest.fixture
def north() -> Bedside:
    return Bedside()


def asked(north: Bedside, access: VascularAccess) -> dict[str, dict[str, Any]]:
    profile = history.profile(access, as_of=NOW)
    found = weighed(profile, protocol=history.in_force(north.clinic), as_of=NOW)
    return {one["id"]: one for one in found}


def inputs(item: dict[str, Any]) -> dict[str, str]:
    return {one["name"]: one["value"] for one in item["worked"]["inputs"]}


def test_every_statement_says_how_it_is_worked_out_and_how_sure_it_is(north: Bedside) -> None:
    found = asked(north, north.access(north.patient()))
    assert list(found) == ["narrowing", "evenness", "rests"]
    for item in found.values():
        assert item["title"] and item["sentence"].endswith(".")
        assert item["worked"]["formula"] and item["worked"]["source"] and item["worked"]["doubt"]


def test_an_access_of_which_nothing_is_known_is_told_nothing_but_what_is_missing(north: Bedside) -> None:
    found = asked(north, north.access(north.patient(), needled_to_cm=3.5))
    place = found["narrowing"]
    assert place["sentence"] == "Cannot tell: nothing measured."
    (missing,) = place["lines"]
    assert missing.startswith("Missing, or weak: flow: not measured; arterial ratio: not measured")
    assert place["worked"]["inputs"] == []
    assert found["evenness"]["sentence"] == "No punctured place is recorded."
    assert (found["rests"]["sentence"], found["rests"]["table"]) == (
        "The needled length ends within 4 cm of the anastomosis.",
        None,
    )


def narrowing_outlet(north: Bedside) -> VascularAccess:
    """A graft whose flow fell while both ratios rose: the worked example of ``narrowing.place`` in the handbook."""
    access = north.access(north.patient())
    north.flow(access, at=ago(300), ml_min=1100)
    north.flow(access, at=ago(5), ml_min=700)
    north.treatment(access, at=ago(300), findings=NORMAL, pressures=[static(30, 21), running(130, pump=300)])
    north.treatment(access, at=ago(5), findings=NORMAL, pressures=[static(62, 56), running(180, pump=300)])
    return access


def test_it_names_the_place_with_all_four_shares_and_leaves_the_last_word_to_imaging(north: Bedside) -> None:
    place = asked(north, narrowing_outlet(north))["narrowing"]
    assert place["sentence"].startswith("Fits a narrowing of the outlet best")
    assert place["sentence"].endswith("Imaging decides.")
    shares = place["lines"][0]
    assert shares.startswith("A narrowing of the outlet ") and shares.count("%") == 4
    assert "normal" not in place["sentence"].lower() + shares.lower()


def test_its_inputs_are_the_numbers_now_and_before_with_their_days(north: Bedside) -> None:
    given = inputs(asked(north, narrowing_outlet(north))["narrowing"])
    assert given["Flow"] == "700 mL/min, 13 March 2026; before 1100 mL/min, 22 May 2025"
    assert given["Venous pressure"] == "180 mmHg, 13 March 2026", "the one of May is too old"
    assert given["Pre-pump pressure"].startswith("\N{MINUS SIGN}")
    assert given["Taken at"].startswith("pump 300 mL/min, A 15G and V 15G, mean arterial pressure ")
    assert "Odd signs" not in given


def test_an_odd_sign_stands_in_the_sentence_and_what_came_before_a_change_is_said_not_to_count(north: Bedside) -> None:
    access = narrowing_outlet(north)
    north.event(access, on=ago(20).date(), what="angioplasty")
    north.examination(access, at=ago(1), findings=NORMAL | {"pulse": "pulsatile"})
    place = asked(north, access)["narrowing"]
    assert "no number silences it" in place["sentence"]
    assert "Only what was measured since the angioplasty of 26 February 2026 counts." in place["lines"]
    assert inputs(place)["Flow"] == "700 mL/min, 13 March 2026"
    assert inputs(place)["Odd signs"] == "pulsatile pulse"


def needled(north: Bedside, access: VascularAccess, *, treatments: int, spread: bool) -> None:
    for number in range(treatments):
        step = number % 8 if spread else 0
        north.treatment(access, at=ago(2 + 2 * number), sites=(4 + step, 13 + step))


def test_needles_in_one_place_are_told_from_chance_and_needles_in_turn_are_not(north: Bedside) -> None:
    same, turn = (north.access(north.patient(name)) for name in ("Same", "Turn"))
    needled(north, same, treatments=20, spread=False)
    needled(north, turn, treatments=20, spread=True)
    told, even = (asked(north, one)["evenness"] for one in (same, turn))
    assert told["sentence"].startswith("50 % of 40 punctures lie within 2 cm (4 to 4 cm)")
    assert told["lines"] == [
        "Needles spread by chance alone would fill a stretch as much in fewer than 1 of 1000 such records."
    ]
    assert even["lines"][0].endswith(("of 100 such records.", "more than 99 of 100 such records."))
    assert "fewer" not in even["lines"][0]
    assert inputs(told)["Needled length"] == "3 to 24 cm"


def test_too_few_punctures_are_said_to_be_too_few(north: Bedside) -> None:
    access = north.access(north.patient())
    needled(north, access, treatments=5, spread=False)
    item = asked(north, access)["evenness"]
    assert item["sentence"].endswith("At least 36 punctures are needed to tell it from chance.")
    assert item["lines"] == []


def test_each_site_has_its_rest_in_a_row_along_the_vessel(north: Bedside) -> None:
    access = north.access(north.patient(), **SHORT)
    for days in (20, 9, 2):
        north.treatment(access, at=ago(days), sites=(4, 9))
    item = asked(north, access)["rests"]
    assert item["sentence"] == "Of 13 sites 2 were last needled 2 days ago; 11 never in the record."
    assert item["lines"] == ["A site usually rests 9 days (median)."]
    assert item["table"]["columns"] == ["Site, cm", "Days of rest", "Usual days", "Punctures"]
    assert item["table"]["rows"] == [
        ["4", "2", "9", "3"],
        ["4.5 to 8.5", "never needled", "–", "0"],
        ["9", "2", "9", "3"],
        ["9.5 to 10", "never needled", "–", "0"],
    ]


def test_a_vessel_never_needled_says_so(north: Bedside) -> None:
    item = asked(north, north.access(north.patient(), **SHORT))["rests"]
    assert item["sentence"] == "None of the 13 sites was needled in the record."
