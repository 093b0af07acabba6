"""How long one access takes to judge: printed, gating nothing. Run by name, with -s."""

import time
from dataclasses import replace

import pytest

from access.measures.protocol import DEFAULT, load
from access.measures.rules import evaluate
from tests.measures.long_history import a_long_history


@pytest.mark.parametrize("static", [True, False], ids=["static ratios", "running pressures only"])
def test_print_the_time_of_judging_one_access(static: bool) -> None:
    print(f"\n{'with' if static else 'without'} static ratios\ntreatments   best ms   median ms")
    for treatments in (58, 117, 234, 468):
        profile, moments = a_long_history(treatments), []
        profile = profile if static else replace(profile, ratios=())
        for _ in range(30):
            start = time.perf_counter()
            evaluate(profile, protocol=load(DEFAULT), as_of=profile.treatments[-1].at)
            moments.append(1000 * (time.perf_counter() - start))
        moments.sort()
        print(f"{treatments:10}   {moments[0]:7.2f}   {moments[15]:9.2f}")
        assert moments
