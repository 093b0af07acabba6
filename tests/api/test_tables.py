"""The tables that the page looks answers up in come whole, and as JSON that a browser reads."""

import json
from collections.abc import Callable

from access.measures import words
from tests.api.conftest import Asking
from tests.cast import Cast

Ask = Callable[..., Asking]


def test_the_tables_are_strict_json_with_every_vocabulary(asking: Ask, cast: Cast) -> None:
    answer = asking(cast.ada).get("tables")
    body = json.loads(answer.content, parse_constant=lambda name: f"not JSON: {name}")
    assert body["findings"]["thrill"][0] == words.normal("thrill")
    assert body["gauge_by_speed"][-1]["from_ml_min"] is None or body["gauge_by_speed"][0]["gauge"] in (14, 15, 16, 17)
    assert "not JSON" not in json.dumps(body)
    assert body["bounds"]["venous_mmhg"]["unit"] == "mmHg"
    assert {row["urgency"] for row in body["emergency"]} >= {"stat", "asap"}


def test_a_clinic_is_told_how_many_limits_wait_for_confirmation(asking: Ask, cast: Cast) -> None:
    protocol = asking(cast.ada).get("protocol").json()
    waiting = [one for one in protocol["limits"] if not one["confirmed"]]
    assert protocol["unconfirmed"] == len(waiting) > 0
    assert asking(cast.ada).get("today").json()["unconfirmed_limits"] == len(waiting)


def test_confirming_a_limit_takes_it_off_the_list_and_says_who(asking: Ask, cast: Cast) -> None:
    ben = asking(cast.ben)
    before = ben.get("protocol").json()
    limit = next(one for one in before["limits"] if not one["confirmed"])
    body = {"value": limit["value"], "confirmed": True, "why": "Our own review"}
    after = ben.put(f"protocol/limits/{limit['id']}", body)
    assert after.status_code == 200
    assert after.json()["unconfirmed"] == before["unconfirmed"] - 1
    now = next(one for one in after.json()["limits"] if one["id"] == limit["id"])
    assert now["confirmed_by"] == cast.ben.full_name and now["why"] == "Our own review"


def test_a_limit_that_cannot_be_leaves_nothing_behind(asking: Ask, cast: Cast) -> None:
    ben = asking(cast.ben)
    body = {"value": -5, "confirmed": True, "why": "A slip"}
    assert ben.put("protocol/limits/flow.below.graft", body).status_code == 422
    assert ben.put("protocol/limits/no.such.limit", body).status_code == 422
    assert ben.get("protocol").status_code == 200
