"""Pressure ratios of one access as series for the trend: static, derived and inflow, each against its own baseline.

Since the vessel was last changed, and before: a change is a reset of the series and the start of a new baseline. It
makes the numbers; when a level has left its baseline is for the alarm, and the published limit stands in ``derived``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise
from statistics import median
from typing import Literal, NamedTuple

from access.measures.derived import TREATMENT_SD, median_variance
from access.measures.eras import changes_of, era_of, known_by, running_two_needles
from access.measures.needle_alone import BenchTable, own_table, with_arterial_gauge
from access.measures.pressure_baseline import (
    RUNNING,
    STATIC,
    STATIC_SD,
    Baseline,
    Span,
    Start,
    Value,
    baseline,
    begun_beyond,
    first,
    starts,
)
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, DynamicReading
from access.measures.series import Series, series
from access.measures.smoother import Trend
from access.measures.succession import one_an_occasion
from access.measures.treatment_ratios import of_treatments, why_none
from access.measures.units import DAYS_A_YEAR
from access.measures.words import NeedleRole, RatioFormula

Quantity = Literal["static ratio", "derived static ratio", "inflow ratio"]
NEAR_ML_MIN = 10  # Pump speeds this near are taken as one, as for the usual band.
TABLE_ANSWERS = 0.8  # Share of the treatments that a bench table must know, or the model is taken for all.
# The tunables of the trend for a ratio, found in simulation (drift, outliers) or of the size of what was measured in
# many accesses, .28 +/- .21 and .35 +/- .18 (level, jump); prior of the slope own choice.
RATIO_TREND = Trend(
    slope_drift=0.08,
    prior_level=0.35,
    prior_level_sd=0.2,
    prior_slope_sd=0.2,
    jump_sd=0.2,
    outlier_share=0.03,
    outlier_sd=0.15,
)


class Row(NamedTuple):
    """One row of a series: a static reading, or the median of a week's treatments at one gauge and pump speed."""

    at: datetime  # Of the last treatment in it: only then was it known.
    ratio: float
    variance: float
    treatments: tuple[Value, ...]
    era: int  # How many changes of the vessel came before.


@dataclass(frozen=True, kw_only=True)
class PressureSeries:
    """A ratio of one access over time: its rows, the series of them and what each row is held against.

    ``baselines`` holds for each row the baseline as it was known before that row, ``baseline`` the newest one.
    """

    quantity: Quantity
    how: str
    rows: tuple[Row, ...]
    series: Series
    baselines: tuple[Baseline | None, ...]
    baseline: Baseline | None
    notes: tuple[str, ...] = ()


def static_series(
    profile: AccessProfile,
    *,
    protocol: Protocol,
    as_of: datetime,
    role: NeedleRole = "venous",
    formula: RatioFormula | None = None,
) -> PressureSeries:
    """The static ratio of one needle site by one height formula (no unit), one row a treatment.

    Parameters
    ----------
    profile : AccessProfile
        The whole record; earlier vessels are kept behind a reset.
    protocol : Protocol
        Its limits say whether a baseline may be called usual.
    as_of : datetime
        Later readings do not exist yet; it is the zero of the years.
    formula : RatioFormula, optional
        The newest reading's where none is named; others are left out and said.

    References
    ----------
    besarab-2002, own-choice
    """
    record = _record(profile, protocol=protocol, as_of=as_of)
    of_site = sorted((one for one in record.profile.ratios if one.role == role), key=lambda one: (one.at, one.id))
    taken = formula or (of_site[-1].formula if of_site else "hydrostatic")
    others = sorted({one.formula for one in of_site if one.formula != taken})
    same = [one for one in of_site if one.formula == taken]
    rows = [
        _row([Value(id=one.id, at=one.at, ratio=one.ratio)], era=era, variance=STATIC_SD**2)
        for one in one_an_occasion(running_two_needles(same, treatments=record.profile.treatments))
        if (era := era_of(one.at.date(), changes=record.changes)) is not None
    ]
    notes = tuple(f"ratios by the {other} height are kept apart and not joined" for other in others)
    how = f"{role} needle, {taken} height"
    return _joined(record, rows=rows, quantity="static ratio", how=how, span=STATIC, notes=notes)


