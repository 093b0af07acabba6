"""What is marked on a map: the ruler, days of rest, zones, past punctures and the needles.

Ink alone says how a stretch is (hatching, and a word in a label); red and blue are kept for the two needles, which
always carry their letter. Where the words go is worked out in callouts.
"""

from access.drawing.callouts import Callout
from access.drawing.ink import (
    HATCH,
    INK,
    LETTER,
    LIMB,
    NEEDLE,
    PAPER,
    SOFT,
    Markup,
    Tone,
    element,
    group,
    line,
    paint,
    polyline,
    words,
)
from access.drawing.marks import AGES_SHOWN_DAYS, Marks, PastSite, ZoneMark, days_in_words
from access.drawing.sheet import Sheet
from access.measures.words import NeedleRole

# A puncture is hatched this far to each side: twice the least distance of a new one from it (protocol data), rounded.
_REST_REACH_CM = 0.5
# One stroke in so many tenths of a cm, by days of rest: the denser, the fresher (own choice).
_DENSITY = ((3, 1), (7, 2), (AGES_SHOWN_DAYS, 4))
_ZONE_STROKE_CM = 0.35
# So many letters fit into the column beside the drawing, in a wide font too.
_COLUMN_LETTERS = 16


def ruler(on: Sheet, *, needled: tuple[float, float] | None) -> Markup:
    """Ticks at each cm along the inner side of the vessel, numbers at each fifth, a firm line where it is needled."""
    base = on.half_width + 4 * on.unit
    parts = [
        line(*_across(on, at, base, base + (7 if at % 5 == 0 else 4) * on.unit), tone=SOFT, width=0.9 * on.unit)
        for at in range(int(on.line.length_cm) + 1)
    ]
    if needled:
        first, last = max(needled[0], 0.0), min(needled[1], on.line.length_cm)
        steps = max(int((last - first) * 5), 2)
        edge = [on.beside(first + (last - first) * step / steps, outward=-base) for step in range(steps + 1)]
        parts.append(polyline([(each.x, each.y) for each in edge], tone=INK, width=1.6 * on.unit))
    parts += [_ruler_number(on, at, base + 10 * on.unit) for at in range(0, int(on.line.length_cm) + 1, 5)]
    return group(*parts)


def _across(on: Sheet, along_cm: float, first: float, second: float) -> tuple[float, float, float, float]:
    start, end = on.beside(along_cm, outward=-first), on.beside(along_cm, outward=-second)
    return start.x, start.y, end.x, end.y


def _ruler_number(on: Sheet, along_cm: int, off: float) -> Markup:
    at, out = on.beside(along_cm, outward=-off), on.line.outward_at(along_cm)
    anchor = "end" if out.x > 0.4 else "start" if out.x < -0.4 else "middle"
    size = 11 * on.unit
    return words(
        f"{along_cm}",
        x=at.x,
        y=at.y + size * 0.36,
        size=size,
        tone=SOFT,
        anchor=anchor,
        halo=3 * on.unit,
        halo_tone=LIMB,
    )


def rest(on: Sheet, punctures: tuple[PastSite, ...]) -> Markup:
    """Strokes across the vessel around each recent puncture, the denser the fewer days it has rested."""
    strokes = []
    for index in range(int(on.line.length_cm * 10) + 1):
        along = index / 10
        days = [each.days for each in punctures if abs(each.along_cm - along) <= _REST_REACH_CM + 1e-9]
        every = next((step for limit, step in _DENSITY if days and min(days) < limit), 0)
        if every and index % every == 0:
            ends = on.beside(along, outward=on.half_width), on.beside(along, outward=-on.half_width)
            strokes.append(line(ends[0].x, ends[0].y, ends[1].x, ends[1].y, tone=HATCH, width=0.7))
    return group(*strokes)


def zone(on: Sheet, marked: ZoneMark) -> Markup:
    """A band of slanting strokes wider than the vessel; crossed strokes and firm edges mean keep off."""
    firm = marked.action == "keep off"
    reach = on.half_width + 3 * on.unit
    slant = 2 * reach / on.line.units_per_cm
    strokes = []
    first = marked.from_cm - slant
    for index in range(int((marked.to_cm - first) / _ZONE_STROKE_CM) + 1):
        stroke = _slanting(on, marked, first + index * _ZONE_STROKE_CM, slant, reach)
        strokes += stroke[: 2 if firm else 1]
    return group(*strokes, *_zone_edges(on, marked, reach, firm=firm))


def _slanting(on: Sheet, marked: ZoneMark, at: float, slant: float, reach: float) -> list[Markup]:
    """A stroke that crosses the band while it advances by ``slant`` cm, cut off at the zone's ends, and its mirror."""
    begin, end = max(marked.from_cm - at, 0.0) / slant, min(marked.to_cm - at, slant) / slant
    if begin >= end:
        return []
    found = []
    for hand in (1, -1):
        low = on.beside(at + begin * slant, outward=hand * reach * (2 * begin - 1))
        high = on.beside(at + end * slant, outward=hand * reach * (2 * end - 1))
        found.append(line(low.x, low.y, high.x, high.y, tone=HATCH, width=0.8 * on.unit))
    return found


