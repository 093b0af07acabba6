"""How the weighing is put: which place is named from which share on, and the words of each answer."""

import pytest

from access.measures.placing import NAMED, PLACES, SURE, NarrowingPlace, Placing


def placing(none: float, inflow: float, within: float, outlet: float, **changed: object) -> Placing:
    shares: dict[NarrowingPlace, float] = dict(zip(PLACES, (none, inflow, within, outlet), strict=True))
    return Placing(probabilities=shares, **{"numbers": 3, **changed})  # type: ignore[arg-type]


def test_one_place_that_stands_out_is_named() -> None:
    found = placing(0.10, 0.03, 0.03, 0.84)
    assert found.place == "outlet" and found.between == ()
    assert found.sentence == "Fits a narrowing of the outlet best (84 %). Imaging decides."


def test_that_there_is_none_takes_more_to_be_said_than_a_narrowing() -> None:
    assert NAMED < SURE
    assert placing(0.06, 0.80, 0.07, 0.07).place == "inflow"
    assert placing(0.80, 0.06, 0.07, 0.07).place is None
    found = placing(0.90, 0.04, 0.03, 0.03)
    assert found.place == "none"
    assert found.sentence == "Fits an access without a narrowing best (90 %), which excludes nothing. Imaging decides."


def test_it_never_says_normal() -> None:
    for shares in ((0.9, 0.04, 0.03, 0.03), (0.5, 0.4, 0.05, 0.05), (0.4, 0.2, 0.2, 0.2), (0.05, 0.4, 0.3, 0.25)):
        for signs in ((), ("weak pulse",)):
            assert "normal" not in placing(*shares, signs=signs).sentence


def test_between_two_places_names_the_likelier_first() -> None:
    found = placing(0.38, 0.50, 0.06, 0.06)
    assert found.place is None and found.between == ("inflow", "none")
    between = "Between a narrowing of the inflow and an access without a narrowing (50 % and 38 %)."
    assert found.sentence == f"{between} Imaging decides."


def test_a_second_place_that_is_hardly_likely_is_no_between() -> None:
    found = placing(0.79, 0.08, 0.07, 0.06)
    assert found.place is None and found.between == ()
    likeliest = "the likeliest is an access without a narrowing (79 %)."
    assert found.sentence.startswith(f"Cannot tell: no place stands out; {likeliest}")


def test_a_narrowing_whose_place_cannot_be_told_is_said_to_be_one() -> None:
    found = placing(0.09, 0.36, 0.30, 0.25)
    assert found.between == ("inflow", "within the access", "outlet")
    assert found.sentence == "Fits a narrowing (91 %), but cannot tell where. Imaging decides."


def test_every_place_is_told_with_its_share_the_likelier_first_unless_nothing_can_be_told() -> None:
    assert placing(0.38, 0.5, 0.116, 0.004).shares == (
        "a narrowing of the inflow 50 %",
        "an access without a narrowing 38 %",
        "a narrowing between the needles 12 %",
        "a narrowing of the outlet less than 1 %",
    )
    assert placing(0.25, 0.25, 0.25, 0.25, numbers=0).shares == ()
    assert placing(0.9, 0.04, 0.03, 0.03, fits=False).shares == ()


def test_an_odd_sign_keeps_none_from_being_named_and_stands_in_the_sentence() -> None:
    found = placing(0.92, 0.03, 0.03, 0.02, signs=("weak thrill", "weak pulse"))
    assert found.place is None and found.between == ()
    assert found.sentence == (
        "The numbers alone fit an access without a narrowing best (92 %). "
        "Odd at the examination: weak thrill, weak pulse; no number silences it. Imaging decides."
    )


def test_what_was_not_measured_or_does_not_fit_names_nothing() -> None:
    assert placing(0.01, 0.01, 0.01, 0.97, numbers=0).sentence == "Cannot tell: nothing measured."
    nothing = placing(0.01, 0.01, 0.01, 0.97, numbers=0, since="the revision of 3 May 2025")
    assert nothing.place is None
    assert nothing.sentence == "Cannot tell: nothing measured since the revision of 3 May 2025."
    odd = placing(0.01, 0.01, 0.01, 0.97, fits=False)
    assert odd.place is None and odd.sentence.startswith("Fits no place: look at the readings")


@pytest.mark.parametrize(
    ("share", "words"), [(0.9999, "more than 99 %"), (0.994, "99 %"), (0.995, "more than 99 %"), (0.699, "70 %")]
)
def test_no_share_is_shown_as_certain_and_shares_are_compared_as_shown(share: float, words: str) -> None:
    rest = (1 - share) / 3
    assert (
        placing(rest, rest, rest, share).sentence == f"Fits a narrowing of the outlet best ({words}). Imaging decides."
    )


def test_places_equally_likely_are_said_to_be_so() -> None:
    found = placing(0.25, 0.25, 0.25, 0.25)
    assert found.place is None and found.between == ()
    assert "no place stands out" in found.sentence