def derived_series(
    profile: AccessProfile, *, protocol: Protocol, as_of: datetime, bench: BenchTable | None = None
) -> PressureSeries:
    """The derived static ratio (no unit), one row a week: the median of the week's treatments.

    Parameters
    ----------
    profile, protocol, as_of
        As for ``static_series``.
    bench : BenchTable, optional
        That of the profile where none is given; the hydraulic model is taken for all treatments where the table knows
        fewer than 80 % of them.

    Notes
    -----
    The variance of a row is that of the median of its treatments, .085 squared for three.

    References
    ----------
    frinak-2002, simulation
    """
    record = _record(profile, protocol=protocol, as_of=as_of)
    readings = [one for one in record.profile.dynamics if one.venous_mmhg is not None]
    return _weekly(record, readings=readings, quantity="derived static ratio", bench=bench or own_table(profile))


def inflow_series(
    profile: AccessProfile, *, protocol: Protocol, as_of: datetime, bench: BenchTable | None = None
) -> PressureSeries:
    """The inflow ratio (no unit), one row a week: pre-pump pressure less the arterial needle's own, over MAP.

    Notes
    -----
    It falls where the inflow narrows. In simulation, no patient data, one treatment errs as at the venous needle, so
    the rows have the same variances.

    References
    ----------
    simulation, own-choice
    """
    record = _record(profile, protocol=protocol, as_of=as_of)
    readings = [one for one in with_arterial_gauge(record.profile) if one.pre_pump_arterial_mmhg is not None]
    return _weekly(record, readings=readings, quantity="inflow ratio", bench=bench or own_table(profile))


@dataclass(frozen=True, kw_only=True)
class _Record:
    """What was known of an access at a moment, and the days on which its vessel had been changed."""

    profile: AccessProfile
    protocol: Protocol
    as_of: datetime
    changes: tuple[date, ...]


def _record(profile: AccessProfile, *, protocol: Protocol, as_of: datetime) -> _Record:
    known = known_by(profile, as_of=as_of)
    return _Record(profile=known, protocol=protocol, as_of=as_of, changes=changes_of(known))


