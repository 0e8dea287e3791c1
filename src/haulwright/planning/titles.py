"""Rigs of a plan as they are spoken of."""

from __future__ import annotations


def rig_title(rig: str) -> str:
    """Return the name of a rig in words.

    Examples
    --------
    >>> rig_title("two-part/on-load, oak"), rig_title("three-part/off-load")
    ('Two-part to oak, own winch', "Three-part, helper's winch")
    """
    name, _, rest = rig.partition("/")
    suffix, _, anchor = rest.partition(", ")
    winch = {"on-load": ", own winch", "off-load": ", helper's winch"}.get(suffix, "")
    return name[:1].upper() + name[1:] + (f" to {anchor}" if anchor else "") + winch


def within(title: str) -> str:
    """Return a title as it stands within a sentence.

    Examples
    --------
    >>> within("Two-part to oak, own winch")
    'two-part to oak, own winch'
    """
    return title[:1].lower() + title[1:]
