"""Mechanics of the field: resistance, drum, winch motor, ratings, anchors, zone; standard library only.

One phenomenon per module; SI floats in and out (units in the names). Numbers with a source come from
:mod:`haulwright.catalogue`, never from this package.
"""
