"""The record of the campaigns that may be asked for: folders a server was started with, and those of the book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from haulwright.kept.campaigns import ListedCampaign
from haulwright.notices import Notice
from haulwright.records import Made, Record

FOLDER = "folder"


@dataclass(frozen=True, kw_only=True)
class CampaignList(Record):
    """Campaigns by the names they are asked for by, and where each comes from."""

    kind: ClassVar[str] = "campaign-list"
    campaigns: tuple[str, ...]
    entries: tuple[ListedCampaign, ...]


def campaign_list(
    folders: Iterable[str], kept: Sequence[ListedCampaign], notices: Sequence[Notice] = ()
) -> CampaignList:
    """Return the record."""
    every = (*(ListedCampaign(name, FOLDER) for name in folders), *kept)
    return CampaignList(
        campaigns=tuple(one.name for one in every),
        entries=every,
        notices=tuple(notices),
        made=Made("as the server was started, and as the book has them", {}),
    )
