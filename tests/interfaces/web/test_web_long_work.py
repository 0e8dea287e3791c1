"""Long work that is not waited for: how far it is, its answer, its end on request or with the server."""

import asyncio
import json
import os
from contextlib import ExitStack
from pathlib import Path

import pytest

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.answers import Answer
from haulwright.interfaces.web.work import long as long_work
from haulwright.interfaces.web.work import processes as w
from haulwright.interfaces.web.work.job import Job
from haulwright.interfaces.web.work.long import LongWork
from haulwright.interfaces.web.work.verbs import perform

RIGS = Job("rig_list")
REFUSED = Job("rig_solve", {"rig": "no such rig"})
SLOW = Job(
    "rig_solve",
    {"rig": "double spanish burton", "ratio": "1.1±0.05", "load": "10 kN", "monte_carlo": 200_000},
)
ME, OTHER = "mine", "not mine"
WAIT_s = 60.0


class Stub:
    """Work that goes on until it is let go, and tells what it is told to tell."""

    def __init__(self):
        self.go = asyncio.Event()
        self.steps = []

    async def run(self, job, *, quick, within_s, gone, tell=w.unheard):
        for step in self.steps:
            tell(*step)
        await self.go.wait()
        if job.verb == "refused":
            raise UsageRefusal("BUSY", "Too much.")
        if job.verb == "failed":
            raise RuntimeError("broken")
        return Answer(200, "text/plain", job.verb.encode())

    async def close(self):
        pass


async def until(true):
    async with asyncio.timeout(WAIT_s):
        while not true():
            await asyncio.sleep(0.01)


def state(long, id_):
    return long.find(id_, ME).record()


