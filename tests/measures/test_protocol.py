"""Protocols: printed limits, what waits for a person, what a clinic may set, and what is refused."""

from dataclasses import replace
from datetime import date
from itertools import chain
from typing import Any

import pytest

from access.measures import Refused, sources
from access.measures.protocol import DEFAULT, LocalLimit, ids, in_force, load, pattern_limits
from access.measures.rules import RULES
from access.measures.words import Kind
from tests.measures.cases import cases, every_case

DOV = LocalLimit(value=650, who="Dov", on=date(2025, 3, 1), why="our own grafts clot at 620")
ALL = ("kdoqi-2000", "kdoqi-2006", "kdoqi-2019", "kdoqi-2019-supplement")
ORDER_OF_PATTERN = {
    "normal_arterial_low": lambda table: table.normal_arterial[0],
    "normal_arterial_high": lambda table: table.normal_arterial[1],
    "normal_venous_low": lambda table: table.normal_venous[0],
    "normal_venous_high": lambda table: table.normal_venous[1],
    "outlet_arterial": lambda table: table.outlet_arterial.value,
    "outlet_venous": lambda table: table.outlet_venous.value,
    "within_arterial": lambda table: table.within_arterial.value,
    "inflow_arterial_below": lambda table: table.inflow_arterial_below,
}


def test_the_four_protocols_are_there_and_a_new_clinic_starts_with_the_supplement() -> None:
    assert ids() == ALL
    assert load(DEFAULT).name == "KDOQI 2019, surveillance as supplement"


@pytest.mark.parametrize("case", [case for case in every_case("rules") if case["kind"] == "published"])
def test_a_limit_is_the_printed_one(case: dict[str, Any]) -> None:
    limit = load(case["given"]["protocol"]).limits[case["given"]["limit"]]
    assert limit.value == pytest.approx(case["expected"], abs=case["tolerance"])
    assert (limit.source, limit.standing) == (case["source"], case["standing"])


@pytest.mark.parametrize("case", cases("pressure", formula="pressure.pattern"))
@pytest.mark.parametrize("key", ["kdoqi-2006", "kdoqi-2019-supplement"])
def test_the_pattern_table_is_the_printed_one(key: str, case: dict[str, Any]) -> None:
    table = pattern_limits(load(key), kind=case["given"]["kind"])
    assert ORDER_OF_PATTERN[case["given"]["limit"]](table) == pytest.approx(case["expected"], abs=case["tolerance"])


@pytest.mark.parametrize("key", ALL)
def test_every_limit_names_a_source_says_what_it_says_and_lies_within_its_bounds(key: str) -> None:
    for limit in load(key).limits.values():
        assert sources.source(limit.source)
        assert limit.says.endswith((".", ")"))
        assert limit.bounds[0] <= limit.value <= limit.bounds[1]


@pytest.mark.parametrize("key", ALL)
def test_a_measurement_limit_that_was_not_seen_in_its_source_waits_for_a_person(key: str) -> None:
    for limit in load(key).limits.values():
        measured = limit.id.startswith(("flow.below", "static.", "outlet.dynamic", "recirculation.above"))
        if measured:
            assert limit.confirmed == (limit.standing == "published"), limit.id


@pytest.mark.parametrize("key", ALL)
def test_exactly_one_row_of_rules_speaks_for_each_quantity_and_every_rule_exists(key: str) -> None:
    rows = load(key).rules
    named = list(chain(*rows.values()))
    assert set(rows) == {
        "flow",
        "high-flow",
        "outlet",
        "place",
        "inflow",
        "pre-pump",
        "recirculation",
        "dose",
        "pump-speed",
    }
    assert len(named) == len(set(named))
    assert set(named) <= set(RULES)


def test_a_new_clinic_has_flow_600_and_500_marked_as_its_own_and_not_verified() -> None:
    limits = load(DEFAULT).limits
    assert (limits["flow.below.graft"].value, limits["flow.below.fistula"].value) == (600, 500)
    for limit in (limits["flow.below.graft"], limits["static.graft.venous.outlet"]):
        assert "The clinic's own, from KDOQI 2006, not verified against the primary text." in limit.says
        assert limit in load(DEFAULT).unconfirmed()


def test_kdoqi_2019_alone_holds_no_limit_of_flow_or_pressure_ratio() -> None:
    limits = load("kdoqi-2019").limits
    assert not [key for key in limits if key.startswith(("flow.below", "static.", "outlet.dynamic", "recirculation.a"))]
    assert pattern_limits(load("kdoqi-2019"), kind="graft") is None


