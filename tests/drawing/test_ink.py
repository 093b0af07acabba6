"""The pen: escaped text, two decimals, tones with a class, names for a screen reader."""

from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from access.drawing.ink import INK, PAPER, Frame, alt_text, drawing, element, number, paint, text, words

FRAME = Frame(left=0, top=0, width=100, height=50, shown_px=400)


@given(st.text(), st.text())
def test_whatever_is_written_comes_back_as_the_same_words(content: str, title: str) -> None:
    svg = drawing(FRAME, words(content, x=1, y=2, size=10), kind="map", title=title, description=content)
    root = ElementTree.fromstring(svg)  # noqa: S314 - made a line above.
    allowed = "".join(each for each in content if each in "\t\n\r" or ord(each) >= 32)
    allowed = "".join(
        each for each in allowed if not 0xD800 <= ord(each) <= 0xDFFF and ord(each) not in (0xFFFE, 0xFFFF)
    )
    found = root.find("{http://www.w3.org/2000/svg}text")
    assert found is not None
    assert (found.text or "") == allowed.replace("\r\n", "\n").replace("\r", "\n")


def test_markup_in_words_and_in_attributes_is_not_markup() -> None:
    assert text("<b>&") == "&lt;b&gt;&amp;"
    assert element("g", class_='a" onload="x') == "<g class='a\" onload=\"x'/>"


def test_numbers_have_two_decimals_at_most_and_no_negative_zero() -> None:
    assert [number(value) for value in (1.0, 2.345678, -0.001, -1.5, 100.0)] == ["1", "2.35", "0", "-1.5", "100"]


def test_a_missing_attribute_is_left_out() -> None:
    assert element("line", x1=0.0, stroke_dasharray=None) == '<line x1="0"/>'


def test_every_tone_is_both_an_attribute_and_a_class() -> None:
    shape = element("path", **paint(fill=PAPER, stroke=INK, width=2))
    assert 'class="fill-paper stroke-ink"' in shape
    assert f'fill="{PAPER.colour}" stroke="{INK.colour}" stroke-width="2"' in shape


def test_a_drawing_has_a_name_and_a_description_by_ids_of_its_own() -> None:
    one = drawing(FRAME, kind="map", title="One", description="first")
    other = drawing(FRAME, kind="map", title="Other", description="second")
    root = ElementTree.fromstring(one)  # noqa: S314 - made a line above.
    ids = {each.attrib["id"]: each.text for each in root.iter() if "id" in each.attrib}
    assert ids[root.attrib["aria-labelledby"]] == "One"
    assert ids[root.attrib["aria-describedby"]] == "first"
    assert not ids.keys() & {each.attrib["id"] for each in ElementTree.fromstring(other).iter() if "id" in each.attrib}  # noqa: S314


def test_a_document_gets_the_same_words_beside_the_picture() -> None:
    svg = drawing(FRAME, kind="map", title="Flow & pressure", description="Newest < 600.")
    assert alt_text(svg) == "Flow & pressure. Newest < 600."
    assert alt_text(drawing(FRAME, kind="map", title="Flow", description="")) == "Flow."
