"""Write ``docs/img/signs.svg``, the signs of the mechanics page in one figure: ``python docs/make_signs.py``.

Words are drawn as outlines of the bundled faces, so that the figure looks the same wherever the page is read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from haulwright.publishing.look import FACE_TEXT, FACE_TITLE, PAPER, font_file

FIGURE = Path(__file__).with_name("img") / "signs.svg"
WIDTH, HEIGHT = 980, 1034
XY = tuple[float, float]
INK, SECOND, RULE, SOFT = PAPER.ink, PAPER.ink_2, PAPER.rule, PAPER.rule_soft
CLOSE = 79
CODES = {1: "M", 2: "L", 3: "Q", 4: "C", CLOSE: "Z"}
UNIT = 100.0  # size at which letters are outlined
OUTLINES: dict[str, str] = {}
ALT = (
    "One contact: the line comes up to a block on its other side with t other, is turned through the wrap and leaves on "
    "the haul side with t haul, k times as much; the angle between the parts is 180 degrees less the wrap; the load of the "
    "contact is the vector sum of both. One line: from its standing end p0 over contacts p1 and p2 to the drum p3; "
    "directions u, tensions t and flows q of its parts count towards the drum; the load moves along d with v above 0."
)


def main() -> None:
    """Write the figure."""
    FIGURE.write_text(page(), encoding="utf-8", newline="\n")


def page() -> str:
    """Return the figure as SVG."""
    body = [_sheet(), *_contact(), *_line()]
    glyphs = "".join(f'<path id="{name}" d="{d}"/>' for name, d in OUTLINES.items())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'role="img" aria-label="{ALT}">\n<title>Signs, drawn once</title>\n'
        f"<defs>{glyphs}</defs>\n" + "\n".join(body) + "\n</svg>\n"
    )


# words


def words(
    at: XY, text: str, size: float = 17, weight: int = 400, fill: str = INK, anchor: str = "start"
) -> str:
    """Return text as outlines; what stands after ``_`` in a word is lowered, ``^`` ends it."""
    runs: list[tuple[str, bool]] = []
    for i, piece in enumerate(text.split("_")):
        low, _, rest = piece.partition("^") if i else ("", "", piece)
        runs += [(low, True)] * bool(low) + [(rest, False)] * bool(rest)
    wide = [_width(run, weight) * size * (0.72 if low else 1.0) for run, low in runs]
    x = at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * sum(wide)
    drawn = []
    for (run, low), width in zip(runs, wide, strict=True):
        drawn.append(_glyphs((x, at[1] + low * 0.22 * size), run, size * (0.72 if low else 1.0), weight))
        x += width
    return f'<g fill="{fill}">{"".join(drawn)}</g>'


def _glyphs(at: XY, text: str, size: float, weight: int) -> str:
    """Return a run of text, each letter a use of its outline, which stands once in the figure."""
    drawn = []
    for i, letter in enumerate(text):
        if letter == " ":
            continue
        name = f"g{weight}-{ord(letter):x}"
        OUTLINES.setdefault(name, _outline(letter, weight))
        x = at[0] + size * _width(text[:i], weight)
        drawn.append(
            f'<use href="#{name}" transform="translate({x:.1f} {at[1]:.1f})scale({size / UNIT:.4g})"/>'
        )
    return "".join(drawn)


def _properties(weight: int) -> FontProperties:
    face = (FACE_TITLE, 600) if weight == 0 else (FACE_TEXT, weight)
    return FontProperties(fname=str(font_file(*face)))


def _width(text: str, weight: int) -> float:
    """Return the advance of a text at size 1; blanks at its ends count."""
    both, gap = (
        TextPath((0, 0), word, size=UNIT, prop=_properties(weight)).get_extents().width
        for word in (f"|{text}|", "||")
    )
    return float(both - gap) / UNIT


def _outline(letter: str, weight: int) -> str:
    told = []
    for points, code in TextPath((0, 0), letter, size=UNIT, prop=_properties(weight)).iter_segments():
        told.append(CODES[int(code)])
        if code != CLOSE:
            told.append(" ".join(f"{x:.1f} {-y:.1f}" for x, y in points.reshape(-1, 2)))
    return "".join(told)


# marks


def stroke(points: Sequence[XY], width: float = 1.5, colour: str = INK, dash: str = "") -> str:
    """Return an open line."""
    d = "M" + " L".join(f"{x:.2f} {y:.2f}" for x, y in points)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="{d}" fill="none" stroke="{colour}" stroke-width="{width:g}"{dashed}/>'


def arrow(start: XY, end: XY, width: float = 2.0, colour: str = INK, head: float = 11.0) -> str:
    """Return a line with a filled head at its end."""
    length = math.dist(start, end)
    u = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    back = (end[0] - head * u[0], end[1] - head * u[1])
    wing = 0.42 * head
    left, right = (
        (back[0] - wing * u[1], back[1] + wing * u[0]),
        (back[0] + wing * u[1], back[1] - wing * u[0]),
    )
    tip = " ".join(f"{x:.2f},{y:.2f}" for x, y in (end, left, right))
    return stroke([start, back], width, colour) + f'<polygon points="{tip}" fill="{colour}"/>'


def disc(at: XY, radius: float, fill: str = PAPER.paper, width: float = 2.0, colour: str = INK) -> str:
    """Return a circle."""
    return (
        f'<circle cx="{at[0]:.2f}" cy="{at[1]:.2f}" r="{radius:g}" fill="{fill}" stroke="{colour}" '
        f'stroke-width="{width:g}"/>'
    )


def arc(
    centre: XY, radius: float, start_deg: float, end_deg: float, width: float = 1.3, colour: str = INK
) -> str:
    """Return an arc; degrees count clockwise on the sheet from the right."""
    return stroke(_round(centre, radius, start_deg, end_deg), width, colour)


def _round(centre: XY, radius: float, start_deg: float, end_deg: float) -> list[XY]:
    steps = max(int(abs(end_deg - start_deg) / 2.0), 2)
    turns = [math.radians(start_deg + (end_deg - start_deg) * i / steps) for i in range(steps + 1)]
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in turns]


def strand(points: Sequence[XY], width: float, end_width: float | None = None) -> str:
    """Return a filled ribbon, its width running evenly from one end to the other, with chevrons the way it runs."""
    end_width = width if end_width is None else end_width
    far = [0.0]
    for a, b in pairwise(points):
        far.append(far[-1] + math.dist(a, b))
    left, right = [], []
    for i, p in enumerate(points):
        u = _direction(points, i)
        half = (width + (end_width - width) * far[i] / far[-1]) / 2.0
        left.append((p[0] - half * u[1], p[1] + half * u[0]))
        right.append((p[0] + half * u[1], p[1] - half * u[0]))
    outline = " ".join(f"{x:.2f},{y:.2f}" for x, y in [*left, *reversed(right)])
    return f'<polygon points="{outline}" fill="{INK}"/>' + _chevrons(points, far, width, end_width)


def _direction(points: Sequence[XY], i: int) -> XY:
    a, b = points[max(i - 1, 0)], points[min(i + 1, len(points) - 1)]
    length = math.dist(a, b)
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length)


def _chevrons(points: Sequence[XY], far: Sequence[float], width: float, end_width: float) -> str:
    drawn, at = [], 1.2 * width
    while at < far[-1] - width:
        i = next(n for n, x in enumerate(far) if x >= at)
        share = (at - far[i - 1]) / (far[i] - far[i - 1])
        a, b = points[i - 1], points[i]
        x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
        u = _direction(points, i if share > 0.5 else max(i - 1, 1))
        w = width + (end_width - width) * at / far[-1]
        arms = [
            (x - 0.39 * w * u[0] + s * 0.36 * w * u[1], y - 0.39 * w * u[1] - s * 0.36 * w * u[0])
            for s in (-1, 1)
        ]
        tip = (x + 0.39 * w * u[0], y + 0.39 * w * u[1])
        drawn.append("M" + " L".join(f"{p[0]:.2f} {p[1]:.2f}" for p in (arms[0], tip, arms[1])))
        at += 1.5 * w
    wide = max(0.16 * width, 1.2)
    return f'<path d="{" ".join(drawn)}" fill="none" stroke="{PAPER.paper}" stroke-width="{wide:.2f}"/>'


def _sheet() -> str:
    """Return paper and the neatline."""
    return (
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER.paper}"/>'
        f'<rect x="14" y="14" width="{WIDTH - 28}" height="{HEIGHT - 28}" fill="none" stroke="{INK}" stroke-width="2"/>'
    )


def patch(x: float, y: float, width: float, height: float) -> str:
    """Return a piece of plain paper under words."""
    return f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" fill="{PAPER.paper}"/>'


def hanger(block: XY, to: XY) -> str:
    """Return what holds a block, passing over its line."""
    return stroke([block, to], 8.0, PAPER.paper) + stroke([block, to], 3.5)


def ring(at: XY) -> str:
    """Return what a line is made fast to."""
    return disc(at, 7.0, PAPER.paper, 2.4)


def anchor_mark(at: XY, radius: float = 27.0) -> str:
    """Return an anchor seen from above: a trunk with its rays."""
    rays = [
        stroke([_at(at, radius + 4.0, turn), _at(at, radius + 11.0, turn)], 1.6, PAPER.terrain)
        for turn in range(0, 360, 30)
    ]
    return disc(at, radius, PAPER.paper, 2.4) + disc(at, radius - 9.0, "none", 1.1, SECOND) + "".join(rays)


def _at(centre: XY, radius: float, turn_deg: float) -> XY:
    return _round(centre, radius, turn_deg, turn_deg + 1e-9)[0]


# the two drawings


def _contact() -> list[str]:
    """Return one contact: a wrap of 120 degrees, so 60 between the parts, k 1.25."""
    c, r, wide = (318.0, 240.0), 58.0, 16.0
    bend = _round(c, r, 180.0 + 30.0, 360.0 - 30.0)
    half = math.radians(30.0)  # of the angle between the parts
    down = 255.0
    first = (bend[0][0] - down * math.sin(half), bend[0][1] + down * math.cos(half))
    last = (bend[-1][0] + down * math.sin(half), bend[-1][1] + down * math.cos(half))
    apex = (c[0], c[1] - r / math.sin(half))
    swing = 318.0
    return [
        words((44, 66), "One contact", 28, 0),
        stroke([(c[0] - 9, 108), (c[0] - 9, c[1])], 1.6) + stroke([(c[0] + 9, 108), (c[0] + 9, c[1])], 1.6),
        stroke([(c[0] - 64, 106), (c[0] + 64, 106)], 3.0),
        *(stroke([(c[0] + x, 105), (c[0] + x + 12, 93)], 1.3, SECOND) for x in range(-62, 60, 13)),
        disc(c, r - wide / 2.0, PAPER.paper, 2.0),
        stroke([c, bend[0]], 1.2, SECOND, "6 4") + stroke([c, bend[-1]], 1.2, SECOND, "6 4"),
        arc(c, 25.0, 210.0, 330.0, 1.6),
        strand([first, *bend, last], 0.8 * wide, wide),
        arc(apex, swing, 60.0, 120.0, 1.3, SECOND),
        disc(c, 6.0, INK, 0.0),
        arrow(c, (c[0], c[1] + 108), 3.0, INK, 14),
        words((c[0] + 14, c[1] + 102), "its load", 17, 600),
        words((c[0] + 96, c[1] - 58), "wrap", 20, 700),
        stroke([(c[0] + 92, c[1] - 60), _at(c, 26.0, 300.0)], 1.0, RULE),
        words((c[0] + 96, c[1] - 36), "turned through", 15, 400, SECOND),
        arrow(first, (first[0] - 44 * math.sin(half), first[1] + 44 * math.cos(half)), 2.6, INK, 13),
        arrow(last, (last[0] + 55 * math.sin(half), last[1] + 55 * math.cos(half)), 2.6, INK, 13),
        patch(apex[0] - 82, apex[1] + swing - 27, 164, 46),
        words((apex[0], apex[1] + swing - 8), "between the parts", 17, 600, INK, "middle"),
        words((apex[0], apex[1] + swing + 14), "180° − wrap", 15, 400, SECOND, "middle"),
        words((first[0] - 34, first[1] - 46), "other side", 15, 400, SECOND, "end"),
        words((first[0] - 34, first[1] - 18), "t_other", 24, 700, INK, "end"),
        words((last[0] + 36, last[1] - 46), "haul side", 15, 400, SECOND),
        words((last[0] + 36, last[1] - 18), "t_haul", 24, 700, INK),
        *_contact_words(),
    ]


def _contact_words() -> list[str]:
    x, y = 622.0, 130.0
    told = [
        ("k = t_haul^ ÷ t_other", "1 or more; 1 is no friction"),
        ("e = 1 ÷ k", "efficiency of the contact"),
        ("wrap 180°: parts parallel", "0°: straight through, hardly a contact"),
        ("load² = t_1^² + t_2^² − 2 t_1^ t_2^ cos wrap", "equal tensions: 2 t sin(wrap ÷ 2)"),
        ("t > 0: the part pulls", "a part never pushes: such a rig is refused"),
    ]
    drawn = []
    for i, (first, second) in enumerate(told):
        drawn.append(words((x, y + 66 * i), first, 18, 600))
        drawn.append(words((x, y + 66 * i + 23), second, 15, 400, SECOND))
        if i:
            drawn.append(stroke([(x, y + 66 * i - 28), (x + 314, y + 66 * i - 28)], 1.0, SOFT))
    return drawn


def _line() -> list[str]:
    """Return one line of three parts, its drum on the load."""
    left, right, top, gap, wide = 190.0, 706.0, 676.0, 64.0, 15.0
    r = gap / 2.0
    near, far = (left + 46, top + 1.5 * gap), (right - 46, top + 0.5 * gap)  # centres of the sheaves
    turn_right, turn_left = _round(far, r, -90.0, 90.0), _round(near, r, 270.0, 90.0)
    path = [(near[0], top), (far[0], top), *turn_right, *turn_left, (right - 18, top + 2 * gap)]
    u_from, u_to = 556.0, 612.0
    return [
        stroke([(44, 532), (WIDTH - 44, 532)], 1.0, RULE),
        words((44, 586), "One line, counted from its standing end", 28, 0),
        _load_body(right, top, gap),
        stroke([(left - 6, top + gap), (near[0], top)], 1.6),
        anchor_mark((left - 34, top + gap), 30),
        disc(near, r - wide / 2.0) + disc(far, r - wide / 2.0),
        strand(path, 0.8 * wide, 1.15 * wide),
        ring((near[0], top)),
        hanger(near, (left - 5, top + gap)) + hanger(far, (right - 10, far[1])),
        disc(near, 4.5, INK, 0.0) + disc(far, 4.5, INK, 0.0),
        _drum((right, top + 2 * gap)),
        words((left - 34, top + gap - 72), "oak", 17, 600, INK, "middle"),
        words((left - 34, top + gap - 53), "anchor", 15, 400, SECOND, "middle"),
        *(
            mark
            for n, (x, y, back) in enumerate(
                ((u_from, top, 1), (u_from, top + gap, -1), (u_from, top + 2 * gap, 1))
            )
            for mark in _part(n, x, y, back, u_to - u_from)
        ),
        *_points(near, far, right, top, gap, r),
        *_travel(left, right, top, gap),
        *_line_words(),
    ]


def _part(n: int, x: float, y: float, way: int, long: float) -> list[str]:
    start, end = (x, x + long) if way > 0 else (x + long, x)
    return [
        words((x - 140, y - 15), f"part {n + 1}", 15, 400, SECOND),
        words((x - 82, y - 15), f"t_{n}", 20, 700),
        words((x - 34, y - 15), f"u_{n}", 18, 600),
        arrow((start, y - 20), (end, y - 20), 1.8, INK, 10),
    ]


def _points(near: XY, far: XY, right: float, top: float, gap: float, r: float) -> list[str]:
    places = (
        ((near[0] - 18, top - 24), "p_0", "standing end, q_0^ = 0", (36, 0), "start"),
        ((far[0] + 6, top - 24), "p_1", "q_1^ > 0", (34, 0), "start"),
        ((near[0] - r - 16, near[1] + 40), "p_2", "q_2^ > 0", (0, 22), "end"),
    )
    drawn = []
    for (x, y), name, flow, off, anchor in places:
        drawn.append(words((x, y), name, 22, 700, INK, anchor))
        drawn.append(words((x + off[0], y + off[1]), flow, 15, 400, SECOND, anchor))
    drawn += [
        words((right + 34, top + 2 * gap + 2), "p_3", 22, 700),
        words((right + 68, top + 2 * gap + 2), "drum", 15, 400, SECOND),
        words((right + 34, top + 2 * gap + 23), "q_3^ = 1: it takes in", 15, 400, SECOND),
    ]
    return drawn


def _load_body(right: float, top: float, gap: float) -> str:
    x, y, wide, high = right - 10.0, top + 4.0, 184.0, 2 * gap + 36.0
    corner = 18
    outline = (
        f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}" rx="{corner}" fill="{PAPER.paper_shade}" '
        f'stroke="{INK}" stroke-width="2.4"/>'
    )
    return (
        outline
        + words((right + 34, top + 36), "load", 20, 600)
        + words((right + 82, top + 36), "wagon", 15, 400, SECOND)
    )


def _drum(at: XY) -> str:
    x, y = at[0] - 18, at[1] - 22
    turns = "".join(stroke([(x + 6 + 7 * i, y + 4), (x + 6 + 7 * i, y + 40)], 2.2) for i in range(4))
    return (
        f'<rect x="{x:g}" y="{y:g}" width="33" height="44" fill="{PAPER.paper}" stroke="{INK}" stroke-width="2"/>'
        + turns
    )


def _travel(left: float, right: float, top: float, gap: float) -> list[str]:
    low = top + 2 * gap + 54
    mid = top + gap
    axis = low + 34
    return [
        arrow((right + 156, mid + 22), (right + 34, mid + 22), 4.0, INK, 17),
        words((right + 96, mid + 8), "d,  v > 0", 19, 700, INK, "middle"),
        arrow((right + 176, mid + 22), (right + 236, mid + 22), 2.4, INK, 13),
        words((right + 206, mid + 48), "R", 19, 700, INK, "middle"),
        stroke([(left - 34, axis), (right + 82, axis)], 1.4, SECOND),
        *(stroke([(x, axis - 6), (x, axis + 6)], 1.4, SECOND) for x in (left - 34, right + 82)),
        words((left - 34, axis + 26), "x = 0", 15, 400, SECOND, "middle"),
        words((right + 82, axis + 26), "x = 1", 15, 400, SECOND, "middle"),
        words(
            ((left + right) / 2.0 + 24, axis + 26),
            "rig drawn in line: d = (−1, 0, 0)",
            15,
            400,
            SECOND,
            "middle",
        ),
    ]


def _line_words() -> list[str]:
    told = (
        "Part i + 1 runs from p_i^ to p_i + 1^: direction u_i^, tension t_i^ = T g_i^. All count towards the drum.",
        "Chevrons show flow q > 0: the line runs towards the drum. The load moves along d, against its resistance R.",
    )
    y = HEIGHT - 64
    return [words((44, y + 26 * i), text, 16, 400) for i, text in enumerate(told)]


if __name__ == "__main__":
    main()