def test_no_clinic_can_make_a_single_measurement_meet_a_rule() -> None:
    for key in ("flow", "static", "dynamic", "pre-pump", "week", "recirculation", "dose", "pump"):
        with pytest.raises(Refused, match="lies outside 2"):
            in_force(load(DEFAULT), {f"succession.{key}": replace(DOV, value=1)})


@pytest.mark.parametrize("kind", ["graft", "fistula"])
def test_whether_the_limit_itself_counts_is_data(kind: Kind) -> None:
    venous = load(DEFAULT).limits[f"static.{kind}.venous.outlet"]
    assert venous.passed(venous.value)
    assert not venous.passed(venous.value - 0.01)
    assert not replace(venous, beyond="above").passed(venous.value)


def test_a_limit_compares_what_is_shown() -> None:
    limits = load(DEFAULT).limits
    assert not limits["dose.fall"].passed(1.60 - 1.40)
    assert limits["dose.fall"].passed(1.50 - 1.28)
    assert not limits["flow.below.graft"].passed(599.6)
    assert limits["flow.below.graft"].passed(599.4)
    assert limits["static.graft.venous.outlet"].passed(0.495)


def test_a_limit_is_written_with_its_unit_as_shown() -> None:
    limits = load(DEFAULT).limits
    assert limits["flow.below.graft"].written() == "600 mL/min"
    assert limits["static.graft.venous.outlet"].written() == "0.50"
    assert limits["static.graft.venous.outlet"].written(0.617) == "0.62"


def test_a_clinic_confirms_a_limit_as_it_stands_and_it_waits_no_more() -> None:
    shipped = load(DEFAULT)
    own = in_force(shipped, {"flow.below.graft": replace(DOV, value=600, why="")})
    limit = own.limits["flow.below.graft"]
    assert (limit.confirmed, limit.confirmed_by, limit.confirmed_on) == (True, "Dov", date(2025, 3, 1))
    assert limit.says == shipped.limits["flow.below.graft"].says
    assert len(own.unconfirmed()) == len(shipped.unconfirmed()) - 1


def test_a_clinic_sets_its_own_value_and_version_and_text_say_so() -> None:
    shipped = load(DEFAULT)
    own = in_force(shipped, {"flow.below.graft": DOV})
    assert own.limits["flow.below.graft"].value == 650
    assert own.limits["flow.below.graft"].says.startswith("The clinic's own.")
    assert own.version != shipped.version and own.version.startswith("1+")
    assert own.version == in_force(shipped, {"flow.below.graft": DOV}).version
    assert own.version != in_force(shipped, {"flow.below.graft": replace(DOV, value=640)}).version
    assert shipped.limits["flow.below.graft"].value == 600


def test_a_clinic_may_add_a_limit_that_its_protocol_lacks() -> None:
    own = in_force(load("kdoqi-2019"), {"flow.below.graft": DOV})
    assert own.limits["flow.below.graft"].value == 650
    assert own.limits["flow.below.graft"].why == DOV.why


def test_nothing_set_is_the_protocol_as_shipped() -> None:
    assert in_force(load(DEFAULT), {}) is load(DEFAULT)


@pytest.mark.parametrize(
    ("key", "local", "words"),
    [
        ("flow.below.graft", replace(DOV, value=20), "lies outside 200 to 1500 mL/min"),
        ("flow.below.graft", replace(DOV, value=float("nan")), "lies outside"),
        ("flow.below.dog", DOV, "no limit “flow.below.dog”"),
        ("flow.below.graft", replace(DOV, who=" "), "who sets this limit is missing"),
        ("flow.below.graft", replace(DOV, why=""), "why it is changed is missing"),
    ],
)
def test_what_a_clinic_cannot_set_is_refused_by_name(key: str, local: LocalLimit, words: str) -> None:
    with pytest.raises(Refused, match=words) as refused:
        in_force(load(DEFAULT), {key: local})
    assert refused.value.field == key


@pytest.mark.parametrize("key", ["kdoqi-1066", "../limits", ""])
def test_an_unknown_protocol_is_refused(key: str) -> None:
    with pytest.raises(Refused, match="There is no protocol"):
        load(key)


def test_a_gap_is_twice_the_interval_and_at_least_21_days() -> None:
    protocol = load(DEFAULT)
    gaps = {quantity: protocol.gap_days(quantity) for quantity in ("dynamic", "sign", "static", "flow", "dose")}
    assert gaps == {"dynamic": 21, "sign": 21, "static": 28, "flow": 60, "dose": 60}
