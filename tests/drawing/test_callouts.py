"""Labels beside a map: they never overlap, keep their order, and stay where they are wanted when there is room."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.drawing.callouts import spread

boxes = st.lists(st.tuples(st.floats(0, 500), st.floats(5, 40)), min_size=1, max_size=15).map(sorted)


@given(boxes)
def test_labels_never_overlap(wanted: list[tuple[float, float]]) -> None:
    heights = [height for _, height in wanted]
    centres = spread([at for at, _ in wanted], heights=heights, top=0, bottom=500)
    for (first, its_height), (second, other_height) in pairwise(zip(centres, heights, strict=True)):
        assert second - first >= (its_height + other_height) / 2 - 1e-6


@given(boxes)
def test_labels_stay_on_the_sheet_as_long_as_they_fit(wanted: list[tuple[float, float]]) -> None:
    heights = [height for _, height in wanted]
    centres = spread([at for at, _ in wanted], heights=heights, top=0, bottom=500)
    assert centres[0] - heights[0] / 2 >= -1e-6
    if sum(heights) <= 500:
        assert centres[-1] + heights[-1] / 2 <= 500 + 1e-6


def test_labels_with_room_stand_where_they_are_wanted() -> None:
    assert spread([50, 100, 200], heights=[10, 10, 10], top=0, bottom=500) == [50, 100, 200]


def test_labels_wanted_at_one_place_stand_around_it() -> None:
    assert spread([100, 100, 100], heights=[10, 10, 10], top=0, bottom=500) == pytest.approx([90, 100, 110])
