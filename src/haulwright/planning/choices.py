"""Other blocks and rings a rig could be built with: where the first choice lacks a joint or is not the best that can be had.

A ring is joined with a soft shackle only, a becket takes the end of a line: which piece turns the line decides what else
is needed, and the piece that suits its own place best may be the wrong one for the rig.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import replace
from functools import cache

from haulwright.field.rating import VERDICTS, Limit, utilisation, verdict, worst
from haulwright.files.kit import Item
from haulwright.planning.along import greatest
from haulwright.planning.assess import assess
from haulwright.planning.candidates import Setting
from haulwright.planning.gear import gear_up
from haulwright.planning.lacking import Lacking
from haulwright.planning.limits import item_limit
from haulwright.planning.placing import Placing
from haulwright.planning.result import Candidate, ResistanceSummary
from haulwright.planning.solved import Solved
from haulwright.planning.turning import kind_of, ways_to_turn

FIXED = ("winch line", "second rope", "winch mount", "anchor")  # uses no other choice makes better
Assessed = tuple[Candidate, Solved]


def best_assessed(setting: Setting, resistance: ResistanceSummary, asked: bool) -> Assessed:
    """Return a rig with every piece checked, built with other blocks where that gives a better verdict.

    Parameters
    ----------
    setting : Setting
    resistance : ResistanceSummary
    asked : bool
        It is kept however weak the winch.

    Raises
    ------
    Lacking
        However it is built.
    """
    found, lack = _tried(setting, resistance, asked)
    most = len(VERDICTS) if found is None else VERDICTS.index(found[0].verdict)
    least = 0 if found is None else _fixed(found[0])
    for other in _others(setting, most) if most > least else ():
        again, _ = _tried(other, resistance, asked)
        if again is not None and VERDICTS.index(again[0].verdict) < most:
            found, most = again, VERDICTS.index(again[0].verdict)
            if most <= least:
                break
    if found is None:
        raise lack or Lacking("gear")
    return found


def _tried(
    setting: Setting, resistance: ResistanceSummary, asked: bool
) -> tuple[Assessed | None, Lacking | None]:
    try:
        return assess(setting, resistance, keep_weak=asked), None
    except Lacking as lack:
        return None, lack


def _fixed(candidate: Candidate) -> int:
    """Return the verdict no other choice of gear gets below."""
    fixed = [item.verdict for item in candidate.items if item.role.startswith(FIXED)]
    return VERDICTS.index(worst(fixed)) if fixed else 0


def _others(setting: Setting, most: int) -> Iterator[Setting]:
    """Yield the rig with other blocks and without a bridle, leaving out what cannot be better than a verdict."""
    rig, request = setting.rig, setting.request
    at_stall = greatest([place.free for place in setting.along])
    devices = setting.geared.devices

    @cache
    def limit(item_id: str) -> Limit:
        item = next(one for one in request.pull.kit.items if one.id == item_id)
        return item_limit(item, request.pull.kit, Placing(wet=request.pull.site.wet))

    def signed(item: Item) -> Hashable:
        k = request.friction[item.id].k
        return (kind_of(item), limit(item.id).limit_N, k.value, k.hi)

    def hopeless(choice: Mapping[str, Item]) -> bool:
        used = (utilisation(at_stall.blocks[b].pin_N, limit(item.id)) for b, item in choice.items())
        return any(VERDICTS.index(verdict(one)) >= most for one in used)

    for turning in (devices, *(way for way in ways_to_turn(rig, request, signed) if not hopeless(way))):
        for bridles in (True, False):
            try:
                geared = gear_up(rig, request, at_stall, turning=turning, bridles=bridles)
            except Lacking:
                continue
            yield replace(setting, geared=geared)
