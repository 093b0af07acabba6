"""Buttonhole tracks: known by their word or a blunt needle, grouped by place, forgotten when long unused."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from access.measures.readings import Puncture
from access.measures.tracks import through_track, tracks, used_last

TODAY = date(2025, 6, 2)
A_NEEDLE = Puncture(
    id="p",
    treatment="t",
    at=datetime(2025, 6, 2, 8, tzinfo=UTC),
    role="arterial",
    along_cm=6.0,
    gauge=15,
    direction="with the flow",
    technique="buttonhole",
    tip="sharp",
    outcome="in use to the end",
)


def hole(along_cm: float | None, *, days_ago: int) -> Puncture:
    at = datetime(2025, 6, 2, 8, tzinfo=UTC) - timedelta(days=days_ago)
    return replace(A_NEEDLE, id=f"{along_cm} {days_ago}", along_cm=along_cm, at=at)


def test_a_track_is_known_by_its_word_or_by_a_blunt_needle() -> None:
    assert through_track(A_NEEDLE)
    assert through_track(replace(A_NEEDLE, technique=None, tip="blunt"))
    assert not through_track(replace(A_NEEDLE, technique="area"))
    assert not through_track(replace(A_NEEDLE, technique=None, tip=None))


def test_punctures_of_one_spot_are_one_track_with_its_last_place_and_day() -> None:
    seen = [hole(6.0, days_ago=9), hole(6.2, days_ago=2), hole(12.0, days_ago=4), hole(None, days_ago=1)]
    first, second = tracks(seen, as_of=TODAY)
    assert (first.along_cm, first.punctures, first.last_on) == (6.2, 2, TODAY - timedelta(days=2))
    assert (second.along_cm, second.punctures) == (12.0, 1)


def test_a_track_long_unused_and_one_of_tomorrow_are_none() -> None:
    assert tracks([hole(6, days_ago=84)], as_of=TODAY) == ()
    assert tracks([hole(6, days_ago=-1)], as_of=TODAY) == ()
    assert len(tracks([hole(6, days_ago=83)], as_of=TODAY)) == 1


def test_a_needle_that_left_its_track_last_time_is_not_kept_in_it() -> None:
    in_turn = replace(hole(9, days_ago=2), technique="rope-ladder")
    failed = replace(hole(9, days_ago=1), technique="rope-ladder", outcome="failed")
    for last, kept in ((in_turn, {}), (failed, {"arterial": 6.0})):
        punctures = [hole(6, days_ago=5), last]
        assert used_last(punctures, known=tracks(punctures, as_of=TODAY), as_of=TODAY) == kept
    assert used_last([in_turn], known=(), as_of=TODAY) == {}
