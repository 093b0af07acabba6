"""Which sites of a vessel may be needled, for which needle, and how many treatments they serve before one comes again.

It knows lengths, zones, limbs and tracks; which of the sites is next is in ``sites``.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from access.measures.hydraulics import Values
from access.measures.needles import SpacingRules
from access.measures.readings import AccessProfile, ZoneReading
from access.measures.tracks import Track
from access.measures.words import Configuration, NeedleRole

STEP_CM = 0.5
# A graft that runs there and back; nothing in a record says where it turns.
LOOPS: frozenset[Configuration] = frozenset({"forearm loop graft", "upper-arm loop graft", "thigh loop graft"})
NO_TRACK: Mapping[NeedleRole, float] = {}
_NOISE = 1e-9


@dataclass(frozen=True, kw_only=True)
class Ground:
    """The sites (cm, rising) that may be needled, and which of them take the arterial and which the venous needle.

    ``turn_cm`` is where a loop is taken to turn; ``None`` where the access has no limbs. ``kept_cm`` holds the needles
    that stay in a buttonhole track.
    """

    sites_cm: Values
    arterial: NDArray[np.bool_]
    venous: NDArray[np.bool_]
    turn_cm: float | None = None
    kept_cm: Mapping[NeedleRole, float] = field(default_factory=dict)

    def pairs(self, *, gap_cm: float) -> NDArray[np.intp]:
        """The pairs as two rows of indices, arterial and venous; two tracks are a pair whatever their distance."""
        apart = tenths(self.sites_cm[None, :] - self.sites_cm[:, None]) >= tenths(gap_cm)
        if len(self.kept_cm) == 2:
            apart = np.ones_like(apart)
        return np.array(np.nonzero(apart & self.arterial[:, None] & self.venous[None, :]))

    def rests_treatments(self, *, gap_cm: float) -> int:
        """For how many treatments (m) every site can rest at best; 0 where no pair fits, 1 where both have a track."""
        mine = {"arterial": self.sites_cm[self.arterial], "venous": self.sites_cm[self.venous]}
        if len(self.kept_cm) == 1:
            free = self.venous if "arterial" in self.kept_cm else self.arterial
            row = 1 if "arterial" in self.kept_cm else 0
            return len(np.unique(self.pairs(gap_cm=gap_cm)[row])) if free.any() else 0
        if self.kept_cm:
            return 1
        own = None if self.turn_cm is None else mine["venous"]
        return matching_number(mine["arterial"], gap_cm=gap_cm, venous_cm=own)


def in_force(zones: Sequence[ZoneReading], *, on: date) -> tuple[ZoneReading, ...]:
    """The zones to keep off on a day."""
    return tuple(
        zone
        for zone in zones
        if zone.action == "keep off" and zone.since <= on and (zone.until is None or on <= zone.until)
    )


def grid(from_cm: float, *, to_cm: float, step_cm: float = STEP_CM) -> Values:
    """The sites (cm) between two places, both included, on multiples of the step."""
    first, last = np.ceil(from_cm / step_cm - _NOISE), np.floor(to_cm / step_cm + _NOISE)
    return np.arange(first, last + 1) * step_cm


def ground(
    access: AccessProfile,
    *,
    zones: Sequence[ZoneReading],
    rules: SpacingRules,
    tracks: Sequence[Track] = (),
    kept_cm: Mapping[NeedleRole, float] = NO_TRACK,
) -> Ground:
    """The sites of an access that may be needled in turn.

    Parameters
    ----------
    access : AccessProfile
        Its needled length and its configuration.
    zones : sequence of ZoneReading
        Stretches that are left out, whatever their day: see :func:`in_force`.
    tracks : sequence of Track
        Left out with ``rules.recent_cm`` around each.
    rules : SpacingRules
        The gap to the anastomosis, and how far a track reaches.
    kept_cm : mapping of NeedleRole to float
        The track in which a needle stays, cm: its only site.

    Notes
    -----
    A loop is taken to turn at the middle of its needled length, since no record says where; its arterial needle goes
    before, its venous one beyond it, none into the turn itself.

    References
    ----------
    own-choice
    """
    turn = _turn_cm(access)
    sites = _free(access, zones=zones, tracks=tracks, rules=rules)
    arterial = sites if turn is None else sites[sites < turn - _NOISE]
    venous = sites if turn is None else sites[sites > turn + _NOISE]
    arterial = np.array([kept_cm["arterial"]]) if "arterial" in kept_cm else arterial
    venous = np.array([kept_cm["venous"]]) if "venous" in kept_cm else venous
    every = np.union1d(arterial, venous)
    return Ground(
        sites_cm=every,
        arterial=among(every, arterial),
        venous=among(every, venous),
        turn_cm=turn,
        kept_cm=kept_cm,
    )


def _free(
    access: AccessProfile, *, zones: Sequence[ZoneReading], tracks: Sequence[Track], rules: SpacingRules
) -> Values:
    if access.needled_to_cm is None:
        return np.empty(0)
    sites = grid(max(access.needled_from_cm, rules.anastomosis_cm), to_cm=access.needled_to_cm)
    for zone in zones:
        sites = sites[(sites < zone.from_cm - _NOISE) | (sites > zone.to_cm + _NOISE)]
    for track in tracks:
        sites = sites[tenths(np.abs(sites - track.along_cm)) >= tenths(rules.recent_cm)]
    return sites


def _turn_cm(access: AccessProfile) -> float | None:
    if access.configuration not in LOOPS or access.needled_to_cm is None:
        return None
    return (access.needled_from_cm + access.needled_to_cm) / 2


def matching_number(sites_cm: ArrayLike, *, gap_cm: float, venous_cm: ArrayLike | None = None) -> int:
    """How many pairs of sites at least ``gap_cm`` apart can be made at once, each site in one pair only.

    Parameters
    ----------
    sites_cm : array_like
        Sites for either needle, or with ``venous_cm`` those for the arterial one, cm.
    gap_cm : float
        Least distance of the two sites of a pair, cm.
    venous_cm : array_like, optional
        Sites for the venous needle where it has its own; no site may be in both.

    Notes
    -----
    The largest m for which the first m sites and the last m sites in order lie at least the gap apart, each from its
    own; on one line m is at most half the sites. No plan can rest every site for more than m treatments: of m + 1
    treatments without a site used twice the pairs would be a matching of m + 1.

    References
    ----------
    simulation
    """
    first = np.sort(np.asarray(sites_cm, dtype=np.float64))
    last = first if venous_cm is None else np.sort(np.asarray(venous_cm, dtype=np.float64))
    most = len(first) // 2 if venous_cm is None else min(len(first), len(last))
    return next(
        (m for m in range(most, 0, -1) if np.all(tenths(last[len(last) - m :] - first[:m]) >= tenths(gap_cm))), 0
    )


def among(sites_cm: Values, some_cm: ArrayLike) -> NDArray[np.bool_]:
    """Which of the sites are among some others; a plain comparison, for sites are few."""
    found: NDArray[np.bool_] = (sites_cm[:, None] == np.asarray(some_cm, dtype=np.float64)).any(axis=1)
    return found


def tenths(cm: ArrayLike) -> NDArray[np.int64]:
    """Distances in whole tenths of a cm, as they are shown: what is compared is rounded first, a half upward."""
    return np.floor(np.asarray(cm, dtype=np.float64) * 10 + 0.5 + _NOISE).astype(np.int64)
