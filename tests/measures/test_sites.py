"""The next pair of sites: longest rest first, zones and gaps kept, reasons in words where none fits."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.measures.readings import Puncture, ZoneReading
from access.measures.sites import PairProposal, propose_pair
from access.measures.words import ZoneAction

TODAY = date(2025, 6, 2)


def punctured(along_cm: float, *, days_ago: int) -> Puncture:
    return Puncture(
        id=f"{along_cm} {days_ago}",
        treatment=str(days_ago),
        at=datetime(2025, 6, 2, 8, tzinfo=UTC) - timedelta(days=days_ago),
        role="arterial",
        along_cm=along_cm,
        gauge=15,
        direction="with the flow",
        technique="rope-ladder",
        tip="sharp",
        outcome="in use to the end",
    )


def zone(from_cm: float, to_cm: float, *, action: ZoneAction = "keep off", until: date | None = None) -> ZoneReading:
    since = TODAY - timedelta(days=30)
    return ZoneReading(from_cm=from_cm, to_cm=to_cm, why="bulge", action=action, since=since, until=until)


def proposed(
    punctures: list[Puncture], *, from_cm: float = 0, to_cm: float = 15, zones: tuple[ZoneReading, ...] = ()
) -> PairProposal:
    return propose_pair(punctures, from_cm=from_cm, to_cm=to_cm, zones=zones, as_of=TODAY)


def test_an_unused_vessel_starts_at_the_anastomosis_gap() -> None:
    found = proposed([])
    assert (found.arterial_cm, found.venous_cm) == (4, 9)
    assert (found.arterial_rest_days, found.venous_rest_days) == (None, None)
    assert found.reason == "The longest rested pair: neither site was needled in the record."


def test_the_longest_rested_pair_is_proposed_with_its_days() -> None:
    used = [punctured(4, days_ago=2), punctured(5, days_ago=9), punctured(9, days_ago=5), punctured(10, days_ago=12)]
    found = proposed(used, to_cm=10)
    assert (found.arterial_cm, found.venous_cm) == (5, 10)
    assert (found.arterial_rest_days, found.venous_rest_days) == (9, 12)
    assert found.reason == "The longest rested pair: A 9 days of rest and V 12 days of rest."


def test_a_puncture_recorded_after_the_day_is_not_seen() -> None:
    assert proposed([punctured(4, days_ago=-1)]).arterial_rest_days is None


def test_a_keep_off_zone_is_kept_off_and_a_careful_one_or_a_past_one_is_not() -> None:
    assert proposed([], zones=(zone(3, 5),)).arterial_cm == 5.5
    assert proposed([], zones=(zone(3, 5, action="take care"),)).arterial_cm == 4
    assert proposed([], zones=(zone(3, 5, until=TODAY - timedelta(days=1)),)).arterial_cm == 4


@pytest.mark.parametrize(
    ("to_cm", "zones", "words"),
    [(8.5, (), "lie 4 to 8.5 cm"), (3.5, (), "lie nowhere"), (12, (zone(5, 12),), "lie 4 to 4.5 cm")],
)
def test_where_no_pair_fits_the_reason_says_why(to_cm: float, zones: tuple[ZoneReading, ...], words: str) -> None:
    found = proposed([], to_cm=to_cm, zones=zones)
    assert (found.arterial_cm, found.venous_cm) == (None, None)
    assert "5 cm apart" in found.reason
    assert words in found.reason


@given(
    st.lists(st.tuples(st.integers(8, 40), st.integers(0, 60)), max_size=30),
    st.integers(9, 20),
    st.integers(4, 20),
)
def test_a_proposal_keeps_its_distances_and_no_pair_rests_longer(
    history: list[tuple[int, int]], to_cm: int, zone_from: int
) -> None:
    punctures = [punctured(half / 2, days_ago=days) for half, days in history]
    found = proposed(punctures, to_cm=to_cm, zones=(zone(zone_from, zone_from + 1),))
    if found.arterial_cm is None or found.venous_cm is None:
        return

    def rest(site: float) -> float:
        near = [one for one in punctures if one.along_cm is not None and abs(one.along_cm - site) < 0.55]
        return min(((TODAY - one.at.date()).days for one in near), default=1_000)

    usable = [half / 2 for half in range(8, 2 * to_cm + 1) if not zone_from <= half / 2 <= zone_from + 1]
    best = max(min(rest(a), rest(v)) for a in usable for v in usable if v - a >= 5)
    assert found.arterial_cm in usable
    assert found.venous_cm in usable
    assert found.venous_cm - found.arterial_cm >= 5
    assert min(rest(found.arterial_cm), rest(found.venous_cm)) == best


def test_rope_ladder_comes_of_itself() -> None:
    # 24 treatments every two to three days on 4 to 14 cm. A site half a centimetre off counts as the same, so the
    # whole centimetres come in turn.
    punctures: list[Puncture] = []
    for number in range(24):
        day = TODAY + timedelta(days=round(number * 7 / 3))
        found = propose_pair(punctures, from_cm=0, to_cm=14, zones=(), as_of=day)
        assert found.arterial_cm is not None and found.venous_cm is not None
        punctures += [punctured(site, days_ago=(TODAY - day).days) for site in (found.arterial_cm, found.venous_cm)]
    uses = Counter(one.along_cm for one in punctures)
    assert set(uses) == {float(site) for site in range(4, 15)}
    assert min(uses.values()) >= 3
    assert max(uses.values()) <= 7
