"""Every reeving of a tackle: counts against a slow search that knows only the notation and the scalar solver."""

import random
from itertools import combinations_with_replacement, pairwise, product

import numpy as np
import pytest

from haulwright.errors import RigRefusal
from haulwright.mechanics.batch.reeving import exchanged, notation, paths_of
from haulwright.mechanics.batch.reevings import reevings
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import NAMES, named_rig

# by moving blocks: distinct reevings with 0, 1, … 6 sheaves
BY_SHEAVES = {
    0: [2, 3, 3, 3, 3, 3, 3],
    1: [0, 7, 26, 76, 173, 364, 716],
    2: [0, 0, 48, 351, 1890, 7656, 27746],
}


@pytest.mark.parametrize("moving", [0, 1, 2])
def test_counts_by_sheaves(moving):
    every = reevings(moving)
    assert np.bincount(every.sheaves, minlength=7).tolist() == BY_SHEAVES[moving]
    assert len(every) == {0: 20, 1: 1362, 2: 37691}[moving]
    assert every.determinate == {0: 20, 1: 1362, 2: 44126}[moving]
    assert int((~every.still).sum()) == {0: 20, 1: 759, 2: 15276}[moving]
    assert len(set(every.ideal.round(9))) == {0: 7, 1: 51, 2: 176}[moving]
    assert every.ideal.max() == pytest.approx({0: 7.0, 1: 16.0, 2: 27.0}[moving], rel=1e-12)


def test_counts_of_all():
    every = [reevings(moving) for moving in range(3)]
    assert sum(len(some) for some in every) == 39_073
    assert sum(int((~some.still).sum()) for some in every) == 16_055


# the slow search: words over station names, the solver says which are tackles; no code of the batch folder


def words(stations, length):
    """Every way over stations in which each step turns back; a station is its place along the pull."""
    for path in product(range(len(stations)), repeat=length):
        steps = [b - a for a, b in pairwise(path)]
        if all(steps) and all(a * b < 0 for a, b in pairwise(steps)):
            yield path


def canonical(winch, others, joined_blocks):
    """The least of all ways to write a tackle down: ends of lines, order of lines, names of blocks that no part joins."""
    relabel = [{}] if joined_blocks else [{}, {1: 2, 2: 1}]
    forms = []
    for names in relabel:
        fall = tuple(names.get(s, s) for s in winch)
        rest = [tuple(names.get(s, s) for s in path) for path in others]
        forms.append((fall, tuple(sorted(min(path, path[::-1]) for path in rest))))
    return min(forms)


def text(winch, others, names):
    lines = [winch, *others]
    tokens = [[names[s] for s in path] for path in lines]
    tokens[0][0] += ".drum"
    used = sorted({s for path in lines for s in path})
    marked = " ; ".join(" > ".join(path) for path in tokens) + " | order " + " ".join(names[s] for s in used)
    for name, mark in (("O", "!"), ("M", "~"), ("N", "~")):
        marked = marked.replace(name, mark + name, 1)
    return marked


def slow_search(moving, sheaves):
    """Return the canonical forms of all tackles with exactly so many sheaves."""
    names = ["X", *"MN"[:moving], "O", "beyond"]
    load, back = moving + 1, moving + 2
    found = set()
    falls = {n: [] for n in range(sheaves + 1)}
    plain = {n: [] for n in range(1, sheaves + 1)}
    for n in range(sheaves + 1):
        falls[n] = [p for p in words(names, n + 2) if p[0] in (0, load, back) and back not in p[1:]]
        if n:
            plain[n] = [p for p in words(names[:-1], n + 2) if p <= p[::-1]]
    all_plain = [(n, path) for n, paths in plain.items() for path in paths]
    for others in combinations_with_replacement(all_plain, moving):
        left = sheaves - sum(n for n, _ in others)
        for winch in falls.get(left, []):
            rest = [path for _, path in others]
            touched = {s for path in (winch, *rest) for s in path}
            if not touched >= set(range(1, load + 1)):
                continue
            try:
                rig = parse_notation(text(winch, rest, names))
                solved = solve_rig(rig, 1.0)
            except RigRefusal:
                continue
            if min(part.tension_N for line in solved.lines.values() for part in line.parts) < 1e-6:
                continue  # a line that is taut only because it carries nothing
            joined = any({a, b} == {1, 2} for path in (winch, *rest) for a, b in pairwise(path))
            found.add(canonical(winch, rest, joined))
    return found


