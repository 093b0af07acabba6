"""The pen: tones, escaped text and SVG elements that look the same on the page, in print and in a PDF.

Every tone is written as a presentation attribute, so that a document without a stylesheet prints right, and as a
class, so that the page can give it the colour of its own theme. No `style` attribute is ever written, since the
page's content policy forbids it. Nothing here knows what is drawn.
"""

import hashlib
import re
from dataclasses import dataclass
from typing import NewType
from xml.sax.saxutils import escape, quoteattr, unescape

# Text that is already escaped; only this module makes it, so that nothing unescaped can reach a drawing.
Markup = NewType("Markup", str)
Attribute = str | float | None

# A document ships Lato; the page's stylesheet puts its own system font in its place.
FONT = "Lato, sans-serif"
PHONE_PX = 360.0
_SAID = re.compile("<(?:title|desc) id=[^>]*>([^<]*)</")
_NOT_ALLOWED_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, kw_only=True)
class Tone:
    """A colour by its task: the class that a stylesheet may override and the value used without one."""

    name: str
    colour: str


INK = Tone(name="ink", colour="#221c19")
SOFT = Tone(name="soft", colour="#5a504a")
HAIR = Tone(name="hair", colour="#ddd4c6")
EDGE = Tone(name="edge", colour="#82766a")
PAPER = Tone(name="paper", colour="#fffdf9")
BAND = Tone(name="band", colour="#ece4d6")
LIMB = Tone(name="limb", colour="#f5ede2")
LIMB_EDGE = Tone(name="limb-edge", colour="#97897b")
VESSEL = Tone(name="vessel", colour="#e2d3c3")
HATCH = Tone(name="hatch", colour="#5a504a")
# Red and blue mean the arterial and the venous needle and nothing else.
NEEDLE = {"arterial": Tone(name="arterial", colour="#b3241b"), "venous": Tone(name="venous", colour="#1d4f9f")}
LETTER = {"arterial": "A", "venous": "V"}


def number(value: float) -> str:
    """A coordinate with at most two decimals and no trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def text(words: str) -> Markup:
    """Words made safe for a drawing; characters that XML does not allow are left out."""
    return Markup(escape(_NOT_ALLOWED_IN_XML.sub("", words)))


def element(name: str, *children: Markup, **attributes: Attribute) -> Markup:
    """One element; ``stroke_width`` is written ``stroke-width``, ``class_`` is ``class``, ``None`` is left out."""
    written = "".join(
        f" {key.rstrip('_').replace('_', '-')}={quoteattr(_NOT_ALLOWED_IN_XML.sub('', _written(value)))}"
        for key, value in attributes.items()
        if value is not None
    )
    inside = "".join(children)
    return Markup(f"<{name}{written}>{inside}</{name}>" if inside else f"<{name}{written}/>")


def _written(value: str | float) -> str:
    return value if isinstance(value, str) else number(value)


def paint(*, fill: Tone | None = None, stroke: Tone | None = None, width: float | None = None) -> dict[str, Attribute]:
    """The attributes of a filled or stroked shape, with the classes beside them."""
    names = [f"fill-{fill.name}"] if fill else []
    names += [f"stroke-{stroke.name}"] if stroke else []
    attributes: dict[str, Attribute] = {"class_": " ".join(names) or None, "fill": fill.colour if fill else "none"}
    if stroke:
        attributes |= {"stroke": stroke.colour, "stroke_width": width if width is not None else 1.0}
    return attributes


def line(x1: float, y1: float, x2: float, y2: float, *, tone: Tone, width: float, dash: str | None = None) -> Markup:
    """A straight stroke."""
    return element(
        "line", x1=x1, y1=y1, x2=x2, y2=y2, **paint(stroke=tone, width=width) | {"fill": None}, stroke_dasharray=dash
    )


def words(
    content: str,
    *,
    x: float,
    y: float,
    size: float,
    tone: Tone = INK,
    anchor: str = "start",
    bold: bool = False,
    halo: float = 0.0,
    halo_tone: Tone = PAPER,
) -> Markup:
    """One line of text with its foot at ``y``; a halo keeps it legible where it crosses a line."""
    attributes = paint(fill=tone)
    if halo:
        attributes |= paint(fill=tone, stroke=halo_tone, width=halo)
        attributes |= {"paint_order": "stroke", "stroke_linejoin": "round"}
    return element(
        "text",
        text(content),
        x=x,
        y=y,
        font_size=size,
        text_anchor=None if anchor == "start" else anchor,
        font_weight=700 if bold else None,
        **attributes,
    )


def group(*children: Markup, **attributes: Attribute) -> Markup:
    """Several elements as one."""
    return element("g", *children, **attributes)


def polyline(points: list[tuple[float, float]], *, tone: Tone, width: float, dash: str | None = None) -> Markup:
    """A line through points, with round joints."""
    return element(
        "polyline",
        points=" ".join(f"{number(x)},{number(y)}" for x, y in points),
        stroke_linejoin="round",
        stroke_linecap="round",
        stroke_dasharray=dash,
        **paint(stroke=tone, width=width),
    )


def polygon(points: list[tuple[float, float]], *, fill: Tone) -> Markup:
    """A filled area."""
    return element("polygon", points=" ".join(f"{number(x)},{number(y)}" for x, y in points), **paint(fill=fill))


@dataclass(frozen=True, kw_only=True)
class Frame:
    """The part of the drawing's own plane that is shown, and how wide it is meant to be shown in CSS pixels."""

    left: float
    top: float
    width: float
    height: float
    shown_px: float

    @property
    def unit(self) -> float:
        """How much of the drawing's plane one CSS pixel covers; below a phone's width words shrink with the rest."""
        return self.width / max(self.shown_px, PHONE_PX)


def window(frame: Frame, *children: Markup) -> Markup:
    """A part of the drawing that is cut off at the frame's edges."""
    body = "".join(children)
    cut = f"w{_unique(body)}"
    edge = element("rect", x=frame.left, y=frame.top, width=frame.width, height=frame.height)
    return group(element("clipPath", edge, id=cut), group(Markup(body), clip_path=f"url(#{cut})"))


def _unique(content: str) -> str:
    """A name that no other drawing on the page has, unless it is the same drawing."""
    return hashlib.sha256(content.encode()).hexdigest()[:10]


def drawing(frame: Frame, *children: Markup, kind: str, title: str, description: str) -> str:
    """The whole SVG with its name and description for a screen reader; ids follow from the content."""
    body = "".join(children)
    unique = _unique(title + description + body)
    return element(
        "svg",
        element("title", text(title), id=f"t{unique}"),
        element("desc", text(description), id=f"d{unique}"),
        Markup(body),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(number(v) for v in (frame.left, frame.top, frame.width, frame.height)),
        width=frame.shown_px,
        height=frame.shown_px * frame.height / frame.width,
        role="img",
        aria_labelledby=f"t{unique}",
        aria_describedby=f"d{unique}",
        font_family=FONT,
        class_=f"drawing drawing-{kind}",
    )


def alt_text(svg: str) -> str:
    """The name and the description of a drawing made here, as a document gives them beside a picture."""
    found = [unescape(each) for each in _SAID.findall(svg)]
    return ". ".join(each.rstrip(".") for each in found if each) + "."
