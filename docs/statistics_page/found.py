"""What one experiment gives to the page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from haulwright.publishing.charts import Chart


@dataclass(frozen=True)
class Found:
    """The measured sentences, the picture and what it shows in words.

    Attributes
    ----------
    name : str
        Of the section and the picture file.
    text : str
        With every measured number.
    alt : str
        What the picture shows, for those who cannot see it.
    draw : callable
    """

    name: str
    text: str
    alt: str
    draw: Callable[[], Chart]


def percent(value: float, digits: int = 1) -> str:
    """Return a share in percent.

    Examples
    --------
    >>> percent(0.0123), percent(0.68, 0)
    ('1.2 %', '68 %')
    """
    return f"{100.0 * value:.{digits}f} %".replace("-", "−")