@pytest.mark.parametrize(
    ("moving", "sheaves"), [(0, 3), (0, 6), (1, 1), (1, 2), (1, 3), (1, 4), (1, 5), (1, 6), (2, 2), (2, 3)]
)
def test_a_slow_search_finds_the_same_number(moving, sheaves):
    assert len(slow_search(moving, sheaves)) == BY_SHEAVES[moving][sheaves]


# what the arrays say of each, against the solver


def some_rows(moving):
    n = len(reevings(moving))
    return range(n) if n < 100 else random.Random(moving).sample(range(n), 350)


@pytest.mark.parametrize("moving", [0, 1, 2])
def test_each_reads_back_from_its_notation_and_solves_alike(moving):
    every = reevings(moving)
    k = 1.1
    actual = every.advantages(k)
    assert not np.isnan(actual).any()  # none jams at 1.1
    for row in some_rows(moving):
        fall, lines = every.paths(row)
        rig = parse_notation(notation(fall, lines, moving))
        solved = solve_rig(rig, k)
        assert solved.ideal_advantage == pytest.approx(every.ideal[row], rel=1e-12)
        assert solved.advantage == pytest.approx(actual[row], rel=1e-12)
        assert len(solved.contacts) == every.sheaves[row]
        assert any(c.direction == "still" for c in solved.contacts) == every.still[row]
        assert (rig.winch_on == rig.load.name) == every.on_load[row]
        assert every.find(*paths_of(rig)[:2]) == row


def test_those_that_jam_are_those_the_solver_refuses():
    every = reevings(2)
    actual = every.advantages(1.4)
    jammed = np.flatnonzero(np.isnan(actual))
    assert jammed.size > 1000
    for row in random.Random(4).sample(list(jammed), 60):
        fall, lines = every.paths(int(row))
        with pytest.raises(RigRefusal, match="jams"):
            solve_rig(parse_notation(notation(fall, lines, 2)), 1.4)


def test_friction_never_adds_to_the_advantage():
    for moving in range(3):
        every = reevings(moving)
        before = every.ideal
        for k in (1.0, 1.05, 1.1, 1.2):
            now = every.advantages(k)
            now = np.where(np.isnan(now), 0.0, now)
            assert (now <= before * (1.0 + 1e-12)).all()
            before = now


def test_exchanging_two_blocks_no_part_joins_is_the_same_tackle():
    every = reevings(2)
    seen = 0
    for row in random.Random(8).sample(range(len(every)), 400):
        fall, lines = every.paths(row)
        other = [exchanged(path) for path in (fall, *lines)]
        if None not in other:
            seen += 1
            assert every.find(other[0], tuple(other[1:])) == row
    assert seen > 30


def test_named_rigs_are_among_them():
    for name in NAMES:
        fall, lines, moving = paths_of(named_rig(name))
        row = reevings(moving).find(fall, lines)
        assert row is not None, name
        assert reevings(moving).ideal[row] == pytest.approx(solve_rig(named_rig(name), 1.0).ideal_advantage)


def test_what_is_no_such_tackle_is_not_found():
    assert (
        paths_of(parse_notation("Y.drum > X > !O")) is None
        or reevings(0).find((1, 0, 1, 0, 1, 0, 1, 0, 1), ()) is None
    )
    assert reevings(1).find((0, 1), ((0, 2),)) is None
    with pytest.raises(RigRefusal) as caught:
        reevings(3)
    assert caught.value.code == "INPUT"
    with pytest.raises(RigRefusal) as caught:
        reevings(0).advantages(0.9)
    assert caught.value.code == "RATIO"
