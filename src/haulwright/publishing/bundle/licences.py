"""Under which licence the open data is handed out, as the standard writes it down."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from haulwright.errors import FileRefusal

NONE: Final = "none"
KNOWN: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "CC0-1.0": (
            "Creative Commons Zero v1.0 Universal",
            "https://creativecommons.org/publicdomain/zero/1.0/",
        ),
        "CC-BY-4.0": ("Creative Commons Attribution 4.0", "https://creativecommons.org/licenses/by/4.0/"),
        "CC-BY-SA-4.0": (
            "Creative Commons Attribution-ShareAlike 4.0",
            "https://creativecommons.org/licenses/by-sa/4.0/",
        ),
        "ODC-BY-1.0": (
            "Open Data Commons Attribution License v1.0",
            "https://opendatacommons.org/licenses/by/1-0/",
        ),
        "ODbL-1.0": (
            "Open Data Commons Open Database License v1.0",
            "https://opendatacommons.org/licenses/odbl/1-0/",
        ),
        "PDDL-1.0": (
            "Open Data Commons Public Domain Dedication and Licence v1.0",
            "https://opendatacommons.org/licenses/pddl/1-0/",
        ),
        "Apache-2.0": ("Apache License 2.0", "https://www.apache.org/licenses/LICENSE-2.0"),
    }
)
"""By their names at SPDX; with their text's address."""


def licence_of(stated: str, given: str | None) -> str:
    """Return the licence data is handed out under: the one given now, else the campaign's; empty for none at all.

    Raises
    ------
    FileRefusal
        LICENCE: none is stated; data without a licence is nobody's to use.

    Examples
    --------
    >>> licence_of("CC-BY-4.0", None), licence_of("", "none")
    ('CC-BY-4.0', '')
    """
    licence = (stated if given is None else given).strip()
    if not licence:
        raise FileRefusal(
            "LICENCE",
            "campaign.yaml states no licence, and without one nobody may use the data. Write licence: CC-BY-4.0 (or another) "
            f"into it, or give --licence; --licence {NONE} hands it out without, and says so.",
            ("licence",),
        )
    return "" if licence.lower() == NONE else licence


def described(licence: str) -> tuple[Mapping[str, str], ...]:
    """Return a licence as the descriptor holds it; none for no licence.

    Examples
    --------
    >>> described("CC0-1.0")[0]["title"], described("ask the club")
    ('Creative Commons Zero v1.0 Universal', ({'name': 'ask-the-club', 'title': 'ask the club'},))
    """
    if not licence:
        return ()
    name = next((known for known in KNOWN if known.casefold() == licence.casefold()), "")
    if name:
        title, path = KNOWN[name]
        return ({"name": name, "title": title, "path": path},)
    plain = re.sub(r"[^-a-zA-Z0-9._]+", "-", licence).strip("-") or "other"
    address = {"path": licence} if re.fullmatch(r"https?://\S+", licence) else {}
    return ({"name": plain, "title": licence, **address},)
