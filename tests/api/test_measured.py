"""Tests over the wire: recirculation and flow computed on the spot, and corrections that say why."""

from collections.abc import Callable
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from tests.api.conftest import Asking, save
from tests.cast import Cast, at

Ask = Callable[..., Asking]


def a_draw(cast: Cast, **changes: Any) -> dict[str, Any]:
    """Three samples drawn as they should be, at the right fistula."""
    return {
        "patient": str(cast.finn.pk),
        "access": str(cast.fistula.pk),
        "measured_at": at("07:00"),
        "systemic": 60.0,
        "arterial": 51.0,
        "venous": 15.0,
        "unit": "mg/dL",
        "systemic_site": "arterial line after slow flow",
        "pump_ml_min": 350.0,
        "slow_flow_ml_min": 120.0,
        "slow_flow_seconds": 10.0,
        "minutes_into_treatment": 30.0,
        "arterial_venous_drawn_at": at("07:00"),
        "systemic_drawn_at": at("07:01"),
        "ultrafiltration_off": True,
        "lines": "right",
        **changes,
    }


def test_sixty_fifty_one_fifteen_reads_twenty_percent_with_an_interval(asking: Ask, cast: Cast) -> None:
    # By arithmetic: 100 (60 - 51) / (60 - 15) = 20; the formula is that of Kapoian et al., Kidney Int 1997;52:839.
    body = asking(cast.ada).put(f"recirculations/{uuid7()}", save(a_draw(cast)), new=True).json()
    result = body["result"]
    assert result["percent"] == pytest.approx(20)
    assert result["valid"] and result["low_percent"] < 20 < result["high_percent"]
    assert "reversed" in result["check_first"][0]


def test_a_sample_from_a_vein_of_the_other_arm_makes_the_method_not_valid(asking: Ask, cast: Cast) -> None:
    # Sherman 1994 prints S 58, A 48, V 23 -> 29 % with S from the other arm, at an access that was sound.
    draw = a_draw(cast, systemic=58.0, arterial=48.0, venous=23.0, systemic_site="peripheral vein")
    body = asking(cast.ada).put(f"recirculations/{uuid7()}", save(draw), new=True).json()
    assert not body["result"]["valid"]
    assert body["result"]["method"].startswith("method not valid")
    assert body["flags"] == []


def test_values_may_come_later_and_the_test_waits(asking: Ask, cast: Cast) -> None:
    browser, record = asking(cast.ada), uuid7()
    empty = a_draw(cast, systemic=None, arterial=None, venous=None)
    first = browser.put(f"recirculations/{record}", save(empty), new=True).json()
    assert first["result"]["waiting"]
    waiting = browser.get(f"patients/{cast.finn.pk}/tests").json()["waiting"]
    assert [one["id"] for one in waiting] == [str(record)]
    filled = browser.put(f"recirculations/{record}", save(a_draw(cast)), version=first["version"])
    assert filled.status_code == 200 and filled.json()["result"]["percent"] == pytest.approx(20)
    assert browser.get(f"recirculations/{record}").json()["result"]["percent"] == pytest.approx(20)


REFUSED: list[tuple[str, dict[str, Any]]] = [
    ("venous", {"systemic": 15.0, "venous": 60.0, "arterial": 40.0}),
    ("arterial", {"arterial": 10.0}),
    ("unit", {"unit": "g/L"}),
    ("pump_ml_min", {"pump_ml_min": 4000.0}),
    ("measured_at", {"measured_at": at("23:00")}),
]


@pytest.mark.parametrize(("field", "changes"), REFUSED)
def test_a_draw_that_cannot_be_is_refused_at_a_field(
    asking: Ask, cast: Cast, field: str, changes: dict[str, Any]
) -> None:
    answer = asking(cast.ada).put(f"recirculations/{uuid7()}", save(a_draw(cast, **changes)), new=True)
    assert answer.status_code == 422
    named = {one["field"] for one in answer.json()["fields"]}
    assert named & {field, "systemic"}


def test_a_correction_needs_its_reason(asking: Ask, cast: Cast) -> None:
    browser, record = asking(cast.ada), uuid7()
    first = browser.put(f"recirculations/{record}", save(a_draw(cast)), new=True).json()
    changed = a_draw(cast, arterial=52.0)
    silent = browser.put(f"recirculations/{record}", save(changed), version=first["version"])
    assert silent.status_code == 422 and silent.json()["fields"][0]["field"] == "reason"
    said = browser.put(f"recirculations/{record}", save(changed, reason="misread"), version=first["version"])
    assert said.status_code == 200 and said.json()["version"] == first["version"] + 1


def test_a_flow_by_reversed_lines_is_computed(asking: Ask, cast: Cast) -> None:
    # By arithmetic on Krivitski, Kidney Int 1995;48:244: 300 (1 / .30 - 1) = 700.
    flow = {
        "patient": str(cast.finn.pk),
        "access": str(cast.fistula.pk),
        "measured_at": at("07:00"),
        "method": "ultrasound dilution",
        "inputs": {"ml_min": 700.0},
        "lines": "reversed",
        "lines_put_back_by": "Ada",
        "lines_put_back_at": at("07:10"),
        "arterial_direction": "against the flow",
    }
    body = asking(cast.ada).put(f"flows/{uuid7()}", save(flow), new=True).json()
    assert body["result"]["flow_ml_min"] == pytest.approx(700)
    assert body["result"]["low_ml_min"] < 700 < body["result"]["high_ml_min"]
