"""Work in processes of its own: stopped when its time is up or nobody waits, never answering the next question."""

import asyncio
import json
import os

import pytest

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.work import processes as w
from haulwright.interfaces.web.work.job import Job
from haulwright.interfaces.web.work.verbs import perform

RIGS = Job("rig_list")
LONG = Job(
    "rig_solve",
    {"rig": "double spanish burton", "ratio": "1.1±0.05", "load": "10 kN", "monte_carlo": 200_000},
)
SLOW = Job("published_check")


async def never():
    await asyncio.Event().wait()


async def at_once():
    pass


@pytest.fixture
def asked(run):
    """Asks a set of processes, which are stopped after it."""

    async def whole(question):
        work = w.Processes(long=1)
        try:
            return await question(work)
        finally:
            await work.close()

    return lambda question: run(whole(question))


def alive(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_a_process_answers_as_this_one_does(asked):
    async def ask(work):
        first = await work.run(RIGS, quick=True, within_s=60, gone=never)
        pid = work.lanes[True].children[0].process.pid
        second = await work.run(RIGS, quick=True, within_s=60, gone=never)
        return first, second, pid, work.lanes[True].children[0].process.pid

    first, second, pid, again = asked(ask)
    assert first == second == perform(RIGS)
    assert pid == again  # it is kept
    assert not alive(pid)  # and stopped at the end


def test_work_whose_time_is_up_is_stopped_and_the_next_is_answered(asked):
    async def ask(work):
        late = await work.run(SLOW, quick=False, within_s=0.05, gone=never)
        return late, await work.run(RIGS, quick=False, within_s=60, gone=never)

    late, after = asked(ask)
    assert late.status == 504
    assert json.loads(late.body)["error"]["code"] == "TOO_LONG"
    assert json.loads(after.body)["kind"] == "rig-list"


def test_work_nobody_waits_for_is_stopped(asked):
    async def ask(work):
        await work.run(RIGS, quick=False, within_s=60, gone=never)
        pid = work.lanes[False].children[0].process.pid
        left = await work.run(LONG, quick=False, within_s=60, gone=at_once)
        return left, alive(pid), await work.run(RIGS, quick=False, within_s=60, gone=never)

    left, running, after = asked(ask)
    assert left.status == 499
    assert not running
    assert after.status == 200


def test_a_process_that_dies_is_a_fault_and_replaced(asked):
    async def ask(work):
        await work.run(RIGS, quick=True, within_s=60, gone=never)
        os.kill(work.lanes[True].children[0].process.pid, 9)
        died = await work.run(RIGS, quick=True, within_s=60, gone=never)
        return died, await work.run(RIGS, quick=True, within_s=60, gone=never)

    died, after = asked(ask)
    assert after.status == 200
    assert died.status in (200, 500)  # 200 where its death was seen before it was asked


def test_what_takes_long_holds_up_nothing_quick(asked):
    async def ask(work):
        await work.run(RIGS, quick=True, within_s=60, gone=never)
        enough = asyncio.Event()
        long = asyncio.ensure_future(work.run(LONG, quick=False, within_s=600, gone=enough.wait))
        quick = await work.run(RIGS, quick=True, within_s=60, gone=never)
        before = long.done()
        enough.set()
        return quick, before, await long

    quick, before, long = asked(ask)
    assert (quick.status, before, long.status) == (200, False, 499)


def test_a_queue_has_an_end(asked, monkeypatch):
    monkeypatch.setattr(w, "MOST_WAITING", 1)

    async def ask(work):
        four = [work.run(RIGS, quick=True, within_s=60, gone=never) for _ in range(4)]
        return await asyncio.gather(*four, return_exceptions=True)

    said = asked(ask)
    busy = [one for one in said if isinstance(one, UsageRefusal)]
    assert {one.code for one in busy} == {"BUSY"}
    assert 0 < len(busy) < 4


@pytest.mark.parametrize("given", [{"no such": 1}, {}])
def test_a_job_that_makes_no_sense_is_a_fault_not_an_end(given, capsys):
    assert perform(Job("trial_read", given)).status == 500
    assert perform(Job("no such verb")).status == 500
    assert "Traceback" in capsys.readouterr().err
