"""What is worked out for the best rigs only: likely conditions for the first, the manual chains for the chosen one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from haulwright.planning.found import Found
from haulwright.planning.likely import FIRST, with_likely
from haulwright.planning.result import Candidate
from haulwright.planning.siblings import siblings


def with_second_looks(
    ranked: Sequence[Candidate], found: Mapping[str, Found], draws: int
) -> tuple[Candidate, ...]:
    """Return ranked candidates, the best of them with their second looks.

    Parameters
    ----------
    ranked : sequence of Candidate
        Best first.
    found : mapping candidate name -> Found
    draws : int
        Of likely conditions; 0 for none.
    """
    looked = list(ranked)
    for n, candidate in enumerate(ranked[:FIRST] if draws else ()):
        one = found[candidate.rig]
        looked[n] = with_likely(candidate, one.setting, one.solved.resistance, draws)
    if looked:
        looked[0] = replace(looked[0], siblings=siblings(looked[0], found[looked[0].rig].solved))
    return tuple(looked)
