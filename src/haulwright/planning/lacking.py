"""Why a rig is left out."""

from __future__ import annotations


class Lacking(Exception):  # noqa: N818 - not an error of the user's: the reason a rig is rejected
    """What a rig lacks here, in words.

    Attributes
    ----------
    kind : str
        ``gear``, ``line``, ``rope``, ``place``, ``bridle``, ``pull`` or ``jams``: rigs that lack the same kind of thing are
        told together.
    """

    def __init__(self, text: str, kind: str = "gear") -> None:
        super().__init__(text)
        self.kind = kind
