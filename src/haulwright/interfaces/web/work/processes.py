"""Where work is done: in this process at once, or in processes beside the one that listens.

A process can be stopped in the middle: when its time is up, or when the one who asked has gone.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Coroutine
from typing import Any, Protocol

from haulwright.errors import UsageRefusal
from haulwright.interfaces.web.answers import PREFIX, Answer, fault, refuse
from haulwright.interfaces.web.work.job import HEAD, Job, step_of, unpacked
from haulwright.progress import share_of

MOST_WAITING = 16
Gone = Callable[[], Coroutine[Any, Any, None]]
"""Ends when nobody waits for an answer any more."""
Tell = Callable[[str, float | None], None]
"""Is told the words of each step and the share that is done; first empty words, when the work begins."""


def unheard(words: str, share: float | None) -> None:
    """Listen to no step."""


class Work(Protocol):
    """Something that does jobs."""

    async def run(
        self, job: Job, *, quick: bool, within_s: float, gone: Gone, tell: Tell = unheard
    ) -> Answer:
        """Do a job; ``gone`` ends when nobody waits for it any more, ``tell`` is told each step."""

    async def close(self) -> None:
        """Stop all of it."""


class AtOnce:
    """Work done in this very process: for one question, and for tests."""

    async def run(
        self, job: Job, *, quick: bool, within_s: float, gone: Gone, tell: Tell = unheard
    ) -> Answer:
        """Do a job; nothing else is done meanwhile."""
        from haulwright.interfaces.web.work.verbs import perform

        tell("", None)
        return perform(job, lambda words: tell(words, share_of(words)))

    async def close(self) -> None:
        """Nothing is left to stop."""


class Child:
    """One process that does one job at a time; started when first needed, and again after it was stopped.

    What it writes by the way lies in a folder of its own, which goes with it however it ends.
    """

    def __init__(self) -> None:
        self.process: asyncio.subprocess.Process | None = None
        self.scratch = ""

    async def ask(self, job: Job, tell: Tell = unheard) -> Answer:
        """Do a job; a process that ends without an answer is a fault."""
        if self.process is None or self.process.returncode is not None:
            await self.stop()
            self.scratch = tempfile.mkdtemp(prefix=PREFIX)
            self.process = await asyncio.create_subprocess_exec(
                sys.executable, "-P", "-m", "haulwright.interfaces.web.work.worker",
                stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE,
                env={**os.environ, **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), self.scratch)},
            )  # fmt: skip
        into, out = self.process.stdin, self.process.stdout
        if into is None or out is None:
            return fault()
        try:
            into.write(job.to_bytes())
            await into.drain()
            tell("", None)
            while True:
                lengths = HEAD.unpack(await out.readexactly(HEAD.size))
                head, body = [await out.readexactly(length) for length in lengths]
                if (step := step_of(head)) is None:
                    return unpacked(head, body)
                tell(*step)
        except (asyncio.IncompleteReadError, ConnectionError):
            await self.stop()
            return fault()

    async def stop(self) -> None:
        """Stop the process at once, whatever it does."""
        process, self.process = self.process, None
        scratch, self.scratch = self.scratch, ""
        if process is not None:
            with contextlib.suppress(ProcessLookupError):
                process.kill()
            await process.wait()
        if scratch:
            shutil.rmtree(scratch, ignore_errors=True)


class Lane:
    """So many processes, and a queue before them of bounded length."""

    def __init__(self, size: int) -> None:
        self.children = [Child() for _ in range(size)]
        self.free: asyncio.Queue[Child] = asyncio.Queue()
        for child in self.children:
            self.free.put_nowait(child)
        self.waiting = 0

    async def run(self, job: Job, tell: Tell = unheard) -> Answer:
        """Do a job as soon as a process is free.

        Raises
        ------
        UsageRefusal
            BUSY: too many wait already.
        """
        if self.waiting >= MOST_WAITING:
            raise UsageRefusal("BUSY", f"{self.waiting} questions wait already. Ask again in half a minute.")
        self.waiting += 1
        try:
            child = await self.free.get()
        finally:
            self.waiting -= 1
        try:
            return await child.ask(job, tell)
        except BaseException:  # stopped in the middle: what it was at must not answer the next one
            await asyncio.shield(child.stop())
            raise
        finally:
            self.free.put_nowait(child)


class Processes:
    """Work done in processes of their own: two for what must be quick (numbers beside their drawing), two for what takes long."""

    def __init__(self, quick: int = 2, long: int = 2) -> None:
        self.lanes = {True: Lane(quick), False: Lane(long)}
        self.stopping = asyncio.Event()

    async def run(
        self, job: Job, *, quick: bool, within_s: float, gone: Gone, tell: Tell = unheard
    ) -> Answer:
        """Do a job, at most for so long, and only while somebody waits for it."""
        doing = asyncio.ensure_future(self.lanes[quick].run(job, tell))
        leaving = asyncio.ensure_future(gone())
        ending = asyncio.ensure_future(self.stopping.wait())
        try:
            await asyncio.wait(
                {doing, leaving, ending}, timeout=within_s, return_when=asyncio.FIRST_COMPLETED
            )
            if ending.done():
                raise UsageRefusal("BUSY", "The server was stopped before this was answered.")
            if doing.done():
                return doing.result()
            if leaving.done():
                return Answer(499, "text/plain", b"")  # nobody is left to read it
            words = f"No answer within {within_s:g} s: it was stopped. Ask for less at once."
            return refuse(UsageRefusal("TOO_LONG", words))
        finally:
            for task in (doing, leaving, ending):
                task.cancel()
            await asyncio.gather(doing, leaving, ending, return_exceptions=True)

    async def close(self) -> None:
        """Stop every process, and refuse what is being done or asked from now on."""
        self.stopping.set()
        for lane in self.lanes.values():
            for child in lane.children:
                await child.stop()
