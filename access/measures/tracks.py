"""Buttonhole tracks of an access: recognised by what was recorded, so that no plan of sites in turn touches them.

A track is known by the word of the nurse or by a blunt needle, which goes through nothing else. The same spot needled
sharply again and again is area needling and no track; that is for ``clustering``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import get_args

from access.measures.readings import Puncture
from access.measures.units import is_below
from access.measures.words import NeedleRole

# Own choice: a track that has not been used for so long is skin like any other.
TRACK_DAYS = 84


@dataclass(frozen=True, kw_only=True)
class Track:
    """One track: its place (cm), the needle it served last, that day, and how often it was used."""

    along_cm: float
    role: NeedleRole
    last_on: date
    punctures: int


def through_track(puncture: Puncture) -> bool:
    """Whether a puncture went through a track: called a buttonhole, or made with a blunt needle."""
    return puncture.technique == "buttonhole" or puncture.tip == "blunt"


def tracks(
    punctures: Sequence[Puncture], *, as_of: date, width_cm: float = 0.6, days: int = TRACK_DAYS
) -> tuple[Track, ...]:
    """The tracks in use on a day, in order along the vessel (cm).

    Parameters
    ----------
    punctures : sequence of Puncture
        A later one than ``as_of``, or one without a place, is not seen.
    as_of : date
        The day.
    width_cm : float
        Punctures nearer than this to the one before are of the same track, cm.
    days : int
        How long a track counts as in use after its last needle.

    References
    ----------
    own-choice
    """
    begin = as_of - timedelta(days=days)
    seen = [
        (one.along_cm, one)
        for one in punctures
        if one.along_cm is not None and through_track(one) and begin < one.at.date() <= as_of
    ]
    groups: list[list[tuple[float, Puncture]]] = []
    for along_cm, one in sorted(seen, key=lambda each: each[0]):
        if groups and is_below(along_cm - groups[-1][-1][0], width_cm, decimals=1):
            groups[-1].append((along_cm, one))
        else:
            groups.append([(along_cm, one)])
    return tuple(_track(group) for group in groups)


def _track(group: Sequence[tuple[float, Puncture]]) -> Track:
    along_cm, last = max(group, key=lambda each: (each[1].at, each[1].id))
    return Track(along_cm=along_cm, role=last.role, last_on=last.at.date(), punctures=len(group))


def used_last(punctures: Sequence[Puncture], *, known: Sequence[Track], as_of: date) -> dict[NeedleRole, float]:
    """Where (cm) each needle went through one of the known tracks at its last turn; absent where it did not."""
    found: dict[NeedleRole, float] = {}
    for role in get_args(NeedleRole) if known else ():
        stayed = [
            one
            for one in punctures
            if one.role == role and one.outcome == "in use to the end" and one.at.date() <= as_of
        ]
        last = max(stayed, key=lambda one: (one.at, one.id), default=None)
        if last is not None and last.along_cm is not None and through_track(last):
            along_cm = last.along_cm
            found[role] = min((track.along_cm for track in known), key=lambda at: abs(at - along_cm))
    return found
