"""Drawings of rigs and of planned pulls in the language of the survey sheet."""

from __future__ import annotations

from haulwright.publishing.diagram.pull_sheet import pull_svg
from haulwright.publishing.diagram.sheet import rig_svg

__all__ = ["pull_svg", "rig_svg"]
