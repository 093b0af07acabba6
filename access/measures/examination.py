"""What look, listen and feel mean: the signs that count, and which findings are an emergency.

It judges one examination. Whether a sign holds is for ``succession`` and the rules; a number never enters here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any, Literal

from access.measures.emergency_table import EMERGENCY_TABLE, Condition, Readings, Row
from access.measures.readings import ZoneReading
from access.measures.words import URGENCIES

Group = Literal["outflow", "inflow", "other"]


@dataclass(frozen=True, kw_only=True)
class Sign:
    """One sign: the readings of a field that show it, and to which side of the access it points."""

    id: str
    field: str
    readings: tuple[str, ...]
    group: Group
    words: str
    source: str = "kdoqi-2019"
    source_says: str = "Listed as a clinical indicator."

    @property
    def rule(self) -> str:
        """The id of the rule that follows this sign."""
        return f"sign.{self.id}"

    @property
    def listed(self) -> bool:
        """Whether KDOQI 2019 lists it as a clinical indicator."""
        return self.source == "kdoqi-2019"

    @property
    def of_the_flow(self) -> bool:
        """Whether it tells of the flow, so that an event that changes the vessel starts it anew."""
        return self.group != "other" or self.field in FELT_AND_HEARD


# What an event that changes the vessel changes at once; what is seen of skin, bulge or hand it leaves as it was.
FELT_AND_HEARD: frozenset[str] = frozenset({"thrill", "bruit"})

# Groups follow the trade: outflow signs come of pressure, inflow signs of its lack. Where the table of 2019 names a
# sign only as abnormal, the readings on both sides have a row each, so that two different ones never add up to one.
SIGNS: tuple[Sign, ...] = (
    Sign(
        id="swelling",
        field="swelling",
        readings=("hand", "arm", "breast or face"),
        group="outflow",
        words="swelling of the limb",
    ),
    Sign(id="pulse-pulsatile", field="pulse", readings=("pulsatile",), group="outflow", words="pulsatile pulse"),
    Sign(
        id="bruit-outflow",
        field="bruit",
        readings=("high-pitched", "broken"),
        group="outflow",
        words="high-pitched or broken bruit",
    ),
    Sign(
        id="no-collapse",
        field="arm_raise",
        readings=("does not collapse",),
        group="outflow",
        words="no collapse when the arm is raised",
    ),
    Sign(
        id="collaterals",
        field="collaterals",
        readings=("seen",),
        group="outflow",
        words="collateral veins",
        source="asif-2007",
        source_says="Collateral veins belong to the outflow signs of the examination; KDOQI 2019 does not list them.",
    ),
    Sign(id="pulse-weak", field="pulse", readings=("weak",), group="inflow", words="weak pulse"),
    Sign(
        id="thrill-weak", field="thrill", readings=("weak", "missing"), group="inflow", words="weak or missing thrill"
    ),
    Sign(id="bruit-weak", field="bruit", readings=("weak", "missing"), group="inflow", words="weak or missing bruit"),
    Sign(
        id="no-augmentation",
        field="augmentation",
        readings=("weak", "none"),
        group="inflow",
        words="weak or no augmentation",
    ),
    Sign(
        id="excessive-collapse",
        field="arm_raise",
        readings=("collapses too far",),
        group="inflow",
        words="excessive collapse when the arm is raised",
    ),
    Sign(
        id="hard-to-needle",
        field="needling",
        readings=("newly difficult",),
        group="inflow",
        words="new difficulty in needling",
    ),
    Sign(id="clots-drawn", field="needling", readings=("clots drawn",), group="inflow", words="clots drawn"),
    Sign(
        id="target-speed",
        field="circuit",
        readings=("target pump speed not reached",),
        group="inflow",
        words="target pump speed not reached",
    ),
    Sign(
        id="thrill-anastomosis-only",
        field="thrill",
        readings=("at the anastomosis only",),
        group="other",
        words="thrill at the anastomosis only",
    ),
    Sign(
        id="swelling-at-access",
        field="swelling",
        readings=("at the access",),
        group="other",
        words="swelling at the access",
        source="common-practice",
        source_says="Common practice; KDOQI 2019 lists swelling of the limb.",
    ),
    Sign(
        id="hand-cold",
        field="hand",
        readings=("newly cold",),
        group="other",
        words="hand newly cold",
        source="hand-stages-2008",
        source_says="Hand symptoms of an access come in stages I to IV; numbness, weakness and pain are the emergency.",
    ),
)


def signs(findings: Mapping[str, str]) -> tuple[Sign, ...]:
    """Every sign that an examination shows, listed by KDOQI 2019 or not."""
    return tuple(sign for sign in SIGNS if findings.get(sign.field) in sign.readings)


def indicators(findings: Mapping[str, str], *, group: Group | None = None) -> tuple[str, ...]:
    """The ids of the clinical indicators of KDOQI 2019 that an examination shows, of one group or of all.

    Notes
    -----
    Bleeding time and fall of Kt/V are on the same list but are no examination; rules of their own follow them.

    References
    ----------
    kdoqi-2019
    """
    return tuple(sign.id for sign in signs(findings) if sign.listed and group in (None, sign.group))


def emergencies(
    findings: Mapping[str, str],
    *,
    before: Mapping[str, str] | None,
    zones: Sequence[ZoneReading] = (),
    on: date | None = None,
) -> tuple[Row, ...]:
    """The rows of the emergency table that an examination meets, most urgent first.

    Parameters
    ----------
    findings : mapping
        Field to reading; a field that was not examined is absent.
    before : mapping or None
        The examination of the occasion before, where there was one.
    zones : sequence of ZoneReading
        Zones of the access; they count only with a day.
    on : date, optional
        The day on which it is asked.

    References
    ----------
    common-practice, salvage-early, hand-same-day, bulge-proposal
    """
    rows = [
        row
        for row in EMERGENCY_TABLE
        if any(_met(condition, findings, before=before or {}) for condition in row.when)
        or old_zones(row, zones=zones, on=on)
    ]
    return tuple(sorted(rows, key=lambda row: -URGENCIES.index(row.urgency)))


def depends_on_before(findings: Mapping[str, str]) -> bool:
    """Whether it takes the examination of the occasion before to say which rows an examination meets."""
    return any(condition.before and _has(condition.seen, findings) for row in EMERGENCY_TABLE for condition in row.when)


def _met(condition: Condition, findings: Mapping[str, str], *, before: Mapping[str, str]) -> bool:
    return (
        _has(condition.seen, findings)
        and _has(condition.before, before)
        and not any(findings.get(field) in readings for field, readings in condition.unless.items())
    )


def _has(readings: Readings, findings: Mapping[str, str]) -> bool:
    return all(findings.get(field) in allowed for field, allowed in readings.items())


def old_zones(row: Row, *, zones: Sequence[ZoneReading], on: date | None) -> tuple[ZoneReading, ...]:
    """The zones that meet a row by their age on a day."""
    if row.zone is None or on is None:
        return ()
    why, days = row.zone.why, row.zone.days
    return tuple(
        zone
        for zone in zones
        if zone.why == why and (on - zone.since).days > days and (zone.until is None or zone.until > on)
    )


def as_table() -> list[dict[str, Any]]:
    """The emergency table as plain lists and texts, by which the page looks findings up without a network."""
    return [
        {
            "id": row.id,
            "title": row.title,
            "when": [
                {name: _plain(getattr(condition, name)) for name in ("seen", "unless", "before")}
                for condition in row.when
            ],
            "zone": None if row.zone is None else asdict(row.zone),
            "urgency": row.urgency,
            "time_in_words": row.time_in_words,
            "stop": row.stop,
            "keep_off": row.keep_off,
            "first": list(row.first),
            "second_examiner": row.second_examiner,
            "needs_who_was_told": row.needs_who_was_told,
            "needs_reason_to_needle": row.needs_reason_to_needle,
            "needs_physician_to_needle": row.needs_physician_to_needle,
            "source": row.source,
        }
        for row in EMERGENCY_TABLE
    ]


def _plain(readings: Readings) -> dict[str, list[str]]:
    return {field: list(allowed) for field, allowed in readings.items()}
