"""What the static ratios of both needle sites together say about the place of a narrowing.

It takes the pattern table of a protocol as an argument and names a place only where that table does; the height
formula, and how often a pattern must be seen, are not its matter.
"""

from dataclasses import dataclass
from typing import Literal

from access.measures import Refused
from access.measures.units import as_shown
from access.measures.words import Kind

Place = Literal["normal", "inflow", "within the access", "outlet"]


@dataclass(frozen=True, kw_only=True)
class Cut:
    """A limit of a ratio; ``or_equal`` says whether the limit itself is already beyond (sources disagree)."""

    value: float
    or_equal: bool = True

    def passed_by(self, ratio: float) -> bool:
        """Whether a ratio, rounded to two places, is beyond the limit."""
        return ratio >= self.value if self.or_equal else ratio > self.value


@dataclass(frozen=True, kw_only=True)
class PatternLimits:
    """The pattern table of one kind of access, as a protocol holds it; ranges include both ends."""

    normal_arterial: tuple[float, float]
    normal_venous: tuple[float, float]
    outlet_arterial: Cut
    outlet_venous: Cut  # Below it the venous limb fits a narrowing within the access.
    within_arterial: Cut
    inflow_arterial_below: float


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """Where the two static ratios place a narrowing; ``place`` is ``None`` where they name none."""

    place: Place | None
    sentence: str
    repeat: bool  # True: at least one ratio is beyond its pattern, so it is read again within 7 days.


def pattern(kind: Kind, *, arterial_ratio: float | None, venous_ratio: float | None, limits: PatternLimits) -> Pattern:
    """Place of a narrowing by the static ratios of both needle sites.

    Parameters
    ----------
    kind : Kind
        Fistula or graft; it only adds what is known of the kind to the sentence.
    arterial_ratio, venous_ratio : float or None
        Static ratios of one height formula, no unit; ``None`` where a site was not measured.
    limits : PatternLimits
        The pattern table of this kind, from the protocol.

    Returns
    -------
    Pattern
        ``place`` (or ``None``), ``sentence`` and whether to ``repeat``.

    Notes
    -----
    The table is known from a secondary text. Where ranges overlap or leave a gap the sentence says "Between normal and
    ..." and no place is named. That a venous ratio above the arterial one asks for the readings, not for a place, is
    physics: pressure falls along the access.

    References
    ----------
    kdoqi-2006, venous-ratio-1997
    """
    arterial, venous = _shown(arterial_ratio), _shown(venous_ratio)
    if arterial is None or venous is None:
        return _one_site(arterial, venous, limits=limits)
    place, between = _place(arterial, venous, limits=limits)
    if place:
        sentence = _SENTENCES[place]
    elif between:
        sentence = f"Between normal and {_NAMES[between]}."
    elif venous > arterial:
        sentence = "The venous ratio lies above the arterial one: check both readings and heights. It fits no pattern."
    else:
        sentence = "The ratios fit no pattern."
    low, _ = limits.normal_arterial
    if kind == "fistula":
        sentence += " In a fistula the venous ratio tells little; flow tells more."
    if arterial < low or place == "normal":
        sentence += " This does not exclude low flow."
    return Pattern(place=place, sentence=sentence, repeat=_beyond(arterial, venous, limits=limits))


_NAMES: dict[Place, str] = {
    "inflow": "a narrowing of the inflow",
    "within the access": "a narrowing within the access",
    "outlet": "a narrowing of the outlet",
}
_SENTENCES: dict[Place, str] = {
    "normal": "Both ratios in the normal range.",
    "inflow": "Pattern of a narrowing of the inflow; it counts only together with clinical findings.",
    "within the access": "Pattern of a narrowing within the access, between the needles.",
    "outlet": "Pattern of a narrowing of the outlet.",
}


def _shown(ratio: float | None) -> float | None:
    return None if ratio is None else as_shown(ratio, decimals=2)


def _place(arterial: float, venous: float, *, limits: PatternLimits) -> tuple[Place | None, Place | None]:
    """The place named, else the place between which and normal the ratios lie, else neither."""
    (arterial_low, arterial_high), (venous_low, _) = limits.normal_arterial, limits.normal_venous
    venous_beyond = limits.outlet_venous.passed_by(venous)
    if venous_beyond and limits.outlet_arterial.passed_by(arterial):
        return "outlet", None
    if venous_beyond:
        return None, "outlet" if venous <= arterial else None
    if limits.within_arterial.passed_by(arterial):
        named = arterial > arterial_high
        return ("within the access", None) if named else (None, "within the access")
    if arterial < limits.inflow_arterial_below:
        return "inflow", None
    if arterial < arterial_low:
        return None, "inflow"
    if venous < venous_low:
        return None, None
    return "normal", None


def _beyond(arterial: float | None, venous: float | None, *, limits: PatternLimits) -> bool:
    """Whether a measured ratio is beyond a pattern's limit and outside its normal range."""
    low, high = limits.normal_arterial
    arterial_beyond = arterial is not None and (
        (limits.within_arterial.passed_by(arterial) and arterial > high)
        or arterial < min(low, limits.inflow_arterial_below)
    )
    return arterial_beyond or (venous is not None and limits.outlet_venous.passed_by(venous))


def _one_site(arterial: float | None, venous: float | None, *, limits: PatternLimits) -> Pattern:
    """What one ratio alone says: beyond its pattern or not, and never a place."""
    measured, missing = ("venous", "arterial") if arterial is None else ("arterial", "venous")
    if arterial is None and venous is None:
        raise Refused("A pattern needs a static ratio of at least one site.", field="arterial_ratio")
    beyond = _beyond(arterial, venous, limits=limits)
    state = "is beyond the limit of its pattern" if beyond else "is within the limits of its patterns"
    return Pattern(
        place=None,
        sentence=f"The {measured} ratio {state}; the {missing} site was not measured, so no place can be told.",
        repeat=beyond,
    )
