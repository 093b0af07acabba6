"""The figures: well-formed, titled, with axes and a legend, told apart without colour, and saying what they rest on."""

from pathlib import Path
from xml.etree import ElementTree

import pytest

from access.practice.evaluation import pictures
from access.practice.evaluation.curves import Curve, Point
from access.practice.evaluation.doubt import doubts
from access.practice.evaluation.plane import DASHES, SHAPES, Axis, Plane, axis, mark
from access.practice.evaluation.simulated import Evaluated
from tests.practice.evaluation.made import trial

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def found() -> list[Evaluated]:
    """Two cohorts' doubts, with two curves made by hand."""
    drawn = (
        Curve(
            name="a plain rule",
            points=(Point(false_a_year=0.05, delay_days=40), Point(false_a_year=0.3, delay_days=-20)),
            stands=Point(false_a_year=0.66, delay_days=-60),
        ),
        Curve(name="a rule that never comes", points=(Point(false_a_year=0.1, delay_days=float("inf")),), stands=None),
    )
    return [
        Evaluated(
            name=name,
            accesses=120,
            seeds=(1,),
            rules=(),
            doubts=doubts([trial(name, accesses=120)]),
            curves=drawn,
        )
        for name in "AB"
    ]


def words(svg: str) -> list[str]:
    """The words of a drawing, in order."""
    return ["".join(each.itertext()) for each in ElementTree.fromstring(svg).iter(f"{SVG}text")]  # noqa: S314


def test_each_figure_is_written_with_title_axes_legend_and_what_it_rests_on(
    found: list[Evaluated], tmp_path: Path
) -> None:
    files = list(pictures.written(found, folder=tmp_path / "new"))
    assert [file.name for file in files] == ["delay-A.svg", "delay-B.svg", "reliability.svg", "coverage.svg"]
    for file in files:
        said = words(file.read_text())
        assert any("no patient data" in each for each in said)
        assert {"0.1", "0.2", "0.90"} & set(said)  # Numbers on an axis.
    assert {"cohort A", "cohort B"} <= set(words(files[2].read_text()))
    assert {"a plain rule", "a rule that never comes"} <= set(words(files[0].read_text()))


def test_every_curve_has_a_dash_and_a_mark_of_its_own() -> None:
    assert len(set(DASHES)) == len(DASHES) >= 6
    drawn = {mark(0, 0, shape=shape) for shape in SHAPES}
    assert len(drawn) == len(SHAPES) >= 6


def test_what_never_comes_is_left_out_and_said(found: list[Evaluated]) -> None:
    svg = pictures.delay(found[0])
    assert "a rule that never comes: never flags half of them" in svg
    assert "inf" not in svg


def test_numbers_stand_where_the_axes_say() -> None:
    plane = Plane(across=Axis(words="", ticks=(0.0, 1.0)), up=axis("", over=[-3, 98], at_most=6), names=1)
    assert plane.up.low <= -3 and plane.up.high >= 98
    assert plane.y(plane.up.low) > plane.y(50) > plane.y(plane.up.high)
    assert plane.x(0.5) == pytest.approx((plane.x(0) + plane.x(1)) / 2)
