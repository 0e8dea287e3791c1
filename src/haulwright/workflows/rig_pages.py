"""Verbs of rigs as they are seen: drawn, laid out, written down."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from haulwright.errors import Refusal
from haulwright.publishing.output import Files, output_folder, record_of
from haulwright.workflows.given import Given, newtons
from haulwright.workflows.rigs import read_rig, rig_in_words, solve_at_stall, solve_rig, with_stall

if TYPE_CHECKING:
    from haulwright.files.rig_file import RigFile
    from haulwright.mechanics.rig import Rig
    from haulwright.mechanics.solution import RigSolution
    from haulwright.mechanics.statics import Ratio
    from haulwright.publishing.rig_page import RigSheet, SheetChoices


def draw_rig(
    rig: Given | Rig,
    ratio: Ratio | None = None,
    *,
    load: str | float | None = None,
    stall: str | float | None = None,
    seized: Collection[str] | Mapping[str, float | None] = (),
    devices: Mapping[str, str] | None = None,
    units: str = "kN",
    light: str = "paper",
    size: str = "laptop",
    format: str = "svg",
    out: str | Path = "haulwright-out",
) -> Files:
    """Write the drawing of a solved rig as SVG or PNG; ``stall`` is the line pull at winch stall, drawn as the outline.

    Where none is given the rig's own is taken, if it states one.
    """
    from haulwright.mechanics.stepped import refuse_stepped
    from haulwright.publishing.diagram import rig_svg
    from haulwright.publishing.writing import write_drawing

    read = read_rig(rig)
    refuse_stepped(read, "in drawings")
    expected = solve_rig(read, ratio, load=load, seized=seized, devices=devices)
    stall = stated_stall(read) if stall is None else stall
    at_stall = None if stall is None else solve_at_stall(read, ratio, stall, devices, seized)
    drawing = rig_svg(expected, stall=at_stall, units=units, light=light, size=size)
    with output_folder(out) as folder:
        return record_of([write_drawing(drawing, expected.rig, folder, format)])


def stated_stall(rig: Given | Rig) -> float | None:
    """Return the line pull at stall that a rig states of its winch, the greatest of several [N]; None without one."""
    return read_rig(rig).stated_stall


def show_rig(
    given: str | Mapping[str, Any],
    ratio: Ratio | None = None,
    *,
    load: str | float | None = None,
    stall: str | float | None = None,
    laws: Mapping[str, Mapping[str, Any]] | None = None,
    seized: Collection[str] | Mapping[str, float | None] = (),
    move: Mapping[str, Any] | None = None,
    lead: Sequence[str] = (),
    another_winch: bool = False,
    frame: Mapping[str, Any] | None = None,
    **drawn: Any,
) -> RigSheet:
    """Return a rig as a page shows it: solved, held against its limits, drawn; also one that is refused, without numbers.

    Parameters
    ----------
    given : str or mapping
        A named rig, one-line notation, or what a rig file holds.
    ratio, load, stall, laws, seized
        As :func:`solve_rig` and :func:`solve_at_stall` take them; no stall: the rig's own.
    move : mapping or None
        ``{"name": …, "to_m": [x, y]}``: that thing is put there first, and the record has the mapping after it.
    lead : sequence of str
        Bodies and blocks that one more line meets, from the drum where there is none yet; the same.
    another_winch : bool
        The first point of ``lead`` carries one more winch.
    frame : mapping or None
        Of the sheet before: scale and place stay.
    **drawn
        ``units``, ``size`` (``laptop`` or ``phone``), ``width`` [px], ``ghost`` (the rig without friction over it),
        ``draw`` (False: the numbers alone).

    Returns
    -------
    RigSheet

    Raises
    ------
    Refusal
        What is no matter of the rig: a unit, size, frame or move that is none, a wrong key or value of the mapping.

    Examples
    --------
    >>> sheet = show_rig("two-part", 1.1, load="20 kN", stall="42 kN")
    >>> sheet.notation, round(sheet.answer.advantage.value, 3), [row.of for row in sheet.loads][:2]
    ('!O.drum > X > O', 1.909, ['drum:winch', 'body:X'])
    """
    from haulwright.files.rig_edit import moved
    from haulwright.files.rig_law import with_laws
    from haulwright.files.rig_lead import led
    from haulwright.files.rig_sketch import sketch_rig
    from haulwright.mechanics.outline import outline_of
    from haulwright.publishing.diagram.frame import frame_of
    from haulwright.publishing.rig_page import SheetChoices, refused_sheet

    choices = SheetChoices(**drawn, frame=None if frame is None else frame_of(frame))
    changed = None
    if isinstance(given, Mapping) and move is not None:
        given = changed = moved(given, str(move["name"]), move["to_m"])
    if isinstance(given, Mapping) and lead:
        given = changed = led(given, lead, another_winch=another_winch)
    outline, said = None, None
    try:
        rig = with_laws(rig_in_words(given) if isinstance(given, str) else read_rig(given), laws or {})
        outline, said = outline_of(rig), _said(rig)
        return _solved_sheet(rig, ratio, load, stall, seized, choices, (said, changed))
    except Refusal as refusal:
        if isinstance(given, Mapping) and outline is None:
            outline = outline_of(sketch_rig(given))
        return refused_sheet(refusal, outline, choices, notation=said, mapping=changed)


def _solved_sheet(
    rig: Rig,
    ratio: Ratio | None,
    load: str | float | None,
    stall: str | float | None,
    seized: Collection[str] | Mapping[str, float | None],
    choices: SheetChoices,
    said: tuple[str | None, Mapping[str, Any] | None],
) -> RigSheet:
    """Return the sheet of a rig that can be solved."""
    from haulwright.mechanics.outline import outline_of
    from haulwright.mechanics.seized import with_seized
    from haulwright.mechanics.stall import at_load_and_stall, with_and_without_friction
    from haulwright.planning.loads import load_rows
    from haulwright.publishing.rig_page import solved_sheet

    solution = solve_rig(rig, ratio, load=load, seized=seized)
    stall = rig.stated_stall if stall is None else stall
    judged, load_N = with_seized(rig, seized), solution.resistance_N
    at_stall: tuple[RigSolution, ...] = ()
    if stall is None:
        at_load = with_and_without_friction(judged, ratio, load_N=load_N)
    else:
        at_load, at_stall = at_load_and_stall(judged, ratio, load_N, newtons(stall, "stall"))
        solution = with_stall(solution, at_stall, rig)
    return solved_sheet(
        solution,
        load_rows(rig, solution, at_load, at_stall),
        choices,
        at_stall=at_stall,
        ideal=at_load[0],
        outline=outline_of(rig),
        notation=said[0],
        mapping=said[1],
    )


def _said(rig: Rig) -> str | None:
    """Return a rig in one line, None where it cannot be said so."""
    from haulwright.mechanics.notation_write import notation_of

    try:
        return notation_of(rig)
    except Refusal:
        return None


def lay_out_rig(given: str | Mapping[str, Any]) -> dict[str, Any]:
    """Return a rig in line as a mapping on the ground; see :func:`haulwright.files.rig_layout.laid_out`.

    Examples
    --------
    >>> laid = lay_out_rig("stacked two-parts")
    >>> solve_rig(laid, 1.07).advantage - solve_rig("stacked two-parts", 1.07).advantage < 1e-9
    True
    """
    from haulwright.files.rig_layout import laid_out

    return laid_out(given)


def file_rig(given: str | Mapping[str, Any], *, lay_out: bool = False) -> RigFile:
    """Return a rig as a file and in one line; see :func:`haulwright.files.rig_file.file_of`.

    Examples
    --------
    >>> file_rig("two-part", lay_out=True).yaml.splitlines()[:2]
    ['rig: two-part', 'mode: ground']
    """
    from haulwright.files.rig_file import file_of

    return file_of(given, lay_out=lay_out)


def rig_of_text(text: str) -> dict[str, Any]:
    """Return what the text of a rig file holds, unchecked.

    Raises
    ------
    FileRefusal
        It is no YAML, or no mapping.

    Examples
    --------
    >>> rig_of_text("rig: two-part\\nload: {name: truck}")
    {'rig': 'two-part', 'load': {'name': 'truck'}}
    """
    from haulwright.files.yamlfile import parse_yaml

    return parse_yaml(text, "rig file")
