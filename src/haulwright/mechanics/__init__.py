"""Mechanics of rigs of lines, blocks, anchors and a load; standard library only."""
