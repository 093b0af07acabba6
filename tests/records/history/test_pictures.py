"""Pictures from numbers alone: those frozen by an earlier version are drawn as they are, with what they hold."""

import json
from datetime import datetime
from typing import Any

import pytest

from access.records.history.pictures import charts, small_chart

# As a referral froze them before there were levels, baselines, sentences and workings.
FROZEN: dict[str, Any] = json.loads("""
{
  "until": "2026-03-18T10:00:00+01:00",
  "flow": {
    "points": [
      {"at": "2026-01-10T08:00:00+01:00", "value": 900, "low": 712, "high": 1137, "mark": ""},
      {"at": "2026-02-10T08:00:00+01:00", "value": 850, "low": null, "high": null, "mark": "not comparable"}
    ],
    "limits": [{"value": 600, "name": "limit 600 mL/min"}]
  },
  "ratio": {
    "points": [{"at": "2026-02-10T08:03:00+01:00", "value": 0.3412, "low": null, "high": null, "mark": "V"}],
    "limits": [{"value": 0.5, "name": "venous limit 0.50"}],
    "formula": "hydrostatic"
  },
  "venous": {
    "points": [{"at": "2026-02-10T08:03:00+01:00", "value": 140, "low": null, "high": null, "mark": ""}],
    "bands": [{"low": 118.0, "high": 164.0, "name": "usual"}],
    "pump_ml_min": 350,
    "note": "usual since May 2025"
  },
  "arterial": {"points": [], "bands": [], "pump_ml_min": null},
  "events": [{"on": "2026-01-20", "word": "angioplasty"}]
}
""")


@pytest.mark.parametrize("width", [360, 560, 720])
def test_numbers_frozen_by_an_earlier_version_are_still_drawn(width: float) -> None:
    found = charts(FROZEN, width=width)
    assert [one["id"] for one in found] == ["flow", "ratio", "pressures"]
    assert [(one["statements"], one["worked"]) for one in found] == [([], None)] * 3
    assert found[0]["table"]["columns"] == ["day", "value (mL/min)", "interval", "remark"]
    assert all("<polygon" not in one["svg"] for one in found)


def test_what_the_numbers_say_of_themselves_stands_with_the_chart() -> None:
    level = [{"at": one["at"], "value": 870.4, "low": 780.2, "high": 971.6} for one in FROZEN["flow"]["points"]]
    working = {"inputs": [], "formula": "f", "source": "s", "doubt": "d"}
    flow = FROZEN["flow"] | {"level": level, "statements": ["Level now about 870."], "worked": working}
    found = charts(FROZEN | {"flow": flow}, width=720)[0]
    assert (found["statements"], found["worked"]) == (["Level now about 870."], working)
    assert [row[3] for row in found["table"]["rows"]] == ["870 (780 to 972)", "", "870 (780 to 972)"]
    assert "Estimated level 870 mL/min (90 % interval 780 to 972) on 10 Feb 2026." in found["svg"]


def test_the_small_chart_of_ratios_follows_the_venous_needle() -> None:
    both = [FROZEN["ratio"]["points"][0] | {"value": 0.61, "mark": "A"}, FROZEN["ratio"]["points"][0]]
    until = datetime.fromisoformat(FROZEN["until"])
    small = small_chart("ratio", FROZEN["ratio"] | {"points": both}, events=FROZEN["events"], until=until)
    assert small["newest"] == "0.34"
