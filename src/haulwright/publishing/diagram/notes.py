"""What stands under a sheet: what is bold, boxed and hatched, what is not to scale, and the key of a crowded one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from haulwright.publishing.diagram.boxes import Box
from haulwright.publishing.diagram.labels import Label, Placed, Setter
from haulwright.publishing.diagram.plan import Plan
from haulwright.publishing.diagram.rulers import grid_step_m
from haulwright.publishing.diagram.sizes import Size
from haulwright.publishing.diagram.svg import text
from haulwright.publishing.diagram.type_size import cut, text_px, wrapped
from haulwright.publishing.look import STRAND_MIN_PX, Light
from haulwright.publishing.wording import force


def _rows(plan: Plan, units: str, known: bool) -> list[str]:
    if plan.bare:
        return ["No numbers until it holds.", *(["Places to scale, gear drawn large."] if plan.ruler else [])]
    least_N = STRAND_MIN_PX / plan.px_per_N
    alike = ""
    if any(part.tension_N < least_N for line in plan.scheme.lines for part in line.parts):
        alike = f"below {force(least_N, units, unit=False)} drawn alike"
    if not plan.size.strip:
        boxed = "boxed at stall" if known else "stall not known"
        if plan.ruler:
            return [f"{units}; {boxed}", f"to scale, grid {grid_step_m(plan.ruler):g} m"]
        return [f"{units}; {boxed}", f"not to scale; {alike}" if alike else "lengths not to scale"]
    boxed = "boxed: winch at stall" if known else "stall not known: name the winch"
    scale = "Lengths not to scale."
    if plan.ground:
        scale = "Places to scale, gear drawn large." if plan.ruler else "No places given: not to scale."
    rows = [f"{units}; {boxed}", *([plan.told, scale] if plan.ground else [f"{plan.told} {scale}"])]
    rows += [f"Strands {alike}."] if alike else []
    return [*rows, *plan.words]


def notes_height(plan: Plan, units: str, *, known: bool) -> float:
    """Return the height of the notes [px]."""
    return (plan.size.note + 4.0) * len(_lines(plan, units, known)) + 5.0 + _ticks_px(plan)


def _ticks_px(plan: Plan) -> float:
    """Height of the metres under the lower edge [px]."""
    return plan.size.note + 8.0 if plan.ruler and plan.size.strip else 0.0


def _lines(plan: Plan, units: str, known: bool) -> list[list[str]]:
    """Notes in lines of at most two, one at each end."""
    room, note = plan.sheet.x1 - plan.sheet.x0 - 8.0, plan.size.note
    lines: list[list[str]] = []
    whole = False  # whether the line above is one note alone, so that another may stand at its end
    for row in _rows(plan, units, known):
        broken = wrapped(row, room, note)
        if whole and len(broken) == 1 and text_px(lines[-1][0], note) + text_px(row, note) < room - 16.0:
            lines[-1].append(row)
            whole = False
        else:
            lines += [[part] for part in broken]
            whole = len(broken) == 1
    return lines


def draw_notes(plan: Plan, units: str, light: Light, *, known: bool) -> str:
    """Return the notes under a sheet."""
    out = ""
    for i, line in enumerate(_lines(plan, units, known)):
        y = plan.sheet.y1 + _ticks_px(plan) + plan.size.note + 3.0 + i * (plan.size.note + 4.0)
        out += text(line[0], plan.sheet.x0 + 2.0, y, plan.size.note, light, fill=light.ink_2)
        if len(line) > 1:
            out += text(
                line[1], plan.sheet.x1 - 2.0, y, plan.size.note, light, anchor="end", fill=light.ink_2
            )
    return out


def draw_key(size: Size, placed: Iterable[Placed], top: float, light: Light) -> tuple[str, float]:
    """Return the key of a crowded sheet and its height [px]: number or letter, name, figures.

    In columns; on a card in a run without the parts' names, since the number stands at the part.
    """
    rows = sorted(
        (p for p in placed if p.keyed), key=lambda p: (p.label.tag.isalpha(), p.label.tag.zfill(3).lower())
    )
    if not rows:
        return "", 0.0
    setter = Setter(size)
    labels = [_narrowed(_key_label(p.label, named=bool(size.strip)), setter) for p in rows]
    tag_px = max(text_px(label.tag, size.figure, 700) for label in labels) + 7.0
    widths = [setter.measure(label, stacked=False)[0] + tag_px + 22.0 for label in labels]
    spots = _columns(widths, size) if size.strip else _run(widths, size)
    step = max(size.figure, size.stall + 5.0) + 4.0
    out = ""
    for label, (x, row) in zip(labels, spots, strict=True):
        y = top + 4.0 + row * step
        wide, high = setter.measure(label, stacked=False)
        out += text(label.tag, x, y + high / 2.0 + size.figure * 0.345, size.figure, light, weight=700)
        box = Box(x + tag_px, y, x + tag_px + wide, y + high)
        out += setter.draw(Placed(label, box, stacked=False), light, patch=False)
    return out, (1 + max(row for _, row in spots)) * step + 6.0


def _columns(widths: list[float], size: Size) -> list[tuple[float, int]]:
    """Left edge [px] and row of each entry, in columns of one width."""
    wide = max(widths)
    columns = max(1, int((size.width - 2.0 * size.edge + 20.0) / wide))
    per = -(-len(widths) // columns)
    return [(size.edge + 4.0 + (i // per) * wide, i % per) for i in range(len(widths))]


def _run(widths: list[float], size: Size) -> list[tuple[float, int]]:
    """Left edge [px] and row of each entry, one after the other."""
    spots: list[tuple[float, int]] = []
    x, row = size.edge + 4.0, 0
    for wide in widths:
        if spots and x + wide - 18.0 > size.width - size.edge:
            x, row = size.edge + 4.0, row + 1
        spots.append((x, row))
        x += wide
    return spots


def _key_label(label: Label, *, named: bool) -> Label:
    """The label as one row of the key."""
    name = label.name.replace("\n", ", ") if named or not label.key.startswith("part") else ""
    return replace(label, name=name)


def _narrowed(label: Label, setter: Setter) -> Label:
    """The label with its name cut until the row fits the sheet; its figures stay."""
    size = setter.size
    over = setter.measure(label, stacked=False)[0] + 30.0 + text_px(label.tag, size.figure, 700) - size.width
    over += 2.0 * size.edge
    if over <= 0.0:
        return label
    return replace(label, name=cut(label.name, text_px(label.name, size.name, 600) - over, size.name, 600))
