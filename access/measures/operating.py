"""The operating table: which cut of an alarm's score brings how many false flags, and how late it speaks.

The table is made by simulation (``evaluate --write-table``), ships as ``operating.toml``, and belongs to one set of
parameters: with others it is refused, since a cut and the trend it was found for go together. In simulation, no patient
data.
"""

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal, cast

import numpy as np

from access.measures import Refused
from access.measures.alarm import Alarm
from access.measures.departure import Departure
from access.measures.pressure_baseline import RUNNING, STATIC
from access.measures.pressure_series import RATIO_TREND, Quantity
from access.measures.trend import Trend

OTHER_PARAMETERS = "The operating table belongs to other parameters: make it anew with evaluate --write-table."
FILE = Path(__file__).with_name("operating.toml")
# Which series of an access may raise: each has its share of the false flags that all together may bring.
Beside = Literal["flow alone", "flow and pressure"]
FALSE_A_YEAR: dict[Beside, float] = {"flow alone": 0.10, "flow and pressure": 0.05}
# One of the two outlet ratios speaks at a time; with the inflow ratio and the other rules they stay below .15.
FALSE_A_YEAR_BY_RATIO: dict[Quantity, float] = {
    "static ratio": 0.05,
    "derived static ratio": 0.05,
    "inflow ratio": 0.03,
}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row of the table: what the flow alarm did in simulation at one cut.

    ``spread`` is the standard deviation of a log flow from one usual day to the next; false flags are per stable
    access-year, in sum and by true flow; the delay is the median in days from the event (negative: before it).
    """

    beside: Beside
    spread: float
    interval_months: int
    cut: float
    false_a_year: float
    false_600_800: float
    false_800_1000: float
    false_above_1000: float
    asked_a_year: float
    delay_days: float
    by_event: float
    by_60_days: float
    sudden_within_90_days: float


@dataclass(frozen=True, kw_only=True)
class RatioRow:
    """What one pressure ratio did in simulation at its cut, by the place of the narrowing.

    False flags per stable access-year; the delay is the median in days from the event (negative: before it), infinite
    where fewer than half of the accesses were ever flagged.
    """

    ratio: Quantity
    interval_days: int
    cut: float
    false_a_year: float
    inflow_delay_days: float
    inflow_by_event: float
    inflow_by_60_days: float
    middle_delay_days: float
    middle_by_event: float
    middle_by_60_days: float
    outflow_delay_days: float
    outflow_by_event: float
    outflow_by_60_days: float


def fingerprint(*parameters: object) -> str:
    """A short mark of parameters: it changes whenever one of them does."""
    said = [
        f"{type(one).__name__} {[(each.name, getattr(one, each.name)) for each in _fields(one)]}" for one in parameters
    ]
    return sha256("; ".join(said).encode()).hexdigest()[:16]


def _fields(one: object) -> tuple[Any, ...]:
    return fields(cast(Any, one))


@cache
def _document() -> Mapping[str, Any]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


@cache
def rows() -> tuple[Row, ...]:
    """The rows of the shipped table.

    Raises
    ------
    Refused
        When the table was made for other parameters than those of the program.
    """
    document = _document()
    if document["parameters"] != fingerprint(Trend(), Alarm()):
        raise Refused(OTHER_PARAMETERS)
    return tuple(Row(**row) for row in document["row"])


def ratio_mark() -> str:
    """The mark of the parameters by which a ratio, its baseline and its score are made."""
    return fingerprint(RATIO_TREND, Departure(), STATIC, RUNNING)


@cache
def ratio_rows() -> dict[Quantity, RatioRow]:
    """The rows of the shipped table for pressure ratios; refused as ``rows`` is."""
    document = _document()
    if document["ratio_parameters"] != ratio_mark():
        raise Refused(OTHER_PARAMETERS)
    return {row["ratio"]: RatioRow(**row) for row in document["ratio"]}


def ratio_cut(quantity: Quantity) -> "Cut":
    """The cut that the score of a pressure ratio is held against.

    References
    ----------
    simulation
    """
    row = ratio_rows()[quantity]
    return Cut(value=row.cut, false_a_year=row.false_a_year)


@dataclass(frozen=True, kw_only=True)
class Cut:
    """The cut that a score is held against, and how many false flags an access-year it brings in simulation."""

    value: float
    false_a_year: float


def cut(beside: Beside, *, spread: float) -> Cut:
    """The cut for a spread of the measurements: between two rows in proportion, beyond them the nearest.

    Parameters
    ----------
    beside : Beside
        Which series the access has.
    spread : float
        Standard deviation of a log flow from one usual day to the next.

    Notes
    -----
    The monthly rows; how often is measured hardly changes the false flags at a cut, only the delay.

    References
    ----------
    simulation
    """
    if not (math.isfinite(spread) and spread > 0):
        raise Refused(f"A spread of {spread:g} cannot be: it is a fraction above 0.", field="spread")
    monthly = sorted(
        (row for row in rows() if row.beside == beside and row.interval_months == 1), key=lambda row: row.spread
    )
    spreads = [row.spread for row in monthly]
    return Cut(
        value=float(np.interp(spread, spreads, [row.cut for row in monthly])),
        false_a_year=float(np.interp(spread, spreads, [row.false_a_year for row in monthly])),
    )
