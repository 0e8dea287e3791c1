"""Planning: from a stuck vehicle, its site and a kit to ranked rigs with every item's margin at winch stall."""
