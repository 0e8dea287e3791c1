"""Long work that is asked for and fetched later: how far it is, its answer, its end on request."""

from __future__ import annotations

import asyncio
import secrets
import time
import traceback
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from typing import ClassVar

from haulwright.errors import Refusal, UsageRefusal
from haulwright.interfaces.web.answers import Answer, fault, refuse
from haulwright.interfaces.web.work.job import Job
from haulwright.interfaces.web.work.processes import Work
from haulwright.records import Record

KEPT_s = 15 * 60.0
MOST_OF_ONE = 8
WAITING, WORKING, DONE, REFUSED, CANCELLED = "waiting", "working", "done", "refused", "cancelled"
AT_WORK = (WAITING, WORKING)


@dataclass(frozen=True, kw_only=True)
class JobState(Record):
    """How far a piece of long work is.

    Attributes
    ----------
    id : str
        What it is asked for by.
    state : str
        ``waiting``, ``working``, ``done``, ``refused`` or ``cancelled``; an answer waits where it is done or refused.
    said : str
        The last words about it; empty before the first.
    share : float or None
        Of the work that is done; None where it is not known.
    """

    kind: ClassVar[str] = "job"
    id: str
    state: str
    said: str = ""
    share: float | None = None


@dataclass
class Piece:
    """One piece of work that was asked for."""

    owner: str
    id: str = field(default_factory=lambda: secrets.token_urlsafe(16))
    state: str = WAITING
    said: str = ""
    share: float | None = None
    answer: Answer | None = None
    fetched: bool = False
    ended: float | None = None
    doing: asyncio.Task[None] | None = None

    def told(self, words: str, share: float | None) -> None:
        """Hear a step of the work; a share is never taken back by words that know none."""
        self.state = WORKING
        self.said = words or self.said
        self.share = self.share if share is None else share

    def record(self) -> JobState:
        """Return how far it is."""
        return JobState(id=self.id, state=self.state, said=self.said, share=self.share)


@dataclass
class LongWork:
    """The pieces of long work of every session: each belongs to the one that asked for it.

    Attributes
    ----------
    work : Work
    within_s : float
        Within which an answer must be found [s].
    clock : callable
        Seconds that never go back.
    """

    work: Work
    within_s: float
    clock: Callable[[], float] = time.monotonic
    pieces: dict[str, Piece] = field(default_factory=dict)

    def begin(self, job: Job, owner: str, held: ExitStack | None = None) -> JobState:
        """Begin a job and return at once how far it is.

        Parameters
        ----------
        job : Job
        owner : str
            The session that asks.
        held : ExitStack or None
            What the job needs until it ends, such as the folder of its files. It is taken over, unless refused.

        Raises
        ------
        UsageRefusal
            BUSY: so many of this session are at work already.
        """
        self._make_room(owner)
        piece = Piece(owner)
        self.pieces[piece.id] = piece
        kept = held.pop_all() if held is not None else ExitStack()
        piece.doing = asyncio.create_task(self._do(piece, job))
        piece.doing.add_done_callback(lambda _: self._over(piece, kept))
        return piece.record()

    def _over(self, piece: Piece, kept: ExitStack) -> None:
        """Leave what the work needed; what ended without an answer was cancelled."""
        kept.close()
        if piece.state in AT_WORK:
            piece.state, piece.ended = CANCELLED, self.clock()

    def _make_room(self, owner: str) -> None:
        """Drop what is too old; where one session has the most, the piece it needs least."""
        self._forget_old()
        own = [piece for piece in self.pieces.values() if piece.owner == owner]
        if len(own) < MOST_OF_ONE:
            return
        ended = [piece for piece in own if piece.ended is not None]
        if not ended:
            words = f"{len(own)} of your questions are being worked on. Wait for one, or cancel one."
            raise UsageRefusal("BUSY", words)
        least = min(ended, key=lambda piece: (not piece.fetched, piece.ended or 0.0))
        del self.pieces[least.id]

    async def _do(self, piece: Piece, job: Job) -> None:
        try:
            said = await self.work.run(job, quick=False, within_s=self.within_s, gone=_never, tell=piece.told)
        except Refusal as refusal:
            said = refuse(refusal)
        except Exception:
            traceback.print_exc()
            said = fault()
        piece.answer, piece.ended = said, self.clock()
        piece.state = DONE if said.status < 400 else REFUSED
        piece.share = 1.0 if piece.state == DONE else piece.share

    def find(self, id_: str, owner: str) -> Piece:
        """Return a piece of work.

        Raises
        ------
        UsageRefusal
            NOT_FOUND: none of that name is kept, or it is another session's.
        """
        self._forget_old()
        piece = self.pieces.get(id_)
        if piece is None or piece.owner != owner:
            words = f"There is no work {id_[:40]!r} of yours here: it was dropped, or is over {KEPT_s / 60:g} minutes old."
            raise UsageRefusal("NOT_FOUND", f"{words} Ask again.", (id_[:40],))
        return piece

    def _forget_old(self) -> None:
        now = self.clock()
        old = [one for one in self.pieces.values() if one.ended is not None and now - one.ended > KEPT_s]
        for piece in old:
            del self.pieces[piece.id]

    def fetch(self, id_: str, owner: str) -> Answer:
        """Return the answer of a piece of work, a refusal too, as the question itself would have been answered.

        Raises
        ------
        UsageRefusal
            NOT_FOUND; NOT_READY while it is at work; CANCELLED.
        """
        piece = self.find(id_, owner)
        if piece.state == CANCELLED:
            raise UsageRefusal("CANCELLED", "This work was cancelled, so there is no answer. Ask again.")
        if piece.answer is None:
            raise UsageRefusal(
                "NOT_READY", f"This work is not done yet ({piece.said or piece.state}). Ask again soon."
            )
        piece.fetched = True
        return piece.answer

    async def cancel(self, id_: str, owner: str) -> JobState:
        """Stop a piece of work at once; one that has ended already is dropped.

        Raises
        ------
        UsageRefusal
            NOT_FOUND.
        """
        piece = self.find(id_, owner)
        if piece.state not in AT_WORK:
            del self.pieces[piece.id]
            return piece.record()
        await self._stop(piece)
        return piece.record()

    async def close(self) -> None:
        """Stop every piece of work, and drop all of them."""
        for piece in [*self.pieces.values()]:
            await self._stop(piece)
        self.pieces.clear()

    @staticmethod
    async def _stop(piece: Piece) -> None:
        """Stop a piece of work; one that ends in this very moment keeps its answer."""
        if piece.doing is not None:
            piece.doing.cancel()
            await asyncio.gather(piece.doing, return_exceptions=True)
            await asyncio.sleep(0)  # what is to be done at its end has its turn


async def _never() -> None:
    await asyncio.Event().wait()
