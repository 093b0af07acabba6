"""The drawn courses: every kind of access has one, and each is anatomically where it says.

Anatomy (textbook knowledge, from memory): seen from the front with the palm up, the thumb is on the outer side of the
arm, so on a LEFT arm at the observer's right; the cephalic vein runs on the thumb side of the forearm, the brachial
artery on the inner side of the elbow's middle.
"""

import re
from collections.abc import Iterator
from typing import get_args

import pytest

from access.drawing.centre_line import centre_line
from access.drawing.geometry import Geometry, Landmark, geometries
from access.drawing.sheet import UNITS_PER_DRAWN_CM
from access.measures.words import Configuration
from tests.drawing import exact

DRAWN: tuple[Configuration, ...] = ("radiocephalic", "forearm loop graft")


def named(geometry: Geometry, words: str) -> Landmark:
    return next(each for each in geometry.landmarks if each.words == words)


def outline_at(geometry: Geometry, y: float) -> tuple[float, float]:
    """The left and the right edge of the limb at a height above the hand."""
    assert geometry.limb is not None
    numbers = [float(each) for each in re.findall(r"-?\d+\.?\d*", geometry.limb.outline)]
    corners = list(zip(numbers[0::2], numbers[1::2], strict=True))
    crossings = [
        x0 + (y - y0) / (y1 - y0) * (x1 - x0)
        for (x0, y0), (x1, y1) in zip(corners, corners[1:], strict=False)
        if (y0 - y) * (y1 - y) < 0
    ]
    return min(crossings), max(crossings)


def places(configuration: Configuration) -> Iterator[tuple[float, float]]:
    line = centre_line(configuration, side="left", length_cm=10)
    for step in range(51):
        point = line.point_at(step / 5)
        yield point.x, point.y


def test_every_kind_of_access_can_be_drawn() -> None:
    assert set(geometries()) == set(get_args(Configuration))


@pytest.mark.parametrize("configuration", DRAWN)
def test_the_vessel_runs_within_the_limb(configuration: Configuration) -> None:
    for x, y in places(configuration):
        left, right = outline_at(geometries()[configuration], y)
        assert left + 8 < x < right - 8


@pytest.mark.parametrize("configuration", DRAWN)
def test_on_a_left_arm_the_thumb_is_at_the_right_and_the_hand_below(configuration: Configuration) -> None:
    geometry = geometries()[configuration]
    assert named(geometry, "thumb side").x > named(geometry, "hand").x > named(geometry, "little-finger side").x
    assert named(geometry, "hand").y > named(geometry, "wrist").y > named(geometry, "elbow").y
    assert named(geometry, "elbow").y > named(geometry, "shoulder").y


def test_the_cephalic_vein_runs_from_the_wrist_up_the_thumb_side_to_the_elbow() -> None:
    geometry = geometries()["radiocephalic"]
    course = list(places("radiocephalic"))
    assert course[0][1] < named(geometry, "wrist").y < course[0][1] + 5 * UNITS_PER_DRAWN_CM
    assert abs(course[-1][1] - named(geometry, "elbow").y) < 2 * UNITS_PER_DRAWN_CM
    for x, y in course:
        left, right = outline_at(geometry, y)
        assert (x - left) / (right - left) > 0.65


def test_the_loop_begins_at_the_artery_of_the_elbow_turns_before_the_wrist_and_comes_back_to_a_vein() -> None:
    geometry = geometries()["forearm loop graft"]
    course = list(places("forearm loop graft"))
    (artery_x, artery_y), (vein_x, vein_y) = course[0], course[-1]
    assert abs(artery_y - vein_y) < UNITS_PER_DRAWN_CM
    assert artery_x < vein_x  # The brachial artery lies on the inner side, away from the thumb.
    lowest = max(y for _, y in course)
    assert named(geometry, "elbow").y + 12 * UNITS_PER_DRAWN_CM < lowest < named(geometry, "wrist").y


@pytest.mark.parametrize("configuration", DRAWN)
def test_a_drawn_vessel_has_the_scale_of_its_limb_at_its_usual_length(configuration: Configuration) -> None:
    scale = exact.path_length(configuration) / geometries()[configuration].usual_length_cm
    assert scale == pytest.approx(UNITS_PER_DRAWN_CM, rel=0.03)


@pytest.mark.parametrize("configuration", sorted(set(geometries()) - set(DRAWN)))
def test_a_kind_without_a_drawing_says_that_its_line_is_no_course(configuration: Configuration) -> None:
    geometry = geometries()[configuration]
    assert geometry.limb is None
    assert "not the course of the vessel" in geometry.caution
    assert len({x for x, _ in places(configuration)}) == 1


def test_a_thigh_graft_is_no_arm() -> None:
    assert geometries()["thigh loop graft"].whose("left") == "patient's LEFT leg"
    assert geometries()["radiocephalic"].whose("right") == "patient's RIGHT arm"