def _weekly(
    record: _Record, *, readings: Sequence[DynamicReading], quantity: Quantity, bench: BenchTable | None
) -> PressureSeries:
    other_routes = {one.id for one in record.profile.treatments if one.route != "two needles"}
    judged = [one for one in readings if one.treatment not in other_routes] if other_routes else readings
    values, how, notes = _referred(judged, role="arterial" if quantity == "inflow ratio" else "venous", bench=bench)
    weeks: dict[tuple[int, int], list[Value]] = {}
    for one in values:
        if (era := era_of(one.at.date(), changes=record.changes)) is not None:
            weeks.setdefault((era, (one.at.toordinal() - 1) // 7), []).append(one)  # Day 1 was a Monday.
    rows = []
    for (era, _), of_week in sorted(weeks.items()):
        alike = _alike(of_week)
        rows.append(_row(alike, era=era, variance=median_variance(len(alike)) * TREATMENT_SD**2))
    said = (*notes, *_changed_needle(rows))
    return _joined(record, rows=rows, quantity=quantity, how=how, span=RUNNING, notes=said)


def _referred(
    readings: Sequence[DynamicReading], *, role: NeedleRole, bench: BenchTable | None
) -> tuple[list[Value], str, tuple[str, ...]]:
    """The values by one reference, which it is, and what was left out."""
    found, how, notes, used = of_treatments(readings, role=role), "by the hydraulic model", [], None
    if bench is not None:
        by_table = of_treatments(readings, role=role, bench=bench)
        if len(by_table.readings) >= TABLE_ANSWERS * len(found.readings):
            found, how, used = by_table, "by the clinic's bench table", bench
        else:
            known, asked = len(by_table.readings), len(found.readings)
            notes.append(f"the bench table knows {known} of {asked} treatments: the model is taken for all")
    if found.left_out:
        why = why_none(found.left_out[-1], role=role, bench=used)
        notes.append(f"{len(found.left_out)} treatments give no ratio; the last one: {why}")
    values = [
        Value(id=one.id, at=one.at, ratio=ratio, gauge=one.gauge, pump_ml_min=one.pump_ml_min)
        for one, ratio in zip(found.readings, found.values, strict=True)
    ]
    return values, how, tuple(notes)


def _alike(of_week: Sequence[Value]) -> list[Value]:
    """The most treatments of a week at one gauge and (within 10 mL/min) pump speed; the later ones where two tie."""
    if len({(one.gauge, one.pump_ml_min) for one in of_week}) == 1:
        return list(of_week)
    groups = [[other for other in of_week if _same_needle(one, other)] for one in of_week]
    return max(groups, key=lambda group: (len(group), group[-1].at))


def _same_needle(one: Value, other: Value) -> bool:
    return one.gauge == other.gauge and round(abs((one.pump_ml_min or 0) - (other.pump_ml_min or 0))) <= NEAR_ML_MIN


def _changed_needle(rows: Sequence[Row]) -> tuple[str, ...]:
    """Another gauge or pump speed than as the baseline began: the reference is right only as far as the needle is."""
    now = [row for row in rows if row.era == rows[-1].era]
    if not now or _same_needle(begun := now[0].treatments[-1], newest := now[-1].treatments[-1]):
        return ()
    return (
        f"the baseline began at {begun.gauge}G and {begun.pump_ml_min:.0f} mL/min, now {newest.gauge}G and "
        f"{newest.pump_ml_min:.0f}: an error of the needle's own pressure no longer cancels",
    )


def _row(treatments: Sequence[Value], *, era: int, variance: float) -> Row:
    return Row(
        at=treatments[-1].at,
        ratio=median([one.ratio for one in treatments]),
        variance=variance,
        treatments=tuple(treatments),
        era=era,
    )


def _joined(
    record: _Record, *, rows: Sequence[Row], quantity: Quantity, how: str, span: Span, notes: tuple[str, ...]
) -> PressureSeries:
    *baselines, newest = _baselines(record, rows=rows, span=span)
    return PressureSeries(
        quantity=quantity,
        how=how,
        rows=tuple(rows),
        series=series(
            [(row.at - record.as_of).total_seconds() / 86400 / DAYS_A_YEAR for row in rows],
            measured=[row.ratio for row in rows],
            variances=[row.variance for row in rows],
            resets=[False, *(before.era != row.era for before, row in pairwise(rows))][: len(rows)],
        ),
        baselines=tuple(baselines),
        baseline=newest,
        notes=notes,
    )


def _baselines(record: _Record, *, rows: Sequence[Row], span: Span) -> list[Baseline | None]:
    """For each row the baseline of what came before it, and last the one that the next row would be held against."""
    begun = starts(record.profile, changes=record.changes)
    made: dict[tuple[int, int], Baseline | None] = {}
    found: list[Baseline | None] = []
    values: list[Value] = []
    counted: tuple[Value, ...] = ()
    for before, row in zip((None, *rows), (*rows, None), strict=True):
        era = row.era if row else len(record.changes)
        full = len(counted) < len(values)  # One was left out, and so are all that came later.
        if before and before.era == era:
            values.extend(before.treatments)
        else:
            values, full = [], False
        counted = counted if full else first(values, span=span)
        if (era, len(counted)) not in made:  # Most rows share one that no longer moves.
            made[era, len(counted)] = _baseline(record, counted=counted, span=span, start=begun[era], era=era)
        found.append(made[era, len(counted)])
    return found


def _baseline(record: _Record, *, counted: Sequence[Value], span: Span, start: Start, era: int) -> Baseline | None:
    if len(counted) < span.least:
        return None
    until, after = counted[-1].at.date(), start.since if era else None
    beyond = begun_beyond(record.profile, protocol=record.protocol, after=after, until=until)
    return baseline(counted, span=span, start=start, beyond_limit=beyond)
