"""A new fistula at six weeks: what is not there, what is not known, and when nobody asks."""

from dataclasses import replace

from access.measures.readings import AccessProfile
from tests.measures.histories import a_flow, a_puncture, an_access, found, on, only

RULE = "new.access"


def new(**changed: object) -> AccessProfile:
    """A fistula of day 150, not needled yet."""
    made = replace(an_access("fistula"), created_on=on(150), first_needled_on=None, diameter_cm=0.65, depth_cm=0.5)
    return replace(made, **changed)  # type: ignore[arg-type]


def test_at_six_weeks_a_fistula_that_is_not_ready_is_imaged() -> None:
    one = only(new(flows=(a_flow(185, 450),), diameter_cm=0.4), rule=RULE)
    assert "7 weeks old, not needled yet; not there: flow above 600 mL/min; diameter at least 0.6 cm" in one.sentence
    assert "image it" in one.ask
    assert (one.urgency, one.raises) == ("routine", True)


def test_before_six_weeks_nobody_asks() -> None:
    assert found(new(), rule=RULE, day=191) == ()
    assert only(new(), rule=RULE, day=192)


def test_what_is_not_known_is_said_and_asks() -> None:
    one = only(new(depth_cm=None), rule=RULE)
    assert "not known: flow above 600 mL/min; no deeper than 0.6 cm" in one.sentence
    assert one.raises and "borders felt" in one.missing


def test_ready_by_its_numbers_is_shown_and_raises_nothing() -> None:
    one = only(new(flows=(a_flow(185, 700),)), rule=RULE)
    assert not one.raises and "ready by its numbers" in one.sentence


def test_a_needled_fistula_or_a_graft_is_not_asked_about() -> None:
    assert found(new(first_needled_on=on(195)), rule=RULE) == ()
    assert found(new(punctures=(a_puncture(195),)), rule=RULE) == ()
    assert found(new(kind="graft"), rule=RULE) == ()
    assert found(new(created_on=None), rule=RULE) == ()
