"""Accesses that are treated: the gain arrives, and a level that is not told of the treatment fails."""

from dataclasses import replace

import pytest

from access.measures import trend
from access.practice.evaluation.treated import Treated, after_treatment


def test_each_visit_after_the_treatment_has_its_share() -> None:
    found = after_treatment(Treated(accesses=300), seed=2)
    assert list(found.by_visit) == [1, 2, 3, 4, 5, 6]
    assert all(0.8 < share <= 1 for share in found.by_visit.values())
    assert min(found.by_visit.values()) <= found.from_second <= max(found.by_visit.values())


def test_a_trend_that_is_not_told_of_the_treatment_does_not_hold(monkeypatch: pytest.MonkeyPatch) -> None:
    fit = trend.fit

    def untold(batch: object) -> trend.Fit:
        return fit(replace(batch, resets=batch.resets & False, jumps=batch.jumps * 0))  # type: ignore

    monkeypatch.setattr("access.practice.evaluation.treated.trend.fit", untold)
    assert after_treatment(Treated(accesses=300), seed=2).by_visit[1] < 0.6
