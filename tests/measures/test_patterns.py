"""Patterns of the static ratios: each printed corner, each overlap and gap, one site alone."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures import Refused
from access.measures.patterns import Cut, Pattern, PatternLimits, pattern
from access.measures.protocol import load, pattern_limits
from access.measures.words import Kind
from tests.measures.cases import cases

CENT = 0.01
KINDS: tuple[Kind, ...] = ("graft", "fistula")
PRINTED = {
    kind: {
        case["given"]["limit"]: case["expected"]
        for case in cases("pressure", formula="pressure.pattern")
        if case["given"]["kind"] == kind
    }
    for kind in KINDS
}
WITHIN_GRAFT = 0.65  # From memory; a secondary text says .75.


def limits_of(kind: Kind) -> PatternLimits:
    """The printed table; whether a limit itself is beyond is not settled between the texts, so it is data."""
    row = PRINTED[kind]
    at_limit = kind == "graft"
    return PatternLimits(
        normal_arterial=(row["normal_arterial_low"], row["normal_arterial_high"]),
        normal_venous=(row["normal_venous_low"], row["normal_venous_high"]),
        outlet_arterial=Cut(value=row["outlet_arterial"], or_equal=at_limit),
        outlet_venous=Cut(value=row["outlet_venous"]),
        within_arterial=Cut(value=row.get("within_arterial", WITHIN_GRAFT), or_equal=at_limit),
        inflow_arterial_below=row["inflow_arterial_below"],
    )


def found(kind: Kind, arterial: float | None, venous: float | None) -> Pattern:
    return pattern(kind, arterial_ratio=arterial, venous_ratio=venous, limits=limits_of(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_the_printed_corners_of_the_normal_range_are_normal_where_nothing_overlaps(kind: Kind) -> None:
    limits = limits_of(kind)
    (low, high), (venous_low, venous_high) = limits.normal_arterial, limits.normal_venous
    top = WITHIN_GRAFT - CENT if kind == "graft" else high
    for arterial, venous in [(low, venous_low), (top, venous_high), (top, venous_low), (low, min(low, venous_high))]:
        assert found(kind, arterial, venous).place == "normal", (arterial, venous)
        assert not found(kind, arterial, venous).repeat


@pytest.mark.parametrize("kind", KINDS)
def test_both_ratios_beyond_the_printed_limits_are_an_outlet(kind: Kind) -> None:
    over = 0 if kind == "graft" else CENT
    seen = found(kind, PRINTED[kind]["outlet_arterial"] + over, PRINTED[kind]["outlet_venous"])
    assert (seen.place, seen.repeat) == ("outlet", True)


@pytest.mark.parametrize(("kind", "arterial"), [("graft", 0.75), ("fistula", 0.44)])
def test_a_high_arterial_beside_a_lower_venous_ratio_is_within_the_access(kind: Kind, arterial: float) -> None:
    seen = found(kind, arterial, PRINTED[kind]["outlet_venous"] - CENT)
    assert (seen.place, seen.repeat) == ("within the access", True)


@pytest.mark.parametrize("kind", KINDS)
def test_a_low_arterial_ratio_is_inflow_and_only_with_clinical_findings(kind: Kind) -> None:
    seen = found(kind, PRINTED[kind]["inflow_arterial_below"] - CENT, 0.05)
    assert seen.place == "inflow"
    assert "only together with clinical findings" in seen.sentence
    assert "does not exclude low flow" in seen.sentence


@pytest.mark.parametrize(
    ("arterial", "venous", "words"),
    [
        (0.65, 0.30, "Between normal and a narrowing within the access."),
        (0.74, 0.49, "Between normal and a narrowing within the access."),
        (0.30, 0.20, "Between normal and a narrowing of the inflow."),
        (0.34, 0.20, "Between normal and a narrowing of the inflow."),
        (0.70, 0.50, "Between normal and a narrowing of the outlet."),
        (0.60, 0.55, "Between normal and a narrowing of the outlet."),
    ],
)
def test_an_overlap_or_a_gap_of_the_graft_never_names_a_place(arterial: float, venous: float, words: str) -> None:
    seen = found("graft", arterial, venous)
    assert seen.place is None
    assert seen.sentence.startswith(words)


def test_one_venous_ratio_beyond_its_limit_asks_to_repeat_even_without_a_place() -> None:
    assert found("graft", 0.60, 0.55).repeat
    assert not found("graft", 0.70, 0.30).repeat  # In the overlap: still normal.


def test_a_venous_ratio_above_the_arterial_one_asks_for_the_readings() -> None:
    seen = found("graft", 0.20, 0.60)
    assert seen.place is None
    assert "check both readings" in seen.sentence


def test_a_venous_ratio_below_its_range_fits_no_pattern() -> None:
    seen = found("graft", 0.50, 0.10)
    assert seen.place is None
    assert "fit no pattern" in seen.sentence


def test_ratios_are_compared_as_they_are_shown() -> None:
    assert found("graft", 0.7451, 0.4951).place == "outlet"
    assert found("fistula", 0.4349, 0.30).place == "normal"


def test_whether_the_limit_itself_is_beyond_is_data() -> None:
    assert Cut(value=0.43).passed_by(0.43)
    assert not Cut(value=0.43, or_equal=False).passed_by(0.43)


def test_a_fistula_is_told_that_its_venous_ratio_says_little() -> None:
    assert "flow tells more" in found("fistula", 0.30, 0.20).sentence
    assert "flow tells more" not in found("graft", 0.50, 0.30).sentence


@pytest.mark.parametrize(
    ("arterial", "venous", "repeat"), [(None, 0.55, True), (None, 0.30, False), (0.80, None, True), (0.50, None, False)]
)
def test_one_site_alone_never_names_a_place(arterial: float | None, venous: float | None, repeat: bool) -> None:
    seen = found("graft", arterial, venous)
    assert seen.place is None
    assert "was not measured" in seen.sentence
    assert seen.repeat is repeat


def test_no_site_at_all_is_refused() -> None:
    with pytest.raises(Refused, match="at least one site"):
        found("graft", None, None)


@pytest.mark.parametrize("case", cases("pressure", formula="pressure.pattern"))
def test_the_shipped_table_of_kdoqi_2006_is_the_printed_one(case: dict[str, Any]) -> None:
    shipped = pattern_limits(load("kdoqi-2006"), kind=case["given"]["kind"])
    assert shipped is not None
    held = {
        "normal_arterial_low": shipped.normal_arterial[0],
        "normal_arterial_high": shipped.normal_arterial[1],
        "normal_venous_low": shipped.normal_venous[0],
        "normal_venous_high": shipped.normal_venous[1],
        "outlet_arterial": shipped.outlet_arterial.value,
        "outlet_venous": shipped.outlet_venous.value,
        "within_arterial": shipped.within_arterial.value,
        "inflow_arterial_below": shipped.inflow_arterial_below,
    }
    assert held[case["given"]["limit"]] == pytest.approx(case["expected"], abs=case["tolerance"])


@given(st.sampled_from(KINDS), st.floats(0, 1.2), st.floats(0, 1.2))
def test_a_place_other_than_normal_always_asks_to_repeat(kind: Kind, arterial: float, venous: float) -> None:
    seen = found(kind, arterial, venous)
    assert seen.sentence
    if seen.place not in (None, "normal"):
        assert seen.repeat
    if seen.place == "normal":
        assert not seen.repeat
