"""What is said of a planned pair of sites, and why none fits where none does. It decides nothing."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from access.measures.ground import STEP_CM, Ground, ground
from access.measures.hydraulics import Values
from access.measures.needles import SpacingRules
from access.measures.readings import AccessProfile, ZoneReading
from access.measures.tracks import Track


def of_the_pair(here: Ground, *, rest_days: tuple[int | None, int | None], cleared: int, wanted: int) -> str:
    """Why this pair: its rest, what could not be kept clear of, and where a loop is taken to turn.

    Parameters
    ----------
    here : Ground
        The sites that were free.
    rest_days : pair of int or None
        Days of rest of the arterial and the venous site; ``None``: never needled in the record.
    cleared, wanted : int
        Of how many treatments the sites are left out, and of how many they should have been.
    """
    words = _in_words(rest_days)
    said = [f"{_manner(here)}: {words}."]
    if cleared < wanted:
        out = f"only those of the last {cleared} are" if cleared else "none are"
        said.append(f"The sites of the last {wanted} treatments cannot all be left out: {out}.")
    if here.turn_cm is not None:
        said.append(
            f"The loop is taken to turn at {here.turn_cm:g} cm, half its needled length: A before it, V beyond."
        )
    return " ".join(said)


def _manner(here: Ground) -> str:
    if len(here.kept_cm) == 2:
        return "Through the buttonhole tracks of last time"
    if here.kept_cm:
        letter, other = ("A", "V") if "arterial" in here.kept_cm else ("V", "A")
        return f"{letter} through its buttonhole track as last time, {other} at the site that rested longest"
    return "The longest rested pair"


def _in_words(rested: tuple[int | None, int | None]) -> str:
    if rested == (None, None):
        return "neither site was needled in the record"
    parts = ("never needled in the record" if days is None else f"{days} days of rest" for days in rested)
    return " and ".join(f"{letter} {part}" for letter, part in zip("AV", parts, strict=True))


def of_no_pair(
    access: AccessProfile,
    *,
    here: Ground,
    zones: Sequence[ZoneReading],
    tracks: Sequence[Track],
    rules: SpacingRules,
) -> str:
    """Why no pair fits: the length is not known or too short, or zones and tracks leave too little of it."""
    if access.needled_to_cm is None:
        return "How far the vessel is needled is not recorded."
    whole = ground(access, zones=(), rules=rules)
    asked = f"two needles {rules.sites_cm:g} cm apart"
    if not len(whole.sites_cm):
        return f"The needled length ends within {rules.anastomosis_cm:g} cm of the anastomosis."
    if not whole.rests_treatments(gap_cm=rules.sites_cm):
        return f"Too short for {asked}: only {stretches(whole.sites_cm)} may be needled."
    what = [words for words, some in (("Zones to keep off", zones), ("buttonhole tracks", tracks)) if some]
    left = stretches(here.sites_cm) if len(here.sites_cm) else "nothing"
    leave = " and ".join(what)
    return f"{leave[:1].upper()}{leave[1:]} leave no room for {asked}: {left} may be needled."


def stretches(sites_cm: Values) -> str:
    """Sites in words: ``4 to 8.5 cm and 12 cm``."""
    breaks = [0, *(at + 1 for at, (one, other) in enumerate(pairwise(sites_cm)) if other - one > STEP_CM + 1e-9)]
    ends = [*breaks[1:], len(sites_cm)]
    parts = [_stretch(sites_cm[start:end]) for start, end in zip(breaks, ends, strict=True)]
    return " and ".join(parts)


def _stretch(sites_cm: Values) -> str:
    first, last = float(np.min(sites_cm)), float(np.max(sites_cm))
    return f"{first:g} cm" if first == last else f"{first:g} to {last:g} cm"
