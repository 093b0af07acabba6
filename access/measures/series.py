"""Measurements of one quantity over time, as the trend takes them: one access, or many side by side.

It holds numbers only. How a reading becomes a number on the kernel's scale, and when the vessel was changed, is said
by those who make a series (``flow_series``, ``pressure_series``); what the numbers mean is for ``trend``.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from access.measures import Refused
from access.measures.hydraulics import Values, values

Flags = NDArray[np.bool_]
Chosen = slice | NDArray[np.intp]  # Which accesses of a batch.
Kind = TypeVar("Kind", bound=np.generic)
ONE_LENGTH = "All columns of a series are lists of one length."
# Accesses worked on together: measured fastest on one thread, since a block then stays in the cache.
BLOCK = 8192


@dataclass(frozen=True, kw_only=True)
class Series:
    """Measurements of one quantity of one access, in order of time; all arrays have the same length (n,).

    ``years`` counts from any common zero and never falls; ``values`` are log(mL/min) or a ratio; a variance of
    infinity means that nothing was measured then. ``resets`` says that the vessel was changed between the measurement
    before and this one, ``jumps`` by how much the level is expected to have moved there; a ``certain`` measurement is
    taken as real, however far off it lies.
    """

    years: Values
    values: Values
    variances: Values
    resets: Flags
    jumps: Values
    certain: Flags

    def __post_init__(self) -> None:
        shapes = {np.shape(getattr(self, name)) for name in self.__dataclass_fields__}
        if len(shapes) != 1 or len(next(iter(shapes))) != 1:
            raise Refused(ONE_LENGTH, field="values")
        if not bool(np.all(np.isfinite(self.years)) and np.all(np.diff(self.years) >= 0)):
            raise Refused("A series is in order of time; put the earlier measurement first.", field="years")
        measured = np.isfinite(self.variances)
        if not bool(np.all(self.variances > 0) and np.all(np.isfinite(self.values[measured]))):
            raise Refused("A measurement is a number with a variance above zero.", field="variances")
        if not bool(np.all(np.isfinite(self.jumps))):
            raise Refused("The jump expected where the vessel was changed is a number.", field="jumps")

    def __len__(self) -> int:
        return len(self.years)


def series(
    years: ArrayLike,
    *,
    measured: ArrayLike,
    variances: ArrayLike,
    resets: ArrayLike = False,
    jumps: ArrayLike = 0.0,
    certain: ArrayLike = False,
) -> Series:
    """A series from plain lists, put in order of time; what is given once counts for all measurements.

    Parameters
    ----------
    years : array_like, (n,)
        Times, in years.
    measured : array_like, (n,)
        What was measured, on the scale of the trend; nan where nothing was.
    variances : array_like
        Variance of each measurement; infinite where nothing was measured.
    resets, certain : array_like of bool
    jumps : array_like
        See ``Series``.

    Raises
    ------
    Refused
        When lengths differ, a variance is not above zero, or a time, a measurement or a jump is no number.
    """
    at = np.atleast_1d(values(years))
    order = np.argsort(at, kind="stable")
    seen = _for_all(values(measured), at)
    return Series(
        years=at[order],
        values=seen[order],
        variances=np.where(np.isnan(seen), np.inf, _for_all(values(variances), at))[order],
        resets=_for_all(np.asarray(resets, dtype=bool), at)[order],
        jumps=_for_all(values(jumps), at)[order],
        certain=_for_all(np.asarray(certain, dtype=bool), at)[order],
    )


def _for_all(column: NDArray[Kind], at: Values) -> NDArray[Kind]:
    """A column as long as the times; a single value is that of all."""
    if column.ndim and column.shape != at.shape:
        raise Refused(ONE_LENGTH, field="values")
    return np.broadcast_to(column, at.shape)


def asked_at(one: Series, *, years: ArrayLike) -> tuple[Series, NDArray[np.intp]]:
    """The series with rows at which nothing was measured but the level is asked for, and where those rows stand.

    A row asked for at the time of a measurement stands behind it.
    """
    asked = np.atleast_1d(values(years))
    at = np.concatenate([one.years, asked])
    order = np.argsort(at, kind="stable")
    nothing, no = np.full(asked.shape, np.nan), np.zeros(asked.shape, dtype=bool)
    joined = Series(
        years=at[order],
        values=np.concatenate([one.values, nothing])[order],
        variances=np.concatenate([one.variances, np.full(asked.shape, np.inf)])[order],
        resets=np.concatenate([one.resets, no])[order],
        jumps=np.concatenate([one.jumps, np.zeros(asked.shape)])[order],
        certain=np.concatenate([one.certain, no])[order],
    )
    places = np.empty(len(order), dtype=np.intp)
    places[order] = np.arange(len(order))
    return joined, places[len(one) :]


@dataclass(frozen=True, kw_only=True)
class Batch:
    """Many series side by side, time-major (T, N), all ending in the last row; a shorter one begins further down.

    ``weights`` are 1 / variance, and 0 where nothing was measured: no gap needs a branch. Where ``resets``, ``jumps``
    and ``certain`` have one row and one column they count for all.
    """

    years: Values
    values: Values
    weights: Values
    resets: Flags
    jumps: Values
    certain: Flags
    lengths: NDArray[np.intp]

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and accesses."""
        rows, accesses = self.years.shape
        return rows, accesses

    def blocks(self, size: int = BLOCK) -> Iterator[tuple[Chosen, "Batch"]]:
        """The accesses in blocks, sorted by length, each without the rows that none of them needs; and which they are.

        Accesses of one length stay where they are, and nothing is copied.
        """
        alike = self.lengths.size == 0 or self.lengths.min() == self.lengths.max()
        order = np.argsort(self.lengths, kind="stable")
        for start in range(0, len(order), size):
            part = slice(start, start + size)
            chosen: Chosen = part if alike else order[part]
            yield chosen, self.taken(chosen)

    def taken(self, chosen: Chosen) -> "Batch":
        """These accesses only."""
        top = self.shape[0] - int(self.lengths[chosen].max(initial=0))

        def part(column: NDArray[np.generic]) -> NDArray[np.generic]:
            return column if column.shape == (1, 1) else column[top:, chosen]

        parts = {name: part(getattr(self, name)) for name in ("years", "values", "weights", *_ASIDE)}
        return replace(self, lengths=self.lengths[chosen], **parts)  # type: ignore[arg-type]


