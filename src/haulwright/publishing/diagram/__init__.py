"""Drawings of rigs in the language of the survey sheet."""

from __future__ import annotations

from haulwright.publishing.diagram.sheet import rig_svg

__all__ = ["rig_svg"]
