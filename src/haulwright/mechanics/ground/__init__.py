"""Blocks that find their place on the ground: coordinates, tensions and motion of rigs with free blocks."""

from __future__ import annotations

from haulwright.mechanics.ground.answer import GroundAnswer, solve_ground

__all__ = ["GroundAnswer", "solve_ground"]
