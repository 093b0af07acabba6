"""The emergency table: which findings stop the screen, how urgent they are, and what is done first.

One table for server and page: its conditions are plain comparisons of words, so that the page looks them up without a
network. It decides nothing by itself and tells nobody. Standing of the whole table: common practice.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from access.measures.words import Urgency, ZoneWhy

Readings = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, kw_only=True)
class Condition:
    """Met when each field of ``seen`` has one of its readings, none of ``unless`` has, and ``before`` held too.

    ``before`` is looked up in the examination of the occasion before. A field not examined never meets a reading.
    """

    seen: Readings
    unless: Readings = field(default_factory=dict)
    before: Readings = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class OldZone:
    """Met by a zone of this kind that is older than ``days`` and still open."""

    why: ZoneWhy
    days: int


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row: when it is met, how urgent it is, and the texts of its panel."""

    id: str
    title: str
    when: tuple[Condition, ...]  # Any of them.
    urgency: Urgency
    time_in_words: str
    first: tuple[str, ...]  # What to do first, in order.
    stop: bool = False  # The panel stops the flow of the screen; recording goes on at once all the same.
    keep_off: str = ""  # "no needle here" or "no needle in that place".
    second_examiner: bool = False
    source: str = "common-practice"
    source_says: str = "Common practice."
    zone: OldZone | None = None
    known: Readings = field(default_factory=dict)  # Readings that say: nothing new since a person looked at it.

    @property
    def needs_who_was_told(self) -> bool:
        """Whether the entry stays *needs you* until it says who was told."""
        return self.stop

    @property
    def needs_reason_to_needle(self) -> bool:
        """Whether needling goes on only with a reason."""
        return self.stop

    @property
    def needs_physician_to_needle(self) -> bool:
        """Whether needling goes on only with the name of the physician who decided."""
        return self.stop and self.urgency == "stat"


_THIN = "thin, shiny or pale over a bulge"
_BIG_SCAB = "scab larger than a needle mark"
_OPEN = "ulcer, open wound or dead skin"
_RED = "redness that spreads or pus"
_FEVER: Readings = {"fever": ("fever or chills",)}
# What passes by itself: seen at one occasion, it says nothing of the next (own choice).
PASSING: Readings = {
    **_FEVER,
    "bleeding": ("does not stop",),
    "circuit": ("needle came out", "swelling while the pump runs"),
}
_NOBODY_TOLD = "This program has told nobody: call the number shown."

EMERGENCY_TABLE: tuple[Row, ...] = (
    Row(
        id="bleeding-or-needle-out",
        title="Bleeding, needle out, or swelling while the pump runs",
        when=(
            Condition(seen={"bleeding": ("does not stop",)}),
            Condition(seen={"circuit": ("needle came out", "swelling while the pump runs")}),
        ),
        urgency="stat",
        time_in_words="now",
        stop=True,
        keep_off="no needle here",
        first=(
            "Press on the place with a gloved finger and keep pressing.",
            "Stop the pump and clamp by the local protocol.",
            "Call for help; stay with the patient.",
            _NOBODY_TOLD,
        ),
    ),
    Row(
        id="open-or-infected",
        title="Open or dead skin, bleeding by itself, a growing bulge, or infection at the access",
        when=(
            Condition(seen={"skin": (_OPEN, _RED)}),
            Condition(seen={"bleeding": ("between treatments",)}),
            Condition(seen={"bulge": ("grown since last time",)}),
            # A bulge that was not there at the last examination and has thin skin has grown since then (own choice).
            Condition(seen={"bulge": ("new",), "skin": (_THIN,)}, before={"bulge": ("none",)}),
            # Of an infected access a nurse may see no more than a bruise or the arm swollen (own choice).
            Condition(seen={**_FEVER, "skin": (_THIN, _BIG_SCAB, "bruise")}),
            Condition(seen={**_FEVER, "swelling": ("at the access", "arm")}),
            Condition(seen={**_FEVER, "bulge": ("new",)}),
        ),
        urgency="stat",
        time_in_words="now",
        stop=True,
        keep_off="no needle here",
        first=(
            "No needle here. If it bleeds, press with a gloved finger and keep pressing.",
            "Call the physician before anything else is done at this access.",
            _NOBODY_TOLD,
        ),
        source="bulge-proposal",
        source_says="Ulcer, eschar, spontaneous bleeding, rapid growth: no needle there. The rest is common practice.",
    ),
    Row(
        id="no-thrill-no-bruit",
        title="Neither thrill nor bruit",
        when=(Condition(seen={"thrill": ("missing",), "bruit": ("missing",)}),),
        urgency="stat",
        time_in_words="now, before any needle",
        stop=True,
        keep_off="no needle here",
        first=(
            "No needle: the access may be clotted.",
            "Feel and listen again along the whole vessel; take the blood pressure.",
            "Call the physician at once: an access that has clotted is saved early.",
            _NOBODY_TOLD,
        ),
        source="salvage-early",
        source_says="Salvage of a clotted access is done early.",
    ),
    Row(
        id="thin-skin-or-scab",
        title="Thin, shiny or pale skin over a bulge, or a large or old scab",
        when=(Condition(seen={"skin": (_THIN, _BIG_SCAB)}),),
        zone=OldZone(why="scab", days=7),
        urgency="asap",
        time_in_words="today",
        stop=True,
        keep_off="no needle in that place",
        second_examiner=True,
        first=("No needle in that place.", "Ask a second examiner to look now.", _NOBODY_TOLD),
        source="bulge-proposal",
        source_says="Thin, shiny skin or eschar: no needle there. That a scab is old after 7 days is an own choice.",
    ),
    Row(
        id="thrill-or-bruit-missing",
        title="Thrill missing with bruit heard, or the reverse",
        when=(
            Condition(seen={"thrill": ("missing",)}, unless={"bruit": ("missing",)}),
            Condition(seen={"bruit": ("missing",)}, unless={"thrill": ("missing",)}),
        ),
        urgency="asap",
        time_in_words="today, before the needles",
        second_examiner=True,
        first=("Ask a second examiner to feel and listen before the needles go in.",),
    ),
    Row(
        id="hand",
        title="Hand newly numb, weak or painful, or worse",
        when=(Condition(seen={"hand": ("newly numb, weak or painful", "worse")}),),
        urgency="asap",
        time_in_words="today",
        stop=True,
        first=(
            "Look at both hands: colour, warmth, movement, feeling.",
            "Call the physician today, before the treatment goes on.",
            _NOBODY_TOLD,
        ),
        source="hand-same-day",
        source_says="New weakness or numbness of the hand after creation of an access: same day.",
    ),
    Row(
        id="hand-known",
        title="Known symptoms of the hand, unchanged",
        when=(Condition(seen={"hand": ("known symptoms, unchanged",)}),),
        known={"hand": ("known symptoms, unchanged",)},
        urgency="routine",
        time_in_words="at the next visit",
        first=("Tell it at the next visit.",),
        source="hand-stages-2008",
        source_says="Hand symptoms of an access come in stages I to IV.",
    ),
    Row(
        id="bulge",
        title="A bulge without a change of the skin",
        when=(
            Condition(
                seen={"bulge": ("known, unchanged", "new")},
                unless={"skin": (_THIN, _BIG_SCAB, _OPEN, _RED)},
            ),
        ),
        known={"bulge": ("known, unchanged",)},
        urgency="routine",
        time_in_words="at the next visit",
        first=("Keep needles off the bulge; tell it at the next visit.",),
        source="bulge-proposal",
        source_says="A bulge is 18 mm or three times the vessel (proposed).",
    ),
)
