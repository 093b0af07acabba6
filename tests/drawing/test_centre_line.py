"""Centimetres along a vessel: against SciPy's integration of the speed, there and back, mirrored and refused.

Outside check: scipy.integrate, scipy.optimize and scipy.interpolate (see exact.py); the fixture is shared with the
page's own sampler.
"""

import json
from math import hypot
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from access.drawing.centre_line import centre_line
from access.drawing.geometry import geometries
from access.measures import Refused
from access.measures.words import Configuration
from tests.drawing import exact

POINTS: list[dict[str, Any]] = json.loads(exact.FIXTURE.read_text(encoding="utf-8"))["points"]
# A drawing unit is about 0.6 mm: a hundredth of it cannot be seen in any size or print.
UNSEEN_UNITS = 0.01
UNSEEN_CM = 0.001
configurations = st.sampled_from(sorted(geometries()))


def name(row: dict[str, Any]) -> str:
    return f"{row['configuration']} {row['side']} {row['along_cm']} {row['across_cm']}"


def test_the_fixture_holds_what_scipy_integrates_today() -> None:
    assert len(POINTS) == len(exact.rows())
    for row in POINTS:
        x, y = exact.point(
            row["configuration"],
            row["side"],
            length_cm=row["length_cm"],
            along_cm=row["along_cm"],
            across_cm=row["across_cm"],
        )
        assert (row["x"], row["y"]) == (pytest.approx(x, abs=1e-4), pytest.approx(y, abs=1e-4)), name(row)


@pytest.mark.parametrize("row", POINTS, ids=name)
def test_a_place_lies_where_the_integral_of_the_speed_puts_it(row: dict[str, Any]) -> None:
    line = centre_line(row["configuration"], side=row["side"], length_cm=row["length_cm"])
    point = line.point_at(row["along_cm"], across_cm=row["across_cm"])
    assert hypot(point.x - row["x"], point.y - row["y"]) < UNSEEN_UNITS


@pytest.mark.parametrize("row", POINTS, ids=name)
def test_a_tap_on_a_known_point_finds_its_place(row: dict[str, Any]) -> None:
    line = centre_line(row["configuration"], side=row["side"], length_cm=row["length_cm"])
    place = line.nearest(row["x"], row["y"])
    assert place.along_cm == pytest.approx(row["along_cm"], abs=UNSEEN_CM)
    assert place.across_cm == pytest.approx(row["across_cm"], abs=UNSEEN_CM)


@pytest.mark.parametrize("configuration", sorted(geometries()))
def test_the_table_is_as_long_as_the_curve(configuration: Configuration) -> None:
    line = centre_line(configuration, side="left", length_cm=20)
    assert line.units_per_cm * 20 == pytest.approx(exact.path_length(configuration), abs=0.002)


@given(configuration=configurations, length=st.floats(5, 60), share=st.floats(0, 1))
def test_there_and_back_is_the_same_place(configuration: Configuration, length: float, share: float) -> None:
    line = centre_line(configuration, side="left", length_cm=length)
    on = line.point_at(share * length)
    back = line.nearest(on.x, on.y)
    assert back.along_cm == pytest.approx(share * length, abs=1e-6 * length)
    assert abs(back.across_cm) < 1e-6


@given(configuration=configurations, share=st.floats(0, 1), across=st.floats(-0.4, 0.4))
def test_a_right_arm_is_the_mirror_image_and_keeps_the_centimetres(
    configuration: Configuration, share: float, across: float
) -> None:
    left, right = (centre_line(configuration, side=side, length_cm=25) for side in ("left", "right"))
    here, there = (line.point_at(share * 25, across_cm=across) for line in (left, right))
    assert there.x == pytest.approx(geometries()[configuration].right_edge - here.x)
    assert there.y == pytest.approx(here.y)
    mirrored = right.nearest(there.x, there.y)
    assert mirrored.along_cm == pytest.approx(left.nearest(here.x, here.y).along_cm)


@given(x=st.floats(-50, 500), y=st.floats(-50, 900), configuration=configurations)
def test_no_place_of_the_vessel_is_nearer_than_the_nearest(x: float, y: float, configuration: Configuration) -> None:
    line = centre_line(configuration, side="right", length_cm=24)
    found = line.nearest(x, y)
    distance = abs(found.across_cm) * line.units_per_cm
    for step in range(121):
        on = line.point_at(step / 5)
        assert hypot(on.x - x, on.y - y) >= distance - 1e-6


def test_across_is_positive_towards_the_thumb_on_both_limbs_of_a_loop() -> None:
    line = centre_line("forearm loop graft", side="left", length_cm=40)
    for along in (8.0, 32.0):
        on = line.point_at(along)
        assert line.point_at(along, across_cm=0.3).x > on.x  # A left arm has its thumb at the right of the picture.
        assert line.nearest(on.x + 3, on.y).across_cm > 0


def test_the_same_needle_stands_nearer_to_the_hand_where_the_vessel_is_longer() -> None:
    short, long = (centre_line("radiocephalic", side="left", length_cm=cm) for cm in (15, 30))
    assert long.point_at(10).y > short.point_at(10).y


@pytest.mark.parametrize("along_cm", [-0.1, 23.1, float("nan")])
def test_a_place_beyond_the_vessel_is_refused(along_cm: float) -> None:
    with pytest.raises(Refused, match="is not on this vessel, which is 23 cm long"):
        centre_line("radiocephalic", side="left", length_cm=23).point_at(along_cm)


@pytest.mark.parametrize("length_cm", [0.0, -3.0, float("nan"), float("inf")])
def test_a_vessel_without_length_is_refused(length_cm: float) -> None:
    with pytest.raises(Refused, match="cannot be drawn"):
        centre_line("radiocephalic", side="left", length_cm=length_cm)
