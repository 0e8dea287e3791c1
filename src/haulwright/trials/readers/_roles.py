"""Which channel is the line, which the anchor."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import PurePath

from haulwright.errors import TrialRefusal
from haulwright.notices import Code, Notice
from haulwright.trials.readers._raw import RawChannel, labels_of
from haulwright.trials.readers._units import bare_label

# a strong word settles the role; a weak one may also just mean "force"
_STRONG = {
    "anchor": r"anchor|anker|tree|baum|ancrage|deadman",
    "line": r"winch|winde|seil|\brope\b|treuil|effort|drum",
}
_WEAK = {"line": r"\bline\b|leine|câble", "anchor": r"\bload\b|\blast\b|vehicle|fahrzeug|casualty"}


def role_of(text: str) -> str | None:
    """Return ``line`` or ``anchor`` as the words of a label say, None if they do not.

    Examples
    --------
    >>> role_of("Windenseil"), role_of("Ankerpunkt"), role_of("line load"), role_of("cell 4711")
    ('line', 'anchor', 'line', None)
    """
    words = re.sub(r"[_\-.]+", " ", text).lower()
    for table in (_STRONG, _WEAK):
        found = [role for role, pattern in table.items() if re.search(pattern, words)]
        if found:
            return found[0]
    return None


def assign(
    raws: Sequence[RawChannel], line_column: str | None, anchor_column: str | None, *, both: bool
) -> tuple[dict[str, RawChannel], list[Notice]]:
    """Return place to channel, and what had to be assumed.

    Parameters
    ----------
    raws : sequence of RawChannel
        What was found in the files.
    line_column, anchor_column : str or None
        Columns named by the caller.
    both : bool
        True if a line and an anchor are needed, False if one force will do.

    Raises
    ------
    TrialRefusal
        If a named column is not there, only one channel is there, or two could be the same one.
    """
    chosen: dict[str, RawChannel] = {}
    if line_column:
        chosen["line"] = _named(raws, line_column, "line", None)
    if anchor_column:
        chosen["anchor"] = _named(raws, anchor_column, "anchor", chosen.get("line"))
    rest = [raw for raw in raws if not any(raw is used for used in chosen.values())]
    if len(raws) < 2:
        if both:
            _refuse_one(raws[0])
        named = re.search(r"anchor|anker|ancrage", PurePath(raws[0].file).stem.lower())
        role = role_of(raws[0].label) or ("anchor" if named else "line")
        return chosen or {role: raws[0]}, []
    if chosen and not both and len(chosen) < 2 and not all(any(raw.table.header) for raw in rest):
        return chosen, []
    _by_words(chosen, rest)
    told = _by_order(chosen, rest)
    for raw in rest:
        chosen.setdefault(_slug(raw.label, chosen), raw)
    return chosen, told


def _refuse_one(only: RawChannel) -> None:
    message = (
        f"{only.file} holds one force only ({only.label}): an advantage needs the line and the anchor. "
        "Give the other cell's log as well."
    )
    raise TrialRefusal("ONE_CHANNEL", message, (only.file, only.label))


def _named(raws: Sequence[RawChannel], wanted: str, place: str, taken: RawChannel | None) -> RawChannel:
    low = wanted.strip().lower()
    free = [raw for raw in raws if raw is not taken]
    hits = [raw for raw in free if raw.label.lower() in (low, bare_label(low))]
    hits = hits or [raw for raw in free if low in raw.label.lower() and not low.isdecimal()]
    if low.isdecimal():
        hits = hits or [raw for raw in free if raw.layout == "wide" and raw.column + 1 == int(low)]
    if len({raw.label for raw in hits}) == 1:
        # the same name in both files: the line's log comes first, the anchor's last
        return hits[0] if place == "line" else hits[-1]
    labels = [raw.label for raw in raws]
    near = get_close_matches(wanted, labels, n=1)
    hint = f" Did you mean {near[0]!r}?" if near else ""
    files = tuple(dict.fromkeys(raw.file for raw in raws))
    message = (
        f"{' and '.join(files)}: no column {wanted!r} for the {place}; there are {', '.join(labels)}.{hint}"
    )
    raise TrialRefusal("NO_COLUMN", message, (*files, wanted))


def _by_words(chosen: dict[str, RawChannel], rest: list[RawChannel]) -> None:
    for of_file in (False, True):
        for place in ("line", "anchor"):
            if place in chosen:
                continue
            hits = [
                raw for raw in rest if role_of(PurePath(raw.file).stem if of_file else raw.label) == place
            ]
            if len(hits) > 1 and len(rest) > 2:
                labels = ", ".join(raw.label for raw in hits)
                message = (
                    f"{hits[0].file}: {labels} could each be the {place}: name the column (--{place} COLUMN)."
                )
                raise TrialRefusal("ROLES", message, (hits[0].file,))
            if len(hits) == 1:
                chosen[place] = hits[0]
                rest.remove(hits[0])


def _by_order(chosen: dict[str, RawChannel], rest: list[RawChannel]) -> list[Notice]:
    missing = [place for place in ("line", "anchor") if place not in chosen]
    if not missing:
        return []
    bare = any(not any(raw.table.header) for raw in rest) and len({raw.file for raw in rest}) == 1
    if len(rest) != len(missing) or (bare and len(rest) > 1):
        message = (
            f"{rest[0].file}: which of {labels_of(rest)} is the {missing[0]}? "
            "Name the columns by label or number (--line and --anchor)."
        )
        raise TrialRefusal("ROLES", message, (rest[0].file,))
    for place in missing:
        chosen[place] = rest.pop(0)
    if len(missing) == 1:
        return []
    text = f"The headers name no place: {chosen['line'].label} is taken as the line, {chosen['anchor'].label} as the anchor."
    return [Code.ROLES.notice(("line", "anchor"), text=text)]


def _slug(label: str, chosen: dict[str, RawChannel]) -> str:
    slug = re.sub(r"\W+", "-", label.lower()).strip("-") or "channel"
    while slug in chosen:
        slug += "-2"
    return slug
