"""Where the traces of a run come from: its logs, made ready as for measuring, or what was kept of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from haulwright.errors import TrialRefusal
from haulwright.files.campaign import CampaignFolder
from haulwright.files.runsheet import RunEntry
from haulwright.trials.campaign_runs import ANCHOR, LINE, by_hand_of, read_entry, specs_of
from haulwright.trials.cells import CellSpec, calibrated
from haulwright.trials.prepare import ByHand, prepare
from haulwright.trials.readers import read_log
from haulwright.trials.run_store import key_of, sha256_of
from haulwright.trials.trace_store import TraceStore
from haulwright.trials.traces import WholeTraces, whole_traces


def traces_of_entry(folder: CampaignFolder, entry: RunEntry, store: TraceStore) -> WholeTraces:
    """Return the traces of a run of a campaign.

    Parameters
    ----------
    folder : CampaignFolder
    entry : RunEntry
    store : TraceStore

    Raises
    ------
    TrialRefusal
        NO_TRACES for forces typed from the displays or a log that is not there; what reading and preparing refuse.
    """
    if entry.typed:
        text = f"Run {entry.run} was typed from the displays: there is no log to draw."
        raise TrialRefusal("NO_TRACES", text, (entry.run,))
    gone = [log.name for log in entry.logs if not log.is_file()]
    if gone:
        text = f"Run {entry.run} has no log yet: {', '.join(gone)} is not there."
        raise TrialRefusal("NO_TRACES", text, (entry.run, *gone))
    by_hand = by_hand_of(folder, entry)
    chosen = ByHand(None, by_hand["offsets_s"], by_hand["zeros_N"])
    key = key_of(
        of="traces",
        logs=[sha256_of(log) for log in entry.logs],
        channels={
            place: {"log": one.log.name if one.log else "", "column": one.column}
            for place, one in entry.channels.items()
        },
        formats=[folder.format_of(log) for log in entry.logs],
        cells=specs_of(folder, entry),
        tugs=entry.tugs,
        offsets=dict(chosen.offsets_s),
        zeros=dict(chosen.zeros_N),
    )

    def make() -> WholeTraces:
        log = read_entry(folder, entry)
        return whole_traces(log, prepare(log, LINE, ANCHOR, chosen, tugs=entry.tugs))

    return store.kept(key, make)


def traces_of_logs(
    paths: Sequence[Path],
    cells: Mapping[str, CellSpec] | None,
    by_hand: ByHand,
    store: TraceStore,
    choices: Mapping[str, Any],
) -> WholeTraces:
    """Return the traces of logs that belong to no campaign.

    Parameters
    ----------
    paths : sequence of Path
        One joint log, or line and anchor log.
    cells : mapping place -> CellSpec, or None
    by_hand : ByHand
        Clock offsets and zeros that are given; its stretches change nothing that is drawn.
    store : TraceStore
    choices : mapping
        Of the format, as :func:`haulwright.trials.readers.read_log` takes them.

    Raises
    ------
    TrialRefusal
        What reading and preparing refuse.
    """
    key = key_of(
        of="traces",
        logs=[sha256_of(path) for path in paths],
        names=[path.name for path in paths],
        cells=dict(cells or {}),
        offsets=dict(by_hand.offsets_s),
        zeros=dict(by_hand.zeros_N),
        choices=dict(choices),
    )

    def make() -> WholeTraces:
        log = calibrated(read_log(list(paths), **choices), cells)
        return whole_traces(log, prepare(log, LINE, ANCHOR, by_hand))

    return store.kept(key, make)
