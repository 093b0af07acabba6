"""Protocols: the limits of one guideline edition, each with its source, and what a clinic has made of them.

A protocol is data (``protocols/*.toml`` over ``limits.toml``) and versioned. It judges no access; rules do that.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal, cast, get_args

from access.measures import Refused
from access.measures.patterns import Cut, PatternLimits
from access.measures.sources import Standing, source, standing
from access.measures.units import as_shown, is_above, is_below
from access.measures.words import Kind

DEFAULT = "kdoqi-2019-supplement"  # What a new clinic starts with.
Beyond = Literal["above", "at or above", "below", "at or below"]
MeasurementAlone = Literal["refer", "repeat and examine"]
_HERE = Path(__file__).parent


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One limit in force, with where it comes from and whether a named person stands behind it."""

    id: str
    name: str
    value: float
    unit: str
    beyond: Beyond
    decimals: int
    bounds: tuple[float, float]
    source: str
    standing: Standing
    says: str
    confirmed: bool
    confirmed_by: str = ""
    confirmed_on: date | None = None
    why: str = ""

    def passed(self, value: float) -> bool:
        """Whether a value lies beyond this limit; both are first rounded as they are shown."""
        beyond = self.beyond
        if beyond == "above":
            return is_above(value, self.value, decimals=self.decimals)
        if beyond == "below":
            return is_below(value, self.value, decimals=self.decimals)
        if beyond == "at or above":
            return not is_below(value, self.value, decimals=self.decimals)
        return not is_above(value, self.value, decimals=self.decimals)

    def written(self, value: float | None = None) -> str:
        """A value of this quantity, or the limit itself, with its unit as shown: ``600 mL/min``, ``0.50``."""
        number = as_shown(self.value if value is None else value, decimals=self.decimals)
        unit = "" if self.unit == "1" else f" {self.unit}"
        return f"{number:.{self.decimals}f}{unit}"


@dataclass(frozen=True, kw_only=True)
class LocalLimit:
    """What a clinic sets or confirms for one limit, with who, when and why."""

    value: float
    who: str
    on: date
    why: str
    confirmed: bool = True


@dataclass(frozen=True, kw_only=True)
class Protocol:
    """The limits in force, which rule raises flags for each quantity, and how often each is planned."""

    id: str
    version: str
    name: str
    edition: str
    limits: Mapping[str, Limit]
    rules: Mapping[str, tuple[str, ...]]
    intervals_days: Mapping[str, float]
    texts: Mapping[str, str]
    measurement_alone: MeasurementAlone  # What a measurement that meets its rule leads to, without a sign.

    def number(self, key: str) -> float:
        """The value of a limit that every protocol holds."""
        return self.limits[key].value

    def gap_days(self, quantity: str) -> float:
        """Days after which a succession of this quantity is broken: twice its interval, and at least 21."""
        return max(2 * self.intervals_days[quantity], self.number("succession.least-gap-days"))

    def unconfirmed(self) -> tuple[Limit, ...]:
        """The limits that wait for a named person of the clinic, by id."""
        return tuple(limit for _, limit in sorted(self.limits.items()) if not limit.confirmed)


@cache
def _catalogue() -> dict[str, Any]:
    return tomllib.loads((_HERE / "limits.toml").read_text(encoding="utf-8"))


def ids() -> tuple[str, ...]:
    """The ids of all protocols, in alphabetical order."""
    return tuple(sorted(path.stem for path in (_HERE / "protocols").glob("*.toml")))


@cache
def load(key: str) -> Protocol:
    """The protocol with this id, as shipped.

    Raises
    ------
    Refused
        When there is no such protocol, or its file names an unknown limit or source or a value out of bounds.
    """
    if key not in ids():
        raise Refused(f"There is no protocol “{key}”; there are {', '.join(ids())}.", field="protocol")
    document = tomllib.loads((_HERE / "protocols" / f"{key}.toml").read_text(encoding="utf-8"))
    if document["measurement_alone"] not in get_args(MeasurementAlone):
        raise Refused(f"Protocol “{key}” does not say what a measurement alone leads to.", field="measurement_alone")
    shared = _catalogue()
    rows = {**shared["value"], **document.get("limit", {})}
    return Protocol(
        id=key,
        version=document["version"],
        name=document["name"],
        edition=document["edition"],
        limits=MappingProxyType({name: _shipped(name, row) for name, row in sorted(rows.items())}),
        rules=_rules({**shared["rules"], **document.get("rules", {})}, known=shared["rules"]),
        intervals_days=MappingProxyType({**shared["intervals_days"], **document.get("intervals_days", {})}),
        texts=MappingProxyType(document["texts"]),
        measurement_alone=document["measurement_alone"],
    )