_ASIDE = ("resets", "jumps", "certain")


def side_by_side(many: Sequence[Series]) -> Batch:
    """Series of any length as one batch; an empty one has a column in which nothing was measured."""
    if len(many) == 1:
        return _alone(many[0])
    lengths = np.array([len(one) for one in many], dtype=np.intp)
    rows = int(lengths.max(initial=0))
    column = np.repeat(np.arange(len(many)), lengths)
    row = np.arange(len(column)) - np.repeat(np.cumsum(lengths) - rows, lengths)

    def placed(name: str, *, empty: float = 0.0) -> NDArray[np.generic]:
        parts = [getattr(one, name) for one in many]
        joined = np.concatenate(parts) if parts else np.empty(0)
        found = np.full((rows, len(many)), empty, dtype=joined.dtype)
        found[row, column] = joined
        return found

    variances = placed("variances", empty=np.inf).astype(float)
    firsts = np.array([one.years[0] if len(one) else 0.0 for one in many])
    years = np.broadcast_to(firsts, (rows, len(many))).copy()
    years[row, column] = np.concatenate([one.years for one in many]) if many else np.empty(0)
    return Batch(
        years=years,
        values=np.where(np.isfinite(variances), placed("values"), 0.0).astype(float),
        weights=1 / variances,
        resets=placed("resets").astype(bool),
        jumps=placed("jumps").astype(float),
        certain=placed("certain").astype(bool),
        lengths=lengths,
    )


def _alone(one: Series) -> Batch:
    """One series as a batch: its columns as they are."""
    return Batch(
        years=one.years[:, None],
        values=np.where(np.isfinite(one.variances), one.values, 0.0)[:, None],
        weights=1 / one.variances[:, None],
        resets=one.resets[:, None],
        jumps=one.jumps[:, None],
        certain=one.certain[:, None],
        lengths=np.array([len(one)], dtype=np.intp),
    )


def table(years: ArrayLike, *, measured: ArrayLike, variances: ArrayLike) -> Batch:
    """A batch of accesses measured along the same rows, (T, N); nan where one was not measured, no vessel changed."""
    seen = values(measured)
    doubt = np.where(np.isnan(seen), np.inf, np.broadcast_to(values(variances), seen.shape))
    at = values(years)
    return Batch(
        years=np.broadcast_to(at[:, None] if at.ndim == 1 else at, seen.shape),
        values=np.where(np.isfinite(doubt), seen, 0.0),
        weights=1 / doubt,
        resets=np.zeros((1, 1), dtype=bool),
        jumps=np.zeros((1, 1)),
        certain=np.zeros((1, 1), dtype=bool),
        lengths=np.full(seen.shape[1], seen.shape[0], dtype=np.intp),
    )