def _zone_edges(on: Sheet, marked: ZoneMark, reach: float, *, firm: bool) -> list[Markup]:
    steps = max(int((marked.to_cm - marked.from_cm) * 5), 1)
    alongs = [marked.from_cm + (marked.to_cm - marked.from_cm) * step / steps for step in range(steps + 1)]
    one = [on.beside(along, outward=reach) for along in alongs]
    other = [on.beside(along, outward=-reach) for along in reversed(alongs)]
    edge = [(each.x, each.y) for each in [*one, *other, one[0]]]
    return [polyline(edge, tone=INK, width=1.4 * on.unit, dash=None if firm else f"{3 * on.unit:g} {2.5 * on.unit:g}")]


def past(on: Sheet, site: PastSite) -> Markup:
    """A small mark: a dot for an arterial puncture, a square for a venous one, fainter when long ago."""
    limit = on.half_width / on.line.units_per_cm
    at = on.line.point_at(site.along_cm, across_cm=min(max(site.across_cm, -limit), limit))
    size = 2.3 * on.unit
    faint = None if site.days < AGES_SHOWN_DAYS else 0.45
    ink = paint(fill=INK, stroke=PAPER, width=0.8 * on.unit)
    if site.role == "arterial":
        return element("circle", cx=at.x, cy=at.y, r=size, opacity=faint, **ink)
    return element("rect", x=at.x - size, y=at.y - size, width=2 * size, height=2 * size, opacity=faint, **ink)


def needle(on: Sheet, role: NeedleRole, along_cm: float, *, hollow: bool) -> Markup:
    """The letter of a needle in its ring: hollow where it is only planned, filled where it is placed."""
    at, tone, radius = on.line.point_at(along_cm), NEEDLE[role], 8.5 * on.unit
    ring = paint(fill=PAPER if hollow else tone, stroke=tone, width=1.8 * on.unit)
    letter = words(
        LETTER[role],
        x=at.x,
        y=at.y + 4.2 * on.unit,
        size=12 * on.unit,
        tone=tone if hollow else PAPER,
        anchor="middle",
        bold=True,
    )
    dash = f"{3 * on.unit:g} {2 * on.unit:g}" if hollow else None
    return group(element("circle", cx=at.x, cy=at.y, r=radius, stroke_dasharray=dash, **ring), letter)


def joints(on: Sheet) -> Markup:
    """A bar across the vessel where it is joined to the artery, and to the vein where that end is named."""
    ends = {"artery": 0.0, "vein": on.line.length_cm}
    bars = []
    for each in on.geometry.anastomoses:
        at = ends[each.end]
        first, second = (on.beside(at, outward=hand * (on.half_width + 4)) for hand in (1, -1))
        bars.append(line(first.x, first.y, second.x, second.y, tone=INK, width=2.4))
    return group(*bars)


def callouts_for(on: Sheet, marks: Marks) -> list[Callout]:
    """A label for each needle and zone, and for the newest puncture of each half centimetre."""
    found = [_callout(on, _zone_lines(each), (each.from_cm + each.to_cm) / 2) for each in marks.zones]
    in_place = marks.placed.sites()
    planned = [site for site in marks.planned.sites() if site not in in_place]
    for sites, remark in ((in_place, ()), (planned, ("planned",))):
        for role, along in sites:
            lines = (f"{LETTER[role]} {along:.1f} cm", *remark)
            found.append(_callout(on, lines, along, tone=NEEDLE[role], bold=True))
    for site in _newest(marks.punctures):
        lines = (f"{LETTER[site.role]} {days_in_words(site.days)}",)
        found.append(_callout(on, lines, site.along_cm, tone=SOFT))
    return found


def _newest(punctures: tuple[PastSite, ...]) -> list[PastSite]:
    newest: dict[tuple[NeedleRole, int], PastSite] = {}
    for site in sorted(punctures, key=lambda each: each.days):
        if site.days < AGES_SHOWN_DAYS:
            newest.setdefault((site.role, round(site.along_cm * 2)), site)
    return list(newest.values())


def _zone_lines(marked: ZoneMark) -> tuple[str, ...]:
    """What to do and why, on one line where the column is wide enough for it, and from where to where."""
    together = f"{marked.action}: {marked.why}"
    first = (together,) if len(together) <= _COLUMN_LETTERS else (f"{marked.action}:", marked.why)
    return (*first, f"{marked.from_cm:g}–{marked.to_cm:g} cm")


def _callout(on: Sheet, lines: tuple[str, ...], along_cm: float, *, tone: Tone = INK, bold: bool = False) -> Callout:
    foot = on.beside(along_cm, outward=on.half_width + 2 * on.unit)
    return Callout(lines=lines, foot=foot, right=on.line.outward_at(along_cm).x >= 0, tone=tone, bold=bold)
