"""The whole evaluation in small: it says how far it is, and its words hold every rule."""

from access.practice.evaluation import printed
from access.practice.evaluation.contenders import FLOW, PLAIN
from access.practice.evaluation.simulated import evaluated, treated


def test_a_cohort_is_evaluated_and_said_in_words() -> None:
    heard: list[str] = []
    found = evaluated("A", accesses=100, seeds=(5, 6), say=heard.append)
    assert len(heard) == 2 + len(PLAIN) + len(FLOW)
    said = "\n".join(printed.simulated(found))
    for contender in (*PLAIN, *FLOW):
        assert said.count(f"{contender.name}, {contender.set_by} ") >= 3  # Each seed and all.
    assert "In simulation, no patient data" in said and "seeds 5, 6" in said
    assert "Earliest plain rule at 0.10 false flags a year, in all:" in said


def test_curves_fall_as_more_false_flags_are_allowed() -> None:
    curve = next(one for one in evaluated("A", accesses=100, seeds=(5,)).curves if one.name == "flow trend")
    delays, rates = [one.delay_days for one in curve.points], [one.false_a_year for one in curve.points]
    assert rates == sorted(rates) and delays[0] > delays[-1]
    assert curve.stands is not None and 0 < curve.stands.false_a_year < 0.3


def test_the_accesses_after_a_treatment_are_no_more_than_are_needed() -> None:
    assert treated(accesses=60, seed=1).accesses <= 60
