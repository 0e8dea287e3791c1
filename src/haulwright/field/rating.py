"""Ratings and verdicts: what a piece of gear may carry, and how a load stands against that.

Three bases are kept apart and never mixed: a working load limit (``WLL``) is compared as it stands, a minimum
breaking strength (``MBS``) only after division by a design factor, and a missing rating is ``unknown``, which is
never treated as fine.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from haulwright.errors import QuantityRefusal
from haulwright.field.derating import Derating
from haulwright.field.inputs import between, not_negative, one_of, positive
from haulwright.field.published import house
from haulwright.notices import Code, Notice
from haulwright.quantities.units import spoken

BASES = ("WLL", "MBS", "unknown")
VERDICTS = ("inside", "tight", "unknown", "over")
"""From best to worst: the worst of several is the last of these that occurs."""


@dataclass(frozen=True)
class Limit:
    """The working limit of one item.

    Attributes
    ----------
    limit_N : float or None
        Greatest load it may carry [N]; None when nothing says so.
    basis : str
        In words: ``WLL``, ``MBS ÷ 2``, ``limit entered by the user``, ``unknown``.
    note : str
        Deratings and reasons in words.
    notices : tuple of Notice
        What the reader must be told with it.
    factor : float or None
        What the marked figure was divided by; 1 for a WLL, which holds its factor already.
    deratings : tuple of Derating
        What the rig takes off the mark, each with its source.
    """

    limit_N: float | None
    basis: str
    note: str = ""
    notices: tuple[Notice, ...] = ()
    factor: float | None = None
    deratings: tuple[Derating, ...] = ()


def working_limit(
    rating_N: float | None, basis: str, factor: float | None = None, item: str = "item"
) -> Limit:
    """Return the working limit of an item from its marked rating.

    Parameters
    ----------
    rating_N : float or None
        Marked rating [N]; None only with basis ``unknown``.
    basis : {"WLL", "MBS", "unknown"}
        What the mark means.
    factor : float, optional
        Design factor for an MBS, above 1. A WLL already contains its factor, so one given with it is not used
        (and the note says so). An MBS without a factor takes the house number of the catalogue, with a warning.
    item : str
        Name of the item, for messages.

    Returns
    -------
    Limit

    Raises
    ------
    QuantityRefusal
        ``BASIS`` for another word; ``RATING`` if the rating is missing for WLL or MBS or given for ``unknown``;
        ``NOT_POSITIVE`` if it is not above zero; ``FACTOR`` if the factor is 1 or less.

    Notes
    -----
    ``limit = WLL`` or ``limit = MBS / factor``.

    References
    ----------
    Common practice, no source. House factor: catalogue, rules, ``mbs-factor``.

    Examples
    --------
    >>> working_limit(46_500.0, "WLL").limit_N
    46500.0
    >>> working_limit(80e3, "MBS", factor=2.0).basis
    'MBS ÷ 2'
    >>> working_limit(None, "unknown").limit_N is None
    True
    """
    one_of(basis, BASES, f"basis of {item}", "BASIS")
    if (rating_N is None) != (basis == "unknown"):
        said = "no rating" if rating_N is None else f"a rating of {spoken(rating_N)}"
        raise QuantityRefusal(
            "RATING",
            f"{item} has {said} with basis {basis}: give the marked figure and say WLL or MBS, or neither.",
            (item,),
        )
    if factor is not None and not (math.isfinite(factor) and factor > 1.0):
        raise QuantityRefusal("FACTOR", f"Design factor of {item} is {factor:g}: expected above 1.", (item,))
    if rating_N is None:
        return Limit(None, "unknown", "no rating", (Code.UNKNOWN_RATING.notice((item,), what=item),))
    positive(rating_N, f"rating of {item} [N]")
    if basis == "WLL":
        note = "" if factor is None else "the WLL already contains its factor; the factor given is not used"
        return Limit(rating_N, "WLL", note, factor=1.0)
    return _from_breaking(rating_N, factor, item)


def _from_breaking(rating_N: float, factor: float | None, item: str) -> Limit:
    if factor is not None:
        return Limit(rating_N / factor, f"MBS ÷ {factor:g}", factor=factor)
    assumed = house("mbs-factor")
    text = (
        f"{item}: MBS without a design factor; MBS ÷ {assumed.value:g} is used ({assumed.source}). "
        "Enter the maker's factor."
    )
    notice = Code.OUT_OF_RANGE.notice((item,), text=text)
    basis = f"MBS ÷ {assumed.value:g} (house factor)"
    return Limit(rating_N / assumed.value, basis, text, (notice,), factor=assumed.value)


def entered_limit(limit_N: float | None, source: str, item: str = "anchor") -> Limit:
    """Return a limit the user enters with its source: a tree, a rock, a point on a vehicle.

    Parameters
    ----------
    limit_N : float or None
        Greatest load [N]; None leaves it unknown.
    source : str
        Who says so: test pull, engineer, marking. Asked for with every number.
    item : str
        Name of the anchor or item.

    Returns
    -------
    Limit

    Raises
    ------
    QuantityRefusal
        ``SOURCE`` if a limit comes without a source; ``NOT_POSITIVE`` if it is not above zero.

    References
    ----------
    The user's own, kept in the basis; the software adds none.

    Examples
    --------
    >>> entered_limit(60e3, "test pull by the trainer", "oak").basis
    'limit entered by the user (test pull by the trainer)'
    """
    if limit_N is None:
        return working_limit(None, "unknown", item=item)
    positive(limit_N, f"limit of {item} [N]")
    if not source.strip():
        raise QuantityRefusal(
            "SOURCE", f"The limit of {item} has no source: say who or what vouches for it.", (item,)
        )
    return Limit(limit_N, f"limit entered by the user ({source.strip()})")


def derated(limit: Limit, share: float, reason: str, source: str = "") -> Limit:
    """Return the limit times a derating share, with the reason in its note.

    Parameters
    ----------
    limit : Limit
        Before derating.
    share : float
        What is left, 0 < share; above 1 only for a sling in a basket.
    reason : str
        Why, in words.
    source : str
        Citation of the share.

    Returns
    -------
    Limit
        Unknown stays unknown.

    Raises
    ------
    QuantityRefusal
        ``NOT_POSITIVE`` if the share is not above zero.

    References
    ----------
    Those of the share, see :mod:`haulwright.field.derating`. That shares multiply: common practice, no source.

    Examples
    --------
    >>> derated(working_limit(10e3, "WLL"), 0.7, "side load").limit_N
    7000.0
    """
    positive(share, "derating share")
    said = f"{reason} ({source})" if source else reason
    note = "; ".join(text.rstrip(".") for text in (limit.note, f"{said}: × {share:g}") if text)
    return replace(
        limit,
        limit_N=None if limit.limit_N is None else limit.limit_N * share,
        note=note,
        deratings=(*limit.deratings, Derating(share, reason, source)),
    )


def utilisation(load_N: float, limit: Limit) -> float | None:
    """Return load ÷ limit, None when the limit is unknown.

    Parameters
    ----------
    load_N : float
        Load of the item [N].
    limit : Limit
        Its working limit.

    Returns
    -------
    float or None
        Infinite for a limit of nothing: not to be used.

    Raises
    ------
    QuantityRefusal
        ``NEGATIVE`` if the load is below zero.

    References
    ----------
    A definition.

    Examples
    --------
    >>> utilisation(8e3, working_limit(10e3, "WLL"))
    0.8
    """
    not_negative(load_N, "load of the item [N]")
    if limit.limit_N is None:
        return None
    return load_N / limit.limit_N if limit.limit_N > 0.0 else math.inf


def verdict(used: float | None) -> str:
    """Return the verdict on a utilisation.

    Parameters
    ----------
    used : float or None
        Load ÷ limit; None is unknown.

    Returns
    -------
    str
        ``over`` above 1, ``tight`` above the catalogue's house number (0.80), else ``inside``; ``unknown`` for None.

    Raises
    ------
    QuantityRefusal
        ``RANGE`` if the utilisation is below zero or not a number.

    References
    ----------
    Catalogue, rules, ``tight-share``: house number, no source.

    Examples
    --------
    >>> [verdict(used) for used in (0.8, 0.81, 1.01, None)]
    ['inside', 'tight', 'over', 'unknown']
    """
    if used is None:
        return "unknown"
    between(used, 0.0, math.inf, "utilisation")
    if used > 1.0:
        return "over"
    return "tight" if used > house("tight-share").value else "inside"


def worst(verdicts: Iterable[str]) -> str:
    """Return the worst verdict: over, then unknown, then tight, then inside.

    Parameters
    ----------
    verdicts : iterable of str
        Verdicts of the items; none at all is ``unknown``.

    Returns
    -------
    str

    Raises
    ------
    QuantityRefusal
        ``WORD`` if one is not a verdict.

    References
    ----------
    House order, no source: what is unknown may be over.

    Examples
    --------
    >>> worst(["inside", "unknown", "tight"])
    'unknown'
    """
    order = [VERDICTS.index(one_of(word, VERDICTS, "verdict")) for word in verdicts]
    return VERDICTS[max(order)] if order else "unknown"
