"""The next pair of sites: longest rest first, zones, limbs and tracks kept, reasons in words where none fits."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures.readings import AccessProfile, Puncture, ZoneReading
from access.measures.sites import PlannedPair, next_pairs, plan, rests
from access.measures.words import NeedleRole, Technique, ZoneAction

TODAY = date(2025, 6, 2)
numbers = count()


def punctured(
    along_cm: float | None,
    *,
    days_ago: int,
    role: NeedleRole = "arterial",
    technique: Technique = "rope-ladder",
) -> Puncture:
    return Puncture(
        id=f"puncture {next(numbers)}",
        treatment=str(days_ago),
        at=datetime(2025, 6, 2, 8, tzinfo=UTC) - timedelta(days=days_ago),
        role=role,
        along_cm=along_cm,
        gauge=15,
        direction="with the flow",
        technique=technique,
        tip="sharp",
        outcome="in use to the end",
    )


def zone(from_cm: float, to_cm: float, *, action: ZoneAction = "keep off", until: date | None = None) -> ZoneReading:
    since = TODAY - timedelta(days=30)
    return ZoneReading(from_cm=from_cm, to_cm=to_cm, why="bulge", action=action, since=since, until=until)


def a_vessel(*punctures: Puncture, to_cm: float | None = 15, zones: Sequence[ZoneReading] = ()) -> AccessProfile:
    """A fistula needled from the anastomosis on."""
    return AccessProfile(
        access="a",
        kind="fistula",
        configuration="radiocephalic",
        side="left",
        needled_to_cm=to_cm,
        punctures=punctures,
        zones=tuple(zones),
    )


def a_loop(*punctures: Puncture, from_cm: float = 4, to_cm: float = 36) -> AccessProfile:
    return replace(
        a_vessel(*punctures, to_cm=to_cm),
        kind="graft",
        configuration="forearm loop graft",
        needled_from_cm=from_cm,
    )


def sites(pair: PlannedPair) -> tuple[float | None, float | None]:
    return pair.arterial_cm, pair.venous_cm


def rest(pair: PlannedPair) -> tuple[int | None, int | None]:
    return pair.arterial_rest_days, pair.venous_rest_days


def test_an_unused_vessel_starts_at_the_anastomosis_gap() -> None:
    found = plan(a_vessel(), as_of=TODAY)
    assert (sites(found), rest(found)) == ((4, 9), (None, None))
    assert found.reason == "The longest rested pair: neither site was needled in the record."


def test_the_longest_rested_pair_is_proposed_with_its_days() -> None:
    used = [punctured(half / 2, days_ago=2 + 2 * (half % 2)) for half in range(8, 21)]
    used = [one for one in used if one.along_cm not in (5, 10)]
    found = plan(a_vessel(*used, punctured(5, days_ago=9), punctured(10, days_ago=12), to_cm=10), as_of=TODAY)
    assert (sites(found), rest(found)) == ((5, 10), (9, 12))
    assert found.reason == "The longest rested pair: A 9 days of rest and V 12 days of rest."


def test_of_equally_rested_sites_the_one_with_less_left_behind_beside_it_is_taken() -> None:
    # 4, 4.5, 9 and 9.5 cm were never needled; beside 9 cm somebody needled ten days ago.
    found = plan(a_vessel(punctured(8.5, days_ago=10), to_cm=9.5), as_of=TODAY)
    assert sites(found) == (4, 9.5)


def test_a_puncture_recorded_after_the_day_is_not_seen_and_a_failed_one_is() -> None:
    assert plan(a_vessel(punctured(4, days_ago=-1)), as_of=TODAY).arterial_cm == 4
    failed = replace(punctured(4, days_ago=2), outcome="failed")
    assert plan(a_vessel(failed), as_of=TODAY).arterial_cm != 4


def test_a_puncture_off_the_grid_counts_at_the_nearest_site_and_one_without_a_place_nowhere() -> None:
    found = plan(a_vessel(punctured(4.1, days_ago=2), punctured(None, days_ago=2)), as_of=TODAY)
    by_site = {one.along_cm: one.rest_days for one in rests(a_vessel(punctured(4.1, days_ago=2)), as_of=TODAY)}
    assert found.arterial_cm != 4
    assert (by_site[4], by_site[4.5]) == (2, None)


def test_a_keep_off_zone_is_kept_off_and_a_careful_one_or_a_past_one_is_not() -> None:
    past = zone(3, 5, until=TODAY - timedelta(days=1))
    assert plan(a_vessel(zones=[zone(3, 5)]), as_of=TODAY).arterial_cm == 5.5
    assert plan(a_vessel(zones=[zone(3, 5, action="take care")]), as_of=TODAY).arterial_cm == 4
    assert plan(a_vessel(zones=[past]), as_of=TODAY).arterial_cm == 4


@pytest.mark.parametrize(
    ("to_cm", "zones", "words"),
    [
        (8.5, (), "Too short for two needles 5 cm apart: only 4 to 8.5 cm may be needled."),
        (4.0, (), "Too short for two needles 5 cm apart: only 4 cm may be needled."),
        (3.5, (), "The needled length ends within 4 cm of the anastomosis."),
        (None, (), "How far the vessel is needled is not recorded."),
        (12, (zone(5, 12),), "Zones to keep off leave no room for two needles 5 cm apart: 4 to 4.5 cm may be needled."),
        (12, (zone(3, 7), zone(9, 20)), "5 cm apart: 7.5 to 8.5 cm may be needled."),
        (12, (zone(0, 20),), "Zones to keep off leave no room for two needles 5 cm apart: nothing may be needled."),
    ],
)
def test_where_no_pair_fits_the_reason_says_why(
    to_cm: float | None, zones: tuple[ZoneReading, ...], words: str
) -> None:
    found = plan(a_vessel(to_cm=to_cm, zones=zones), as_of=TODAY)
    assert sites(found) == (None, None)
    assert found.reason.endswith(words)
    assert next_pairs(a_vessel(to_cm=to_cm, zones=zones), as_of=TODAY) == ()


def test_the_sites_of_the_last_treatments_are_left_out_and_the_reason_says_where_they_cannot_be() -> None:
    # Six tries at the last treatment and two before: every pair of 4 to 12 cm has a site of the last three.
    used = [punctured(half / 2, days_ago=2 if half < 18 else 4) for half in range(8, 25)]
    found = plan(a_vessel(*used, to_cm=12), as_of=TODAY)
    assert "The sites of the last 3 treatments cannot all be left out: none are." in found.reason
    some = [one for one in used if one.along_cm not in (7, 12)]
    found = plan(a_vessel(*some, punctured(7, days_ago=7), punctured(12, days_ago=7), to_cm=12), as_of=TODAY)
    assert (sites(found), rest(found)) == ((7, 12), (7, 7))
    assert "cannot all be left out: only those of the last 2 are." in found.reason


def test_the_needles_of_a_loop_stay_on_their_own_limbs() -> None:
    access = a_loop()
    pairs = [plan(access, as_of=TODAY), *next_pairs(access, as_of=TODAY, count=80)]
    assert max(pair.arterial_cm or 0 for pair in pairs) == 19.5
    assert min(pair.venous_cm or 0 for pair in pairs) == 20.5
    assert "The loop is taken to turn at 20 cm, half its needled length: A before it, V beyond." in pairs[0].reason
    assert pairs[0].rests_treatments == 32


def test_a_loop_needled_at_both_limbs_never_gets_the_venous_needle_on_the_arterial_one() -> None:
    # The middle of the loop was never needled and has rested longest, but half of it is the arterial limb.
    arterial = [punctured(half / 2, days_ago=2 + half) for half in range(8, 28)]
    venous = [punctured(half / 2, days_ago=2 + half, role="venous") for half in range(50, 70)]
    found = plan(a_loop(*arterial, *venous), as_of=TODAY)
    assert found.arterial_cm is not None
    assert found.venous_cm is not None
    assert found.arterial_cm < 20 < found.venous_cm


def test_needles_that_went_through_tracks_are_planned_there_again() -> None:
    used = [punctured(6, days_ago=days, technique="buttonhole") for days in (4, 2)]
    used += [punctured(12, days_ago=days, role="venous", technique="buttonhole") for days in (4, 2)]
    found = plan(a_vessel(*used), as_of=TODAY)
    assert (sites(found), rest(found)) == ((6, 12), (2, 2))
    assert found.through_track == ("arterial", "venous")
    assert found.reason.startswith("Through the buttonhole tracks of last time")
    assert {sites(one) for one in next_pairs(a_vessel(*used), as_of=TODAY)} == {(6, 12)}


def test_one_track_stays_and_the_other_needle_goes_on_in_turn_away_from_it() -> None:
    used = [punctured(6, days_ago=days, technique="buttonhole") for days in (4, 2)] + [
        punctured(11, days_ago=2, role="venous")
    ]
    pairs = [plan(a_vessel(*used), as_of=TODAY), *next_pairs(a_vessel(*used), as_of=TODAY, count=7)]
    assert {pair.arterial_cm for pair in pairs} == {6}
    assert sorted(pair.venous_cm or 0 for pair in pairs) == [half / 2 for half in range(23, 31)]
    assert pairs[0].reason.startswith("A through its buttonhole track as last time, V at the site that rested longest")


def test_sites_in_turn_keep_off_a_track_and_one_in_a_zone_or_a_graft_is_not_used_again() -> None:
    track = punctured(6, days_ago=10, technique="buttonhole")
    since = [punctured(4, days_ago=2), punctured(10, days_ago=2, role="venous")]
    pairs = next_pairs(a_vessel(track, *since), as_of=TODAY, count=30)
    assert not {5.5, 6.0, 6.5} & {cm for pair in pairs for cm in sites(pair)}
    barred = plan(a_vessel(track, zones=[zone(5, 7)]), as_of=TODAY)
    in_graft = plan(replace(a_vessel(track), kind="graft"), as_of=TODAY)
    assert barred.through_track == in_graft.through_track == ()
    assert 6 not in (*sites(barred), *sites(in_graft))


def test_a_new_fistula_says_its_gauge_and_an_old_one_or_a_graft_does_not() -> None:
    def gauge(days: int) -> str:
        return plan(replace(a_vessel(), first_needled_on=TODAY - timedelta(days=days)), as_of=TODAY).gauge

    assert gauge(3) == "First week: 17G, 200 to 250 mL/min."
    assert "16G" in gauge(7)
    assert "15G" in gauge(14)
    assert (gauge(21), plan(a_vessel(), as_of=TODAY).gauge) == ("", "")
    assert plan(replace(a_loop(), first_needled_on=TODAY), as_of=TODAY).gauge == ""


def test_the_next_pairs_are_what_planning_day_by_day_would_give() -> None:
    access, day = a_vessel(punctured(8, days_ago=2), punctured(13, days_ago=2, role="venous")), TODAY
    ahead = next_pairs(access, as_of=TODAY, count=8)
    for pair in (plan(access, as_of=day), *ahead):
        days_ago = (TODAY - pair.on).days
        assert sites(plan(access, as_of=pair.on)) == sites(pair)
        new = (punctured(pair.arterial_cm, days_ago=days_ago), punctured(pair.venous_cm, days_ago=days_ago))
        access = replace(access, punctures=(*access.punctures, *new))
    assert [(one.on - TODAY).days for one in ahead] == [2, 4, 7, 9, 11, 14, 16, 18]


def test_a_site_rests_as_long_as_since_its_last_puncture_and_usually_for_the_median() -> None:
    used = [punctured(6, days_ago=days) for days in (60, 44, 28, 10)] + [punctured(7, days_ago=5)]
    by_site = {one.along_cm: one for one in rests(a_vessel(*used, to_cm=10), as_of=TODAY)}
    assert sorted(by_site) == [half / 2 for half in range(8, 21)]
    six, seven, eight = by_site[6], by_site[7], by_site[8]
    assert (six.rest_days, six.usual_days, six.punctures) == (10, 16, 4)
    assert (seven.rest_days, seven.usual_days, seven.punctures) == (5, None, 1)
    assert (eight.rest_days, eight.usual_days, eight.punctures) == (None, None, 0)


@given(st.lists(st.tuples(st.integers(8, 40), st.integers(0, 60)), max_size=30), st.integers(9, 20), st.integers(4, 20))
def test_a_proposal_keeps_its_distances_and_no_open_pair_rests_longer(
    history: list[tuple[int, int]], to_cm: int, zone_from: int
) -> None:
    punctures = [punctured(half / 2, days_ago=days) for half, days in history]
    found = plan(a_vessel(*punctures, to_cm=to_cm, zones=[zone(zone_from, zone_from + 1)]), as_of=TODAY)
    usable = [half / 2 for half in range(8, 2 * to_cm + 1) if not zone_from <= half / 2 <= zone_from + 1]
    pairs = [(a, v) for a in usable for v in usable if v - a >= 5]
    if found.arterial_cm is None or found.venous_cm is None:
        assert not pairs
        return

    def rested(site: float) -> float:
        return min((days for half, days in history if half / 2 == site), default=1_000)

    best = max(min(rested(a), rested(v)) for a, v in pairs)
    assert (found.arterial_cm, found.venous_cm) in pairs
    # Leaving out the last treatments never costs rest: their sites have rested least.
    assert min(rested(found.arterial_cm), rested(found.venous_cm)) == best
