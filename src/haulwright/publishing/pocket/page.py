"""A pocket card as one page: its data, its arithmetic and its look in one file that fetches nothing."""

from __future__ import annotations

import base64
import hashlib
import json
from pathlib import Path
from typing import Any

from markupsafe import Markup

from haulwright.notices import Code
from haulwright.publishing import look
from haulwright.publishing.pages import templates
from haulwright.publishing.pocket.record import PocketCard, PocketFriction
from haulwright.publishing.pocket.script import as_javascript
from haulwright.publishing.wording import check_units, plain_glyphs
from haulwright.version import __version__

_HERE = Path(__file__).parent
FACES = ((look.FACE_TEXT, 400), (look.FACE_TEXT, 700), (look.FACE_TITLE, 600))


def pocket_page(card: PocketCard, units: str = "kN") -> str:
    """Return a pocket card as a self-contained page.

    Parameters
    ----------
    card : PocketCard
    units : str
        Unit it opens with: kN, kgf, lbf or t; it can be changed on the page.

    Returns
    -------
    str
        The same card gives the same text. Its policy lets its own script run and nothing else: no name or note of the
        card can, and nothing is fetched.

    Raises
    ------
    UsageRefusal
        UNITS.
    """
    check_units(units)
    script = _script(card, units)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    pages = templates(_HERE)
    return pages.get_template("pocket.html.j2").render(
        card=card,
        digest=digest,
        script=Markup(script),
        css=Markup((_HERE / "pocket.css").read_text(encoding="utf-8")),
        fonts=Markup(look.css_fonts(FACES)),
        tokens=Markup(_lights()),
        cautions=[plain_glyphs(one) for one in card.cautions],
        invented=Code.INVENTED.sentence if card.invented else "",
        version=__version__,
    )


def _lights() -> str:
    """Return the tokens for paper, and for the other lights where they are chosen."""
    others = "".join(f'[data-light="{name}"]{{{look.LIGHTS[name].css()}}}' for name in ("sun", "night"))
    return look.css_tokens("paper") + others


def _script(card: PocketCard, units: str) -> str:
    """Return the one script: data first, the rigs as functions, then what reckons and shows."""
    data = json.dumps(_data(card, units), ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    rigs = ",\n".join(as_javascript(rig.program) for rig in card.rigs)
    parts = [(_HERE / name).read_text(encoding="utf-8") for name in ("reckon.js", "show.js")]
    # no text of the user's may end the script it stands in
    safe = data.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    return f"'use strict';\nconst CARD={safe};\nconst TAUT=-1e-9;\nconst RIGS=[\n{rigs}\n];\n" + "\n".join(
        parts
    )


def _data(card: PocketCard, units: str) -> dict[str, Any]:
    return {
        "units": units,
        "rigs": [
            {
                "name": rig.name,
                "sentence": rig.sentence,
                "advantage": rig.advantage,
                "parts": rig.parts,
                "fall": rig.fall,
                "contacts": rig.contacts,
                "blocks": rig.blocks,
                "anchors": rig.anchors,
            }
            for rig in card.rigs
        ],
        "frictions": [_friction(one) for one in card.frictions],
        "winches": [{"name": one.name, "stall": one.stall_N, "layers": one.layers_N} for one in card.winches],
        "pieces": [
            {
                "name": one.name,
                "limit": one.limit_N,
                "basis": one.basis,
                "note": one.note,
                "stands": one.stands,
            }
            for one in card.pieces
        ],
        "surfaces": [[one.name, one.low, one.likely, one.high] for one in card.surfaces],
        "depths": [[one.name, one.low, one.likely, one.high] for one in card.depths],
        "spread": card.spread,
        "tight": card.tight,
        "source": card.resistance_source,
    }


def _friction(one: PocketFriction) -> dict[str, Any]:
    return {
        "name": one.name,
        "k": one.k.value,
        "low": max(1.0, one.k.lo),
        "high": one.k.hi,
        "valid": one.valid_N,
        "source": one.source,
        "measured": one.measured,
    }