def alive(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.fixture
def with_processes(run):
    """Runs a question to work in processes, which are stopped after it."""

    async def whole(question):
        work = w.Processes(long=1)
        long = LongWork(work, WAIT_s)
        try:
            return await question(long, work)
        finally:
            await long.close()
            await work.close()

    return lambda question: run(whole(question))


@pytest.fixture
def with_stub(run):
    """Runs a question to work that waits to be let go."""

    async def whole(question, **given):
        stub = Stub()
        long = LongWork(stub, WAIT_s, **given)
        try:
            return await question(long, stub)
        finally:
            await long.close()

    return lambda question, **given: run(whole(question, **given))


def test_an_answer_is_the_one_the_question_has(with_processes):
    async def ask(long, work):
        found = {}
        for job in (RIGS, REFUSED):
            begun = long.begin(job, ME)
            await until(lambda id_=begun.id: state(long, id_).state in ("done", "refused"))
            found[job.verb] = (begun, state(long, begun.id), long.fetch(begun.id, ME))
        return found

    found = with_processes(ask)
    begun, ended, said = found["rig_list"]
    assert (begun.state, begun.share, ended.state, ended.share) == ("waiting", None, "done", 1.0)
    assert said == perform(RIGS)
    _, ended, said = found["rig_solve"]
    assert ended.state == "refused"
    assert said == perform(REFUSED)
    assert said.status == 422


def test_work_tells_its_steps_while_it_is_done(with_processes, campaign, monkeypatch):
    heard = []  # each step as it is heard: one who only looks now and then may miss those of a short run
    told = long_work.Piece.told

    def hear(piece, words, share):
        told(piece, words, share)
        heard.append(piece.record())

    monkeypatch.setattr(long_work.Piece, "told", hear)

    async def ask(long, work):
        begun = long.begin(Job("campaign_measure", {"campaign": campaign.name}, str(campaign.parent)), ME)
        await until(lambda: state(long, begun.id).state not in ("waiting", "working"))
        return state(long, begun.id)

    ended = with_processes(ask)
    assert ended.state == "done"
    assert {one.state for one in heard} == {"working"}
    runs = [n for n in range(1, 5) if any(one.said.startswith(f"run {n} of 4: ") for one in heard)]
    assert runs == [1, 2, 3, 4]
    shares = [one.share for one in heard if one.share is not None]
    assert shares == sorted(shares)
    assert 0 < max(shares) < 1


def test_cancelled_in_the_middle_its_process_is_stopped_at_once(with_processes):
    async def ask(long, work):
        begun = long.begin(SLOW, ME)
        child = work.lanes[False].children[0]
        await until(lambda: state(long, begun.id).state == "working" and child.process is not None)
        pid, scratch = child.process.pid, Path(child.scratch)
        assert scratch.is_dir()
        said = await long.cancel(begun.id, ME)
        gone = not alive(pid) and not scratch.exists()
        after = long.begin(RIGS, ME)  # the only process there is: it is free again
        await until(lambda: state(long, after.id).state == "done")
        with pytest.raises(UsageRefusal) as refused:
            long.fetch(begun.id, ME)
        return said, gone, state(long, begun.id), refused.value.code

    said, gone, later, code = with_processes(ask)
    assert gone
    assert said.state == later.state == "cancelled"
    assert code == "CANCELLED"


def test_cancelled_while_it_waits_it_never_begins(with_processes):
    async def ask(long, work):
        first = long.begin(SLOW, ME)
        await until(lambda: state(long, first.id).state == "working")
        second = long.begin(RIGS, ME)
        await asyncio.sleep(0.05)
        assert state(long, second.id).state == "waiting"
        said = await long.cancel(second.id, ME)
        return said.state, state(long, first.id).state

    assert with_processes(ask) == ("cancelled", "working")


def test_a_process_that_is_killed_is_a_fault_and_the_next_is_answered(with_processes):
    async def ask(long, work):
        begun = long.begin(SLOW, ME)
        child = work.lanes[False].children[0]
        await until(lambda: state(long, begun.id).state == "working" and child.process is not None)
        os.kill(child.process.pid, 9)
        await until(lambda: state(long, begun.id).state == "refused")
        after = long.begin(RIGS, ME)
        await until(lambda: state(long, after.id).state == "done")
        return long.fetch(begun.id, ME)

    said = with_processes(ask)
    assert said.status == 500
    assert json.loads(said.body)["error"]["code"] == "FAULT"


def test_a_server_that_stops_refuses_what_is_half_done(with_processes):
    async def ask(long, work):
        begun = long.begin(SLOW, ME)
        child = work.lanes[False].children[0]
        await until(lambda: state(long, begun.id).state == "working" and child.process is not None)
        pid = child.process.pid
        await work.close()
        await until(lambda: state(long, begun.id).state == "refused")
        return long.fetch(begun.id, ME), alive(pid)

    said, running = with_processes(ask)
    assert said.status == 503
    assert not running


def test_work_that_takes_too_long_is_stopped(run):
    async def ask():
        work = w.Processes(long=1)
        long = LongWork(work, 0.2)
        begun = long.begin(SLOW, ME)
        await until(lambda: state(long, begun.id).state == "refused")
        said = long.fetch(begun.id, ME)
        await work.close()
        return said

    assert run(ask()).status == 504


def test_work_belongs_to_the_session_that_asked(with_stub):
    async def ask(long, stub):
        begun = long.begin(RIGS, ME)
        codes = []
        for way in (long.find, long.fetch):
            with pytest.raises(UsageRefusal) as refused:
                way(begun.id, OTHER)
            codes.append(refused.value.code)
        with pytest.raises(UsageRefusal) as refused:
            await long.cancel(begun.id, OTHER)
        return [*codes, refused.value.code], state(long, begun.id).state

    assert with_stub(ask) == (["NOT_FOUND"] * 3, "waiting")


def test_an_answer_can_be_fetched_again_where_it_was_lost_on_the_way(with_stub):
    async def ask(long, stub):
        stub.go.set()
        begun = long.begin(RIGS, ME)
        await until(lambda: state(long, begun.id).state == "done")
        return long.fetch(begun.id, ME), long.fetch(begun.id, ME)

    first, second = with_stub(ask)
    assert first == second


def test_an_answer_is_kept_a_quarter_of_an_hour_and_then_dropped(with_stub):
    now = [100.0]

    async def ask(long, stub):
        stub.go.set()
        begun = long.begin(RIGS, ME)
        await until(lambda: state(long, begun.id).state == "done")
        now[0] += 15 * 60
        kept = state(long, begun.id).state
        now[0] += 1
        with pytest.raises(UsageRefusal) as refused:
            long.find(begun.id, ME)
        return kept, refused.value.code, len(long.pieces)

    assert with_stub(ask, clock=lambda: now[0]) == ("done", "NOT_FOUND", 0)


def test_so_many_of_one_session_and_what_was_fetched_makes_way_first(with_stub, monkeypatch):
    monkeypatch.setattr(long_work, "MOST_OF_ONE", 3)

    async def ask(long, stub):
        own = [long.begin(RIGS, ME).id for _ in range(3)]
        with pytest.raises(UsageRefusal) as refused:
            long.begin(RIGS, ME)
        long.begin(RIGS, OTHER)  # another session is not held up
        stub.go.set()
        await until(lambda: all(state(long, id_).state == "done" for id_ in own))
        long.fetch(own[1], ME)
        long.begin(RIGS, ME)
        return refused.value.code, [id_ in long.pieces for id_ in own]

    assert with_stub(ask) == ("BUSY", [True, False, True])


def test_what_a_job_needs_is_left_when_it_ends_however_it_ends(with_stub):
    left = []

    def held(name):
        stack = ExitStack()
        stack.callback(left.append, name)
        return stack

    async def ask(long, stub):
        stopped = long.begin(RIGS, ME, held("cancelled before it began"))
        await long.cancel(stopped.id, ME)
        running = long.begin(RIGS, ME, held("cancelled"))
        await asyncio.sleep(0.01)
        assert left == ["cancelled before it began"]
        await long.cancel(running.id, ME)
        stub.go.set()
        done = long.begin(Job("done"), ME, held("done"))
        await until(lambda: state(long, done.id).state == "done")
        refused = long.begin(Job("refused"), ME, held("refused"))
        await until(lambda: state(long, refused.id).state == "refused")
        failed = long.begin(Job("failed"), ME, held("failed"))
        await until(lambda: state(long, failed.id).state == "refused")
        await asyncio.sleep(0.01)
        return long.fetch(failed.id, ME).status

    assert with_stub(ask) == 500
    assert left == ["cancelled before it began", "cancelled", "done", "refused", "failed"]


def test_what_a_job_needs_stays_with_the_asker_where_it_is_refused(with_stub, monkeypatch):
    monkeypatch.setattr(long_work, "MOST_OF_ONE", 0)
    left = []

    async def ask(long, stub):
        stack = ExitStack()
        stack.callback(left.append, "left")
        with pytest.raises(UsageRefusal):
            long.begin(RIGS, ME, stack)
        assert left == []
        stack.close()

    with_stub(ask)
    assert left == ["left"]


def test_words_without_a_share_take_none_back(with_stub):
    async def ask(long, stub):
        stub.steps = [("", None), ("run 1 of 2", 0.5), ("a remark", None)]
        begun = long.begin(RIGS, ME)
        await asyncio.sleep(0.01)
        now = state(long, begun.id)
        return now.state, now.said, now.share

    assert with_stub(ask) == ("working", "a remark", 0.5)


def test_a_second_delete_drops_it(with_stub):
    async def ask(long, stub):
        begun = long.begin(RIGS, ME)
        first = await long.cancel(begun.id, ME)
        second = await long.cancel(begun.id, ME)
        return first.state, second.state, len(long.pieces)

    assert with_stub(ask) == ("cancelled", "cancelled", 0)
