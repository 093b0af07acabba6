"""The route: what was not judged is said, and raises nothing."""

from dataclasses import replace

import pytest

from tests.measures.histories import a_treatment, an_access, found, only

RULE = "route.not-judged"


@pytest.mark.parametrize("route", ["one needle", "needle and catheter lumen", "catheter"])
def test_the_last_treatment_by_another_route_says_what_was_not_judged(route: str) -> None:
    one = only(replace(an_access(), treatments=(a_treatment(188), a_treatment(190, route))), rule=RULE)
    assert route in one.sentence and not one.raises
    assert one.missing == ("static and dynamic pressure, recirculation and spacing of this treatment",)


@pytest.mark.parametrize("route", ["two needles", "not dialysed"])
def test_two_needles_or_no_treatment_need_no_such_word(route: str) -> None:
    assert found(replace(an_access(), treatments=(a_treatment(190, route),)), rule=RULE) == ()
    assert found(replace(an_access(), treatments=(a_treatment(188, "catheter"), a_treatment(190))), rule=RULE) == ()
