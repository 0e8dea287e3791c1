"""A second way to the tensions of tackles drawn in line, for the tests: many at once, nothing shared with the solver.

Motion from a batched singular value decomposition, all part tensions at once from one dense system: k across every contact
that runs, balance of every freedom.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from haulwright.mechanics.rig import Block

LOAD_N = 1000.0


def every_contact_its_own_block(rig):
    """The same rig with a block for each contact, so that each can have a ratio of its own."""
    blocks, lines = {}, {}
    for name, line in rig.lines.items():
        points = list(line.points)
        for i in line.contacts:
            own = f"{name} {i}"
            blocks[own] = Block(own, points[i].body)
            points[i] = replace(points[i], block=own, label=own)
        lines[name] = replace(line, points=tuple(points))
    return replace(rig, blocks=blocks, lines=lines)


def station_paths(rig):
    """The lines as bare numbers: stations of their points from the standing end, and which line has the drum."""
    return [[rig.bodies[p.body].at[0] for p in line.points] for line in rig.lines.values()]


def batch(tackles):
    """Arrays of tackles with equally many lines and sheaves: length rates of all parts, start of each line, drum."""
    rates, first, drum = [], [], []
    for rig in tackles:
        free = {rig.bodies[rig.load.name].at[0]: 0} | {b.at[0]: 1 + i for i, b in enumerate(rig.floating)}
        rows, starts = [], []
        for path in station_paths(rig):
            starts.append(len(rows))
            for a, b in pairwise(path):
                row = [0.0] * len(free)
                for station, sign in ((a, -1.0), (b, 1.0)):
                    if station in free:  # it moves towards station 0
                        row[free[station]] -= sign * np.sign(b - a)
                rows.append(row)
        rates.append(rows)
        first.append([i in starts for i in range(len(rows))])
        drum.append([line.drum is not None for line in rig.lines.values()])
    return np.array(rates), np.array(first), np.array(drum, dtype=float)


def second_solution(rates, first, drum, ratios):
    """Speeds per drum speed, all part tensions, and the heat per drum travel; every tackle of the batch at once.

    ``ratios`` has one row per tackle, one entry per contact, line by line from the standing end.
    """
    n, parts, freedoms = rates.shape
    line_of = np.cumsum(first, axis=1) - 1
    member = line_of[:, None, :] == np.arange(freedoms)[None, :, None]  # as many lines as freedoms
    whole = np.concatenate([member.astype(float) @ rates, drum[:, :, None]], axis=2)
    null = np.linalg.svd(whole)[2][:, -1, :]
    v = null[:, :freedoms] / null[:, freedoms:]
    sofar = np.tril(line_of[:, :, None] == line_of[:, None, :]).astype(float)
    flow = -(sofar @ (rates @ v[:, :, None]))[:, :, 0]  # past the end of each part
    row, part = np.nonzero(~first)
    q = flow[row, part - 1]
    q[np.abs(q) < 1e-9] = 0.0
    equation = freedoms + np.tile(np.arange(parts - freedoms), n)
    matrix, pull = np.zeros((n, parts, parts)), np.zeros((n, parts, 1))
    matrix[:, :freedoms] = -rates.transpose(0, 2, 1)
    pull[:, 0] = LOAD_N
    matrix[row, equation, part] = 1.0
    matrix[row, equation, part - 1] = -(ratios.reshape(-1) ** np.sign(q))
    t = (np.linalg.pinv(matrix) @ pull)[:, :, 0]
    heat = np.zeros(n)
    np.add.at(heat, row, (t[row, part] - t[row, part - 1]) * q)
    return v, t, heat
