"""The record of the campaigns a server was started with."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from haulwright.records import Made, Record


@dataclass(frozen=True, kw_only=True)
class CampaignList(Record):
    """Campaigns by the names they are asked for by."""

    kind: ClassVar[str] = "campaign-list"
    campaigns: tuple[str, ...]


def campaign_list(names: Iterable[str]) -> CampaignList:
    """Return the record."""
    return CampaignList(campaigns=tuple(names), made=Made("as the server was started", {}))