def _rules(rows: Mapping[str, list[str]], *, known: Mapping[str, object]) -> Mapping[str, tuple[str, ...]]:
    """One row of rules for each quantity; a rule never speaks for two quantities."""
    if set(rows) != set(known):
        raise Refused(f"Quantities {sorted(set(rows) - set(known))} are not known.", field="rules")
    named = [rule for row in rows.values() for rule in row]
    if len(named) != len(set(named)) or not all(rows.values()):
        raise Refused("Each quantity needs a rule of its own.", field="rules")
    return MappingProxyType({quantity: tuple(row) for quantity, row in rows.items()})


def _defined(key: str) -> dict[str, Any]:
    if key not in _catalogue()["limit"]:
        raise Refused(f"There is no limit “{key}”.", field=key)
    return cast(dict[str, Any], _catalogue()["limit"][key])


def _within(key: str, value: float) -> float:
    definition = _defined(key)
    least, most = definition["bounds"]
    if not least <= value <= most:
        text = f"{definition['name'].capitalize()}: {value:g} lies outside {least:g} to {most:g} {definition['unit']}."
        raise Refused(text, field=key)
    return float(value)


def _shipped(key: str, row: Mapping[str, Any]) -> Limit:
    definition = _defined(key)
    least, most = definition["bounds"]
    return Limit(
        id=key,
        name=definition["name"],
        value=_within(key, row["value"]),
        unit=definition["unit"],
        beyond=row.get("beyond", definition["beyond"]),
        decimals=definition.get("decimals", 0),
        bounds=(float(least), float(most)),
        source=source(row["source"]).id,
        standing=standing(row["standing"]),
        says=row["says"],
        confirmed=not row.get("waits", False),
    )


def in_force(protocol: Protocol, local: Mapping[str, LocalLimit]) -> Protocol:
    """The protocol with a clinic's own limits set or confirmed, and a version that says so.

    Parameters
    ----------
    protocol : Protocol
        As shipped.
    local : mapping of limit id to LocalLimit
        The clinic's own; an id that the protocol holds no value for adds that limit as the clinic's own.

    Raises
    ------
    Refused
        When an id is not known, a value out of bounds, or who or why is missing.
    """
    if not local:
        return protocol
    limits = dict(protocol.limits)
    for key, own in sorted(local.items()):
        limits[key] = _set_by_clinic(key, own, shipped=protocol.limits.get(key))
    rows = [(key, own.value, own.who, own.on.isoformat(), own.why, own.confirmed) for key, own in sorted(local.items())]
    mark = sha256(repr(rows).encode()).hexdigest()[:8]
    return replace(protocol, limits=MappingProxyType(limits), version=f"{protocol.version}+{mark}")


def _set_by_clinic(key: str, own: LocalLimit, *, shipped: Limit | None) -> Limit:
    value = _within(key, own.value)
    if not own.who.strip():
        raise Refused(f"{_defined(key)['name'].capitalize()}: who sets this limit is missing.", field=key)
    changed = shipped is None or value != shipped.value
    if changed and not own.why.strip():
        raise Refused(f"{_defined(key)['name'].capitalize()}: why it is changed is missing.", field=key)
    base = shipped or _shipped(key, {"value": value, "source": "own-choice", "standing": "common practice", "says": ""})
    says = f"The clinic's own. {base.says}".strip() if changed else base.says
    return replace(
        base, value=value, says=says, confirmed=own.confirmed, confirmed_by=own.who, confirmed_on=own.on, why=own.why
    )


def pattern_limits(protocol: Protocol, *, kind: Kind) -> PatternLimits | None:
    """The pattern table of static ratios for one kind of access, or ``None`` where the protocol has none."""
    held = {name: protocol.limits.get(f"static.{kind}.{name}") for name in _PATTERN}
    found = {name: limit for name, limit in held.items() if limit is not None}
    if len(found) < len(_PATTERN):
        return None

    def cut(name: str) -> Cut:
        return Cut(value=found[name].value, or_equal=found[name].beyond.startswith("at or"))

    return PatternLimits(
        normal_arterial=(found["arterial.normal-low"].value, found["arterial.normal-high"].value),
        normal_venous=(found["venous.normal-low"].value, found["venous.normal-high"].value),
        outlet_arterial=cut("arterial.outlet"),
        outlet_venous=cut("venous.outlet"),
        within_arterial=cut("arterial.within"),
        inflow_arterial_below=found["arterial.inflow"].value,
    )


_PATTERN = (
    "arterial.normal-low",
    "arterial.normal-high",
    "venous.normal-low",
    "venous.normal-high",
    "arterial.outlet",
    "venous.outlet",
    "arterial.within",
    "arterial.inflow",
)
