"""What the weighing of places came to: one place, between places, or that it cannot be told, and how that is put.

It weighs nothing; the probabilities come from ``narrowing_place``. It never says that an access is normal.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from access.measures.findings import Evidence
from access.measures.units import as_shown

NarrowingPlace = Literal["none", "inflow", "within the access", "outlet"]
PLACES: tuple[NarrowingPlace, ...] = get_args(NarrowingPlace)
NARROWINGS: tuple[NarrowingPlace, ...] = PLACES[1:]
# A narrowing is named from the first share on; that there is none, two places together, or a narrowing somewhere, from
# the second, since missing a narrowing costs more than one look too many (own choice).
NAMED, SURE = 0.70, 0.85
SECOND = 0.10  # The second of two places between which it cannot tell has at least this share (own choice).
_IN_WORDS: dict[NarrowingPlace, str] = {
    "none": "an access without a narrowing",
    "inflow": "a narrowing of the inflow",
    "within the access": "a narrowing between the needles",
    "outlet": "a narrowing of the outlet",
}


@dataclass(frozen=True, kw_only=True)
class Placing:
    """The probability of each place, with what it rests on; it holds for one narrowing at most, and in the model.

    ``numbers`` counts the numbers weighed, before and now; ``signs`` are odd signs in words; ``fits`` is False where
    the numbers fit no place of the model; ``missing`` says what was not measured or has no baseline.
    """

    probabilities: Mapping[NarrowingPlace, float]
    numbers: int
    signs: tuple[str, ...] = ()
    fits: bool = True
    since: str = ""
    missing: tuple[str, ...] = ()
    inputs: tuple[Evidence, ...] = ()

    @property
    def place(self) -> NarrowingPlace | None:
        """The place that is named: measured at all, likely enough as shown, and never "none" beside an odd sign."""
        best = self._by_likelihood()[0]
        if best == "none":
            return best if self._tells and not self.signs and self._reaches(SURE, best) else None
        return best if self._tells and self._reaches(NAMED, best) else None

    @property
    def between(self) -> tuple[NarrowingPlace, ...]:
        """The places between which it cannot tell, the likelier first; none where one is named or nothing can be told.

        Two places, or all three where only a narrowing as such is likely.
        """
        if not self._tells or self.place is not None:
            return ()
        one, other = self._by_likelihood()[:2]
        if self._reaches(SURE, one, other) and self._reaches(SECOND, other):
            return one, other
        return NARROWINGS if self._reaches(SURE, *NARROWINGS) else ()

    @property
    def sentence(self) -> str:
        """What it says, in words; odd signs stand in it whatever the numbers say."""
        beside = f" Odd at the examination: {', '.join(self.signs)}; no number silences it." if self.signs else ""
        return self._of_the_numbers() + beside + (" Imaging decides." if self._tells else "")

    @property
    def shares(self) -> tuple[str, ...]:
        """Each place with its probability, in words, the likelier first; none where nothing can be told."""
        if not self._tells:
            return ()
        return tuple(f"{_IN_WORDS[place]} {self._percent(place)}" for place in self._by_likelihood())

    def _of_the_numbers(self) -> str:
        if not self.numbers:
            return f"Cannot tell: nothing measured{f' since {self.since}' if self.since else ''}."
        if not self.fits:
            return "Fits no place: look at the readings, heights and lines, and measure again."
        if self.place is not None:
            excludes = ", which excludes nothing" if self.place == "none" else ""
            return f"Fits {_IN_WORDS[self.place]} best ({self._percent(self.place)}){excludes}."
        if len(self.between) == 2:
            one, other = self.between
            shares = f"{self._percent(one)} and {self._percent(other)}"
            return f"Between {_IN_WORDS[one]} and {_IN_WORDS[other]} ({shares})."
        if self.between:
            return f"Fits a narrowing ({self._percent(*NARROWINGS)}), but cannot tell where."
        best = self._by_likelihood()[0]
        if self._reaches(SURE, best):  # None by the numbers, which is not named beside an odd sign.
            return f"The numbers alone fit {_IN_WORDS[best]} best ({self._percent(best)})."
        return f"Cannot tell: no place stands out; the likeliest is {_IN_WORDS[best]} ({self._percent(best)})."

    @property
    def _tells(self) -> bool:
        return self.fits and self.numbers > 0

    def _by_likelihood(self) -> list[NarrowingPlace]:
        return sorted(PLACES, key=lambda place: -self.probabilities[place])

    def _together(self, *places: NarrowingPlace) -> float:
        return sum(self.probabilities[place] for place in places)

    def _reaches(self, share: float, *places: NarrowingPlace) -> bool:
        return as_shown(self._together(*places), decimals=2) >= share

    def _percent(self, *places: NarrowingPlace) -> str:
        """A probability as shown: no number of a model is certain."""
        percent = as_shown(100 * self._together(*places), decimals=0)
        return "more than 99 %" if percent > 99 else "less than 1 %" if percent < 1 else f"{percent:.0f} %"
