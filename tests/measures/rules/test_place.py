"""The place of a narrowing: within the access by the arterial ratio, at the inflow only beside signs."""

from dataclasses import replace

from access.measures.protocol import in_force, load
from access.measures.readings import AccessProfile
from access.measures.words import Kind
from tests.measures.histories import a_ratio, an_access, an_examination, confirming, found, only

RULE = "static.pattern"


def pairs(*rows: tuple[float, float, float], kind: Kind = "graft") -> AccessProfile:
    """Static ratios given as (day, arterial, venous)."""
    both = [
        (a_ratio(day, arterial, role="arterial"), a_ratio(day, venous, role="venous")) for day, arterial, venous in rows
    ]
    return replace(an_access(kind), ratios=tuple(one for pair in both for one in pair))


def test_a_narrowing_within_a_graft_is_seen_by_the_arterial_ratio_alone() -> None:
    first = pairs((190, 0.80, 0.30))
    assert only(first, rule=RULE).times_seen == 1
    twice = only(pairs((183, 0.78, 0.30), (190, 0.80, 0.28)), rule=RULE)
    assert (twice.times_seen, twice.times_needed, twice.raises) == (2, 2, True)
    assert "narrowing within the access" in twice.sentence
    assert "the venous pressure does not see this place" in twice.ask
    assert found(first, rule="outlet.static-ratio") == ()


def test_between_normal_and_a_pattern_nothing_is_raised() -> None:
    assert found(pairs((190, 0.70, 0.30)), rule=RULE) == ()
    assert found(pairs((190, 0.33, 0.20)), rule=RULE) == ()


def test_an_outlet_is_left_to_the_rule_of_the_outlet() -> None:
    outlet = pairs((190, 0.85, 0.60))
    assert found(outlet, rule=RULE) == ()
    assert only(outlet, rule="outlet.static-ratio")
    met = only(pairs((183, 0.85, 0.60), (190, 0.85, 0.60)), rule="outlet.static-ratio")
    assert "Pattern of a narrowing of the outlet." in met.ask


def test_a_low_ratio_counts_only_beside_a_sign_of_the_inflow() -> None:
    low = pairs((190, 0.20, 0.16))
    assert found(low, rule=RULE) == ()
    outflow = replace(low, examinations=(an_examination(190, pulse="pulsatile"),))
    assert found(outflow, rule=RULE) == ()
    inflow = replace(low, examinations=(an_examination(190, augmentation="none"),))
    assert only(inflow, rule=RULE).urgency == "asap"
    assert "inflow narrowing" in only(inflow, rule=RULE).sentence


def test_a_limit_of_the_pattern_that_waits_says_so() -> None:
    assert not only(pairs((190, 0.80, 0.30)), rule=RULE, protocol=load("kdoqi-2019-supplement")).limit_confirmed


def test_a_protocol_without_a_table_places_nothing() -> None:
    assert found(pairs((190, 0.80, 0.30)), rule=RULE, protocol=load("kdoqi-2019")) == ()


def test_an_arterial_ratio_alone_is_beyond_or_not_and_names_no_place() -> None:
    alone = replace(an_access(), ratios=(a_ratio(190, 0.80, role="arterial"),))
    assert "venous not measured" in only(alone, rule=RULE).evidence[0].text


def test_a_ratio_too_high_and_one_too_low_are_no_succession() -> None:
    mixed = replace(pairs((183, 0.80, 0.30), (190, 0.20, 0.16)), examinations=(an_examination(190, pulse="weak"),))
    assert only(mixed, rule=RULE).times_seen == 1


def test_it_is_confirmed_only_when_each_limit_that_decides_is() -> None:
    protocol = load("kdoqi-2006")
    own = {name: confirming(protocol.limits[name]) for name in ("static.graft.arterial.within",)}
    one = only(pairs((183, 0.80, 0.30), (190, 0.80, 0.30)), rule=RULE, protocol=in_force(protocol, own))
    assert not one.limit_confirmed and one.time_in_words == "at the next treatment"
