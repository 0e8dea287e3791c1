"""What stands under a sheet: what is bold, boxed and hatched, what is not to scale, and the key of a crowded one."""

from __future__ import annotations

from collections.abc import Iterable

from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.labels import Placed, Setter
from haulwright.publishing.diagram.plan import Plan
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.svg import text
from haulwright.publishing.diagram.type_size import text_px
from haulwright.publishing.look import STRAND_MIN_PX, Light
from haulwright.publishing.wording import force


def _rows(plan: Plan, units: str, known: bool) -> list[str]:
    boxed = "boxed: winch at stall" if known else "stall not known: name the winch"
    rows = [f"{units}; {boxed}"]
    rows.append("lengths not to scale" if not plan.size.strip else "Hatched: nobody stands there. Lengths not to scale.")
    least_N = STRAND_MIN_PX / plan.px_per_N
    if any(part.tension_N < least_N for line in plan.scheme.lines for part in line.parts):
        rows.append(f"strands below {force(least_N, units, unit=False)} {units} drawn alike")
    return rows


def notes_height(plan: Plan) -> float:
    """Return the height of the notes [px]."""
    return (plan.size.note + 4.0) * len(_lines(plan, "kN", True)) + 5.0


def _lines(plan: Plan, units: str, known: bool) -> list[list[str]]:
    """Notes in lines of at most two, one at each end."""
    rows = _rows(plan, units, known)
    room = plan.sheet.x1 - plan.sheet.x0 - 24.0
    lines: list[list[str]] = []
    for row in rows:
        used = sum(text_px(words, plan.size.note) for words in lines[-1]) if lines else room
        if lines and len(lines[-1]) < 2 and used + text_px(row, plan.size.note) < room:
            lines[-1].append(row)
        else:
            lines.append([row])
    return lines


def draw_notes(plan: Plan, units: str, light: Light, *, known: bool) -> str:
    """Return the notes under a sheet."""
    out = ""
    for i, line in enumerate(_lines(plan, units, known)):
        y = plan.sheet.y1 + plan.size.note + 3.0 + i * (plan.size.note + 4.0)
        out += text(line[0], plan.sheet.x0 + 2.0, y, plan.size.note, light, fill=light.ink_2)
        if len(line) > 1:
            out += text(line[1], plan.sheet.x1 - 2.0, y, plan.size.note, light, anchor="end", fill=light.ink_2)
    return out


def draw_key(size: Size, placed: Iterable[Placed], top: float, light: Light) -> tuple[str, float]:
    """Return the key of a crowded sheet and its height [px]: number or letter, name, figures, in columns."""
    rows = sorted((p for p in placed if p.keyed), key=lambda p: (p.label.tag.isalpha(), p.label.tag.zfill(3).lower()))
    if not rows:
        return "", 0.0
    setter = Setter(size)
    tag_px = max(text_px(p.label.tag, size.figure, 700) for p in rows) + 7.0
    named = [_in_one_row(p) for p in rows]
    wide = max(setter.measure(p.label, stacked=False)[0] for p in named) + tag_px + 22.0
    columns = max(1, int((size.width - 2.0 * size.edge + 20.0) / wide))
    per, step = -(-len(rows) // columns), max(size.figure, size.stall + 5.0) + 4.0
    out = ""
    for i, p in enumerate(named):
        x, y = size.edge + 4.0 + (i // per) * wide, top + 4.0 + (i % per) * step
        high = setter.measure(p.label, stacked=False)[1]
        out += text(p.label.tag, x, y + high / 2.0 + size.figure * 0.345, size.figure, light, weight=700)
        box = Box(x + tag_px, y, x + wide, y + high)
        out += setter.draw(Placed(p.label, box, stacked=False), light, patch=False)
    return out, per * step + 6.0


def _in_one_row(placed: Placed) -> Placed:
    label = placed.label
    name = label.name.replace("\n", ", ")
    return Placed(type(label)(label.key, name, label.expected, label.stall, label.over, label.tag), placed.box, False)
