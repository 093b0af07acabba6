"""What is marked on a map of an access: past punctures, zones, the planned pair and the needles that are in.

Positions are cm along the vessel from the arterial anastomosis. Which site is due is worked out elsewhere.
"""

from dataclasses import dataclass

from access.measures.words import NeedleRole, ZoneAction, ZoneWhy

# A site that rested longer carries no age and no hatching: own choice, six treatments of a usual schedule.
AGES_SHOWN_DAYS = 14


@dataclass(frozen=True, kw_only=True)
class PastSite:
    """One earlier puncture and the days since."""

    role: NeedleRole
    along_cm: float
    days: int
    across_cm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class ZoneMark:
    """A stretch to keep off or to take care in, with its reason."""

    from_cm: float
    to_cm: float
    why: ZoneWhy
    action: ZoneAction


@dataclass(frozen=True, kw_only=True)
class Pair:
    """An arterial and a venous site; ``None`` where there is none."""

    arterial_cm: float | None
    venous_cm: float | None

    def sites(self) -> list[tuple[NeedleRole, float]]:
        """The sites that are known, the arterial one first."""
        pairs: list[tuple[NeedleRole, float | None]] = [("arterial", self.arterial_cm), ("venous", self.venous_cm)]
        return [(role, along) for role, along in pairs if along is not None]


NO_PAIR = Pair(arterial_cm=None, venous_cm=None)


@dataclass(frozen=True, kw_only=True)
class Marks:
    """Everything that is marked on one map."""

    punctures: tuple[PastSite, ...] = ()
    zones: tuple[ZoneMark, ...] = ()
    planned: Pair = NO_PAIR
    placed: Pair = NO_PAIR

    def on(self, length_cm: float) -> "Marks":
        """The marks that lie on a vessel of this length; zones are cut at its end."""
        return Marks(
            punctures=tuple(each for each in self.punctures if 0 <= each.along_cm <= length_cm),
            zones=tuple(
                ZoneMark(
                    from_cm=max(each.from_cm, 0.0), to_cm=min(each.to_cm, length_cm), why=each.why, action=each.action
                )
                for each in self.zones
                if each.from_cm <= length_cm and each.to_cm >= 0
            ),
            planned=_cut(self.planned, length_cm),
            placed=_cut(self.placed, length_cm),
        )

    def count(self) -> int:
        """How many things are marked."""
        return len(self.punctures) + len(self.zones) + len(self.planned.sites()) + len(self.placed.sites())


def _cut(pair: Pair, length_cm: float) -> Pair:
    known = {role: along for role, along in pair.sites() if 0 <= along <= length_cm}
    return Pair(arterial_cm=known.get("arterial"), venous_cm=known.get("venous"))


def days_in_words(days: int) -> str:
    """The age of a puncture in words."""
    return "today" if days == 0 else "1 day" if days == 1 else f"{days} days"


def stretch_in_words(zone: ZoneMark) -> str:
    """From where to where a zone reaches."""
    return f"{zone.from_cm:g} to {zone.to_cm:g} cm"


def describe(marks: Marks, *, whose: str, label: str, caution: str, length_cm: float) -> str:
    """A map in sentences, for whoever does not see it."""
    shown = marks.on(length_cm)
    sentences = [f"{whose[0].upper()}{whose[1:]}, {label}. Distances are in cm along the vessel from the artery."]
    for word, pair in (("Needles", shown.placed), ("Planned", shown.planned)):
        if pair.sites():
            sites = ", ".join(f"{role} at {along:.1f} cm" for role, along in pair.sites())
            sentences.append(f"{word}: {sites}.")
    sentences += [f"{each.action.capitalize()}, {stretch_in_words(each)}: {each.why}." for each in shown.zones]
    recent = sorted((each for each in shown.punctures if each.days < AGES_SHOWN_DAYS), key=lambda each: each.days)
    if recent:
        sites = "; ".join(f"{each.role} {each.along_cm:.1f} cm, {days_in_words(each.days)}" for each in recent)
        sentences.append(f"Last punctures: {sites}.")
    beyond = marks.count() - shown.count()
    if beyond:
        sentences.append(f"Not drawn, because beyond {length_cm:g} cm: {beyond}.")
    return " ".join([*sentences, caution])
