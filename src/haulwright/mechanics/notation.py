"""The one-line notation: a rig written as trainers say it, from the drum.

::

    !truck.drum > tree > truck            ! marks the load once; .drum where the winch sits
    X.drum > ~M > X ; ~M > !O > X         ; the next line, ~ a floating block
    !truck.drum > B2@oak > B1@truck > B2@oak | order oak truck

Each line runs from the drum (or its first made-fast end) to its made-fast end; names between turn the line. ``name@body``
is a named block on a body; the same named block at an end is its becket. Bodies stand along the pull as anchors, floating
blocks in order of mention, then the load; ``beyond`` is always an anchor behind the load, and an anchor that carries
only the drum and hauls straight off a block on another anchor stands behind the load too. ``| order a b c`` overrides.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from haulwright.errors import UNPRINTABLE, RigRefusal
from haulwright.mechanics.names import nearest
from haulwright.mechanics.rig import ANCHOR, FLOATING, LOAD, Block, Body, Line, Point, Rig

BEYOND = "beyond"
_TOKEN = re.compile(r"^([!~]?)([^!~@.>;|]+?)(?:@([^!~@.>;|]+?))?(?:\.([\w -]+))?$")


def looks_like_notation(text: str) -> bool:
    """Return whether a text is one-line notation rather than a name or a path of a file.

    Examples
    --------
    >>> looks_like_notation("X.drum > !O"), looks_like_notation("rigs/oak.yaml")
    (True, False)
    """
    return ">" in text


@dataclass(frozen=True)
class _Token:
    name: str
    body: str
    named: bool
    drum: bool
    becket: bool
    text: str


@dataclass
class _Reader:
    """What the notation has told so far: bodies with their roles in order of mention, blocks, lines."""

    text: str
    roles: dict[str, str] = field(default_factory=dict)
    blocks: dict[str, Block] = field(default_factory=dict)
    lines: dict[str, Line] = field(default_factory=dict)
    drum_only: dict[str, str] = field(default_factory=dict)  # body of the drum -> first body its line meets


def parse_notation(text: str, name: str = "") -> Rig:
    """Return the rig a line of notation describes.

    Parameters
    ----------
    text : str
    name : str
        Name of the rig; the notation itself if empty.

    Returns
    -------
    Rig
        Friction and resistance not given.

    Raises
    ------
    RigRefusal
        NOTATION for text that is not the notation, NO_LOAD, NO_WINCH, OPEN_END, UNKNOWN; then those of
        :func:`haulwright.mechanics.rig.check`.

    Examples
    --------
    >>> parse_notation("X.drum > ~M > X ; ~M > !O > X").contacts_from_drum
    ('M', 'O')
    """
    if UNPRINTABLE.search(text):
        raise RigRefusal("NOTATION", f"{text!r} holds a control character: type it anew.")
    body_text, _, order_text = text.partition("|")
    reader = _Reader(text)
    tokens = [_tokens(reader, part) for part in body_text.split(";")]
    if LOAD not in reader.roles.values():
        raise RigRefusal(
            "NO_LOAD", f"Nothing is connected to be pulled in {text.strip()!r}. Mark the load once with !."
        )
    for number, line_tokens in enumerate(tokens, start=1):
        _read_line(reader, line_tokens, number)
    if not any(line.drum for line in reader.lines.values()):
        raise RigRefusal(
            "NO_WINCH", f"No line goes to a winch in {text.strip()!r}. Begin one line with name.drum."
        )
    order = _order(reader, order_text)
    bodies = {b: Body(b, reader.roles[b], (float(order.index(b)), 0.0, 0.0)) for b in reader.roles}
    return Rig(
        name=name or text.strip(),
        bodies=bodies,
        blocks=reader.blocks,
        lines=reader.lines,
        direction=(-1.0, 0.0, 0.0),
        path=" ".join(text.split()),
    )


def _tokens(reader: _Reader, part: str) -> list[_Token]:
    texts = [piece.strip() for piece in part.split(">")]
    if len(texts) < 2 or not all(texts):
        raise RigRefusal(
            "OPEN_END" if any(texts) else "NOTATION",
            f"{part.strip()!r} is not a line: write at least two names with > between, e.g. !truck.drum > tree > truck.",
        )
    return [_token(reader, piece, first=i == 0) for i, piece in enumerate(texts)]


def _token(reader: _Reader, text: str, first: bool) -> _Token:
    match = _TOKEN.match(text)
    if not match:
        raise RigRefusal(
            "NOTATION",
            f"{text!r} is not a point: write name, name@body, ~name (floating) or !name (the load).",
            (text,),
        )
    mark, name, on, eye = match[1], match[2].strip(), match[3], match[4]
    body = on.strip() if on else name
    if eye not in (None, "drum", "becket"):
        raise RigRefusal(
            "NOTATION",
            f"{text!r}: after the dot only drum or becket can stand; describe eyes in a rig file.",
            (text,),
        )
    if eye == "drum" and not first:
        raise RigRefusal("NOTATION", f"{text!r}: the drum is where a line begins; write it first.", (text,))
    _give_role(reader, body, LOAD if mark == "!" else FLOATING if mark == "~" else "", text)
    return _Token(name, body, bool(on), eye == "drum", eye == "becket", text)


def _give_role(reader: _Reader, body: str, role: str, text: str) -> None:
    known = reader.roles.get(body)
    if known is None:
        reader.roles[body] = role or ANCHOR
    elif role and known not in (role, ANCHOR):
        raise RigRefusal("NOTATION", f"{text!r}: {body} is already the {known}; it cannot be both.", (body,))
    elif role:
        reader.roles[body] = role
    if sum(r == LOAD for r in reader.roles.values()) > 1:
        loads = [b for b, r in reader.roles.items() if r == LOAD]
        raise RigRefusal(
            "NOTATION", f"{' and '.join(loads)} are both marked with !: mark one load.", tuple(loads)
        )


def _read_line(reader: _Reader, tokens: list[_Token], number: int) -> None:
    before = sum(line.drum is not None for line in reader.lines.values())
    drum = None if not tokens[0].drum else f"winch {before + 1}" if before else "winch"
    name = "winch line" if drum == "winch" else f"line {number}"
    interior = [_contact(reader, token) for token in tokens[1:-1]]
    ends = [_end(reader, tokens[0]), _end(reader, tokens[-1])]
    points = (ends[1], *reversed(interior), ends[0])
    reader.lines[name] = Line(name, points, drum)
    if drum:
        reader.drum_only[tokens[0].body] = tokens[1].body if interior else ""


def _contact(reader: _Reader, token: _Token) -> Point:
    name = token.name
    if token.becket:
        raise RigRefusal(
            "NOTATION",
            f"{token.text!r}: a line ends at a becket; between its ends name the block only.",
            (name,),
        )
    if reader.roles[token.body] != FLOATING and not token.named:
        if token.body in reader.blocks and reader.blocks[token.body].body != token.body:
            raise RigRefusal(
                "NOTATION", f"{token.text!r} is both a body and a block; give them two names.", (token.body,)
            )
        count = sum(1 for block in reader.blocks.values() if block.body == token.body and _implied(block)) + 1
        name = token.body if count == 1 else f"{token.body} {count}"
    known = reader.blocks.get(name)
    if known and known.body != token.body:
        raise RigRefusal(
            "NOTATION", f"Block {name} is on {known.body} and on {token.body}: give two names.", (name,)
        )
    reader.blocks.setdefault(name, Block(name, token.body))
    return Point(token.body, name, block=name)


def _implied(block: Block) -> bool:
    return block.name == block.body or block.name.startswith(f"{block.body} ")


def _end(reader: _Reader, token: _Token) -> Point:
    if token.drum or not (token.named or token.becket):
        return Point(token.body, token.body)
    if token.name not in reader.blocks:
        raise RigRefusal(
            "UNKNOWN",
            f"Line goes to {token.text!r}, but no line turns over a block {token.name!r}."
            + nearest(token.name, list(reader.blocks)),
            (token.name,),
        )
    on = reader.blocks[token.name].body
    if on != token.body:
        raise RigRefusal(
            "NOTATION",
            f"{token.text!r}: block {token.name} is on {on}. Write {token.name}@{on}.",
            (token.name,),
        )
    return Point(token.body, f"{token.name}.becket", block=token.name)


def _order(reader: _Reader, text: str) -> list[str]:
    roles = reader.roles
    if not text.strip():
        behind = {b for b in roles if roles[b] == ANCHOR and _stands_behind(reader, b)}
        front = [b for b in roles if roles[b] == ANCHOR and b not in behind]
        floating = [b for b in roles if roles[b] == FLOATING]
        load = [b for b in roles if roles[b] == LOAD]
        return front + floating + load + [b for b in roles if b in behind]
    word, _, rest = text.strip().partition(" ")
    if word != "order":
        raise RigRefusal("NOTATION", f"{text.strip()!r}: after | only 'order a b c' can stand.")
    names = _split_names(rest, list(roles))
    if sorted(names) != sorted(roles):
        raise RigRefusal(
            "NOTATION", f"order {rest.strip()}: name every body once: {', '.join(roles)}.", tuple(roles)
        )
    return names


def _split_names(text: str, known: list[str]) -> list[str]:
    """Split on blanks, keeping names of several words together."""
    words, names = text.replace(",", " ").split(), []
    while words:
        size = next((n for n in range(len(words), 0, -1) if " ".join(words[:n]) in known), 0)
        if not size:
            raise RigRefusal(
                "UNKNOWN",
                f"order names {words[0]!r}, which is not in the rig.{nearest(words[0], known)}",
                (words[0],),
            )
        names.append(" ".join(words[:size]))
        words = words[size:]
    return names


def _stands_behind(reader: _Reader, body: str) -> bool:
    if body == BEYOND:
        return True
    first = reader.drum_only.get(body, "")
    used = sum(point.body == body for line in reader.lines.values() for point in line.points)
    return used == 1 and reader.roles.get(first) == ANCHOR
