"""Pressures against the own baseline: the last six in words, the band of a chart, and what has none."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from access.measures import protocol
from access.measures.readings import AccessProfile, DynamicReading, EventReading, RatioReading, TreatmentReading
from access.measures.words import NeedleRole, RatioFormula
from access.records.history.baselines import derived, last_against, line_pressures, newest_formula, ratio_baseline

NOW = datetime(2026, 3, 18, 9, tzinfo=UTC)
PROTOCOL = protocol.load("kdoqi-2006")
LONG_AGO = NOW - timedelta(days=3000)


def profile(**series: Any) -> AccessProfile:
    whole = {"kind": "graft", "configuration": "forearm loop graft", "side": "left"} | series
    return AccessProfile(access="a", **whole)


def ratios(
    values: Sequence[float], *, role: NeedleRole = "venous", formula: RatioFormula = "hydrostatic"
) -> list[RatioReading]:
    """One a fortnight, the last one today."""
    return [
        RatioReading(
            id=f"{role} {row}",
            at=NOW - timedelta(days=14 * (len(values) - 1 - row)),
            role=role,
            ratio=one,
            formula=formula,
        )
        for row, one in enumerate(values)
    ]


def weeks(venous_mmhg: Sequence[float]) -> AccessProfile:
    """Three treatments a week at one pump speed, all of a week with the same venous pressure."""
    days = [7 * (len(venous_mmhg) - 1 - week) + day for week in range(len(venous_mmhg)) for day in (2, 1, 0)]
    treatments = [TreatmentReading(id=f"t{day}", at=NOW - timedelta(days=day), route="two needles") for day in days]
    dynamics = [
        DynamicReading(
            id=f"d{one.id}", treatment=one.id, at=one.at, minute=3, pump_ml_min=300,
            pre_pump_arterial_mmhg=None, gauge=15,
            venous_mmhg=venous_mmhg[row // 3] + (-3, 0, 3)[row % 3], mean_arterial_mmhg=93, hematocrit_fraction=0.35,
        )
        for row, one in enumerate(treatments)
    ]  # fmt: skip
    return profile(treatments=tuple(treatments), dynamics=tuple(dynamics))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([170, 130, 165, 172, 140, 181], "4 of the last 6 above the usual 118 to 164"),
        ([100, 130, 165, 140, 150, 90], "of the last 6, 1 above and 2 below the usual 118 to 164"),
        ([164.4, 118, 140, 150, 117.6, 120], "the last 6 within the usual 118 to 164"),  # Compared as shown.
        ([170, 180, 190], "the last 3 above the usual 118 to 164"),
        ([150], "the last one within the usual 118 to 164"),
        ([500] * 10 + [150] * 6, "the last 6 within the usual 118 to 164"),
    ],
)
def test_the_last_six_are_counted_against_the_range(values: list[float], words: str) -> None:
    assert last_against(values, low=118, high=164, range_="the usual 118 to 164", decimals=0) == words


def test_ratios_are_held_against_the_level_of_the_first_ones_and_the_band_holds_nine_of_ten() -> None:
    found = ratio_baseline(
        profile(ratios=tuple(ratios([0.35, 0.33, 0.37, 0.36, 0.34, 0.35, 0.35, *[0.60] * 4]))),
        protocol=PROTOCOL,
        as_of=NOW,
        formula="hydrostatic",
    )
    (band,) = found.bands
    assert (band["name"], band["mark"]) == ("baseline V", "V")
    assert (band["low"] + band["high"]) / 2 == pytest.approx(0.35, abs=0.001)
    # A reading errs by .055, the median of seven of them by .055 sqrt(.2104): 1.645 times both together.
    assert (band["high"] - band["low"]) / 2 == pytest.approx(1.645 * 0.055 * (1 + 0.2104) ** 0.5, abs=0.001)
    assert found.statements[0].startswith("Venous: 4 of the last 6 above the baseline of 0.25 to 0.45 (usual since ")


def test_both_needles_share_one_note_and_other_height_formulas_stay_apart() -> None:
    both = [*ratios([0.5] * 8, role="arterial"), *ratios([0.3] * 8), *ratios([0.9] * 3, formula="linear-2006")]
    found = ratio_baseline(
        profile(ratios=tuple(sorted(both, key=lambda one: one.at))), protocol=PROTOCOL, as_of=NOW, formula="hydrostatic"
    )
    assert [one.split(":")[0] for one in found.statements[:2]] == ["Arterial", "Venous"]
    assert found.statements[2].startswith("Usual since ")
    assert [one["mark"] for one in found.bands] == ["A", "V"]
    assert "linear-2006" in str(found.worked)


def test_too_few_ratios_have_no_band_and_say_so() -> None:
    found = ratio_baseline(
        profile(ratios=tuple(ratios([0.3, 0.31]))), protocol=PROTOCOL, as_of=NOW, formula="hydrostatic"
    )
    assert (found.bands, found.statements) == ((), ("Venous: too few for a baseline yet.",))
    assert newest_formula([]) is None


def test_a_baseline_begun_beyond_the_limit_is_not_drawn() -> None:
    found = ratio_baseline(
        profile(ratios=tuple(ratios([0.7] * 8))), protocol=PROTOCOL, as_of=NOW, formula="hydrostatic"
    )
    assert found.bands == ()
    assert found.statements[0].startswith("Venous: no baseline (not called usual: already beyond the protocol's limit")


def test_the_baseline_begins_anew_where_the_vessel_was_changed() -> None:
    changed = EventReading(id="e", on=(NOW - timedelta(days=100)).date(), what="angioplasty")
    found = ratio_baseline(
        profile(ratios=tuple(ratios([*[0.45] * 10, *[0.30] * 7])), events=(changed,)),
        protocol=PROTOCOL,
        as_of=NOW,
        formula="hydrostatic",
    )
    (band,) = found.bands
    assert (band["low"] + band["high"]) / 2 == pytest.approx(0.30, abs=0.001)
    assert datetime.fromisoformat(band["since"]).date() == changed.on


def test_weekly_medians_stand_against_their_baseline_with_the_published_limit_named_as_comparison() -> None:
    numbers = derived(weeks([130.0] * 20 + [165.0] * 6), protocol=PROTOCOL, as_of=NOW, since=LONG_AGO)
    assert len(numbers["points"]) == 26
    assert numbers["limits"] == [{"value": 0.55, "name": "published 0.55, for comparison"}]
    assert numbers["statements"][0].startswith("Weekly medians: the last 6 above the baseline of ")
    assert numbers["worked"]["doubt"].endswith("no patient data.")


def test_without_a_baseline_there_are_no_weekly_medians() -> None:
    assert derived(weeks([130.0] * 2), protocol=PROTOCOL, as_of=NOW, since=LONG_AGO) == {"points": []}
    assert derived(profile(), protocol=PROTOCOL, as_of=NOW, since=LONG_AGO) == {"points": []}


def test_line_pressures_are_said_for_each_side_and_a_missing_band_says_why() -> None:
    row = {"gauge": 15, "pump_ml_min": 350.0, "count": 20, "note": "usual since May 2025"}
    six = [{"on": "2026-03-01", "value": one} for one in (150, 170, 171, 172, 150, 175)]
    venous = row | {"quantity": "venous_mmhg", "low": 118.2, "high": 163.9, "median": 141.0, "last": six}
    none = row | {"quantity": "pre_pump_arterial_mmhg", "low": None, "high": None, "median": None, "last": [],
                  "note": "no band yet: 3 of 8 treatments"}  # fmt: skip
    found = line_pressures([venous, none])
    assert found.statements == (
        "Venous: 4 of the last 6 above the usual 118 to 164 mmHg (usual since May 2025).",
        "Before the pump: no usual band (no band yet: 3 of 8 treatments).",
    )
    assert found.worked is not None
    assert {"name": "Venous, median", "value": "141 mmHg"} in found.worked["inputs"]
    assert line_pressures([]).worked is None
